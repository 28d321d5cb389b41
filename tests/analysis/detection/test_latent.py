"""Latent failures that complete a loss."""

from __future__ import annotations

from reviewer.analysis.detection.latent import completing_pairs
from reviewer.analysis.facts import Facts
from tests.analysis.small_designs import SmallDesign, cruise


def two_feeds(checked: bool = False) -> Facts:
    """One ignition that two batteries feed, each through a breaker and a diode."""
    made = SmallDesign()
    made.second_battery()
    made.add("ignition", "load")
    for name, start in (("main", "bus"), ("spare", "second-bus")):
        made.add(f"{name}-diode", "diode")
        made.run(
            start,
            [made.protector(f"{name}-breaker"), (f"{name}-diode.anode", f"{name}-diode.cathode")],
            "ignition.supply",
        )
    made.wire("ignition.return", "ground")
    made.function("fire", "ignition")
    if checked:
        made.states["cruise"] = {"engine": "running", "switches": {}}
        made.states["on-main"] = {"like": "cruise", "use": "ground", "pulled": ["spare-breaker"]}
        made.states["on-spare"] = {"like": "cruise", "use": "ground", "pulled": ["main-breaker"]}
        made.more["watch"] = {
            "checks": {
                s: {"state": s, "watch": ["ignition"], "expect": "Runs."} for s in ("on-main", "on-spare")
            }
        }
    return made.facts()


def test_an_open_in_one_of_two_feeds_is_latent_and_the_other_feed_completes_the_loss() -> None:
    losses = two_feeds().detection.latent_losses
    (breaker,) = (
        loss for loss in losses.values() if "parts/main-breaker" in (loss.element, *loss.equivalent)
    )
    ((function, seconds),) = breaker.losses
    assert function == "fire" and {"parts/spare-breaker", "parts/second"} <= set(seconds)
    assert not {"parts/main-breaker", "parts/battery"} & set(seconds)


def test_checks_of_each_feed_leave_its_breaker_no_latent_open() -> None:
    latent = {(f.element, f.mode) for f in two_feeds(checked=True).detection.latent}
    assert ("parts/main-breaker", "open") not in latent
    assert ("parts/main-breaker", "open") in {(f.element, f.mode) for f in two_feeds().detection.latent}


def test_a_pair_is_listed_with_either_of_its_failures_first_where_both_are_latent() -> None:
    facts = two_feeds()
    pairs = {
        (pair.first.element, pair.second.element)
        for pair in completing_pairs(facts.design, cruise(facts), facts.detection.latent)
        if pair.first.mode == pair.second.mode == "open"
    }
    assert ("parts/main-breaker", "parts/spare-breaker") in pairs and (
        "parts/spare-breaker",
        "parts/main-breaker",
    ) in pairs


def test_without_a_critical_function_nothing_is_lost() -> None:
    made = SmallDesign()
    made.load("lamp")
    facts = made.facts()
    assert list(completing_pairs(facts.design, cruise(facts), facts.detection.latent)) == []
