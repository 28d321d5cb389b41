"""What is live: small circuits whose answer can be seen by eye, and facts of the trade."""

from __future__ import annotations

from pathlib import Path

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, SHORT, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.facts import Facts
from reviewer.reading import read_text

BASE = (Path(__file__).parents[2] / "rules" / "bases" / "bench.yaml").read_text(encoding="utf-8")


def facts(*changes: tuple[str, str]) -> Facts:
    text = BASE
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return Facts(read_text(text, "x"))


def powered(f: Facts, state: str, *failures: tuple[str, str, str]) -> dict[str, bool]:
    """Which loads work under all of some failures at once; a failure is (element, mode, terminal)."""
    answer = f.states.answer(state)

    made = [Failure(e, m, (f.network.node(t),) if t else ()) for e, m, t in failures]
    result = conduct(f.network, f.states.declared[state], made, answer.healthy) if made else answer.healthy
    return {k.partition("/")[2]: bool(v & 1) for k, v in result.powered.items()}


def test_everything_works_in_cruise() -> None:
    assert powered(facts(), "cruise") == {"left-ignition": True, "right-ignition": True, "audio-panel": True}


def test_the_smoke_drill_leaves_the_ignitions_and_nothing_else() -> None:
    assert powered(facts(), "smoke-drill") == {
        "left-ignition": True,
        "right-ignition": True,
        "audio-panel": False,
    }


def test_a_reserve_behind_a_diode_is_untouched_when_the_main_battery_collapses() -> None:
    """Common practice, no source: a reserve behind an isolation diode keeps its charge when the main collapses."""
    works = powered(facts(), "cruise", ("parts/main-battery", SHORT, "main-battery.positive"))
    assert works == {"left-ignition": False, "right-ignition": True, "audio-panel": True}


def test_without_the_diode_only_the_protectors_save_the_reserve() -> None:
    f = facts(("W42: {from: charge-diode.cathode,", "W42: {from: charge-diode.anode,"))
    works = powered(f, "cruise", ("parts/main-battery", SHORT, "main-battery.positive"))
    assert works["right-ignition"] is True


def test_without_any_protector_the_reserve_goes_with_the_main_bus() -> None:
    f = facts(
        (
            "W43: {from: charge-fuse.line, to: reserve-battery.positive",
            "W43: {from: main-bus.tie, to: reserve-battery.positive",
        ),
        (
            "W42: {from: charge-diode.cathode, to: charge-fuse.load",
            "W42: {from: charge-fuse.line, to: charge-fuse.load",
        ),
    )
    works = powered(f, "cruise", ("parts/main-bus", SHORT, "main-bus"))
    assert works == {"left-ignition": True, "right-ignition": False, "audio-panel": False}


def test_the_alternator_carries_the_bus_when_the_contactor_opens_and_its_field_is_fed() -> None:
    """From the state before the failure the field is held by the alternator itself."""
    assert powered(facts(), "cruise", ("parts/main-contactor", OPEN, ""))["audio-panel"] is True


def test_the_alternator_dies_with_its_field() -> None:
    f = facts()
    result = conduct(
        f.network,
        f.states.declared["cruise"],
        [Failure("wires/W13", OPEN)],
        f.states.answer("cruise").healthy,
    )
    assert result.alive["parts/alternator"] == 0 and result.powered["parts/audio-panel"] == 1


def test_a_stopped_engine_gives_no_alternator() -> None:
    assert facts().states.answer("parked").healthy.alive["parts/alternator"] == 0


def test_feed_from_one_source_and_return_to_another_is_no_power() -> None:
    f = facts(
        (
            "W35: {from: reserve-ground.bond, to: main-ground.bond",
            "W35: {from: reserve-ground.bond, to: reserve-ground.spare",
        ),
        (
            "W33: {from: right-ignition.return, to: reserve-ground.right",
            "W33: {from: right-ignition.return, to: main-ground.right",
        ),
    )
    # fed by the reserve only while the diode's leg is open, and returned to the main battery
    assert powered(f, "smoke-drill")["right-ignition"] is False


def test_a_diode_lets_current_through_one_way() -> None:
    f = facts()
    cruise = f.states.answer("cruise").healthy
    assert cruise.fed["parts/main-battery"][f.network.node("reserve-battery.positive")]
    assert not cruise.fed["parts/reserve-battery"][f.network.node("main-bus")]


def test_a_short_is_cleared_by_the_nearest_protector_and_the_rest_lives() -> None:
    f = facts()
    result = conduct(
        f.network,
        f.states.declared["cruise"],
        [Failure("wires/W51", SHORT, (f.network.node("audio-panel.supply"),))],
        f.states.answer("cruise").healthy,
    )
    dead = {f.network.names[n] for n, mask in enumerate(result.zone) if mask}
    assert dead == {"audio-panel.supply", "audio-breaker.load"}
    assert result.powered["parts/audio-panel"] == 0 and result.powered["parts/left-ignition"] == 1


def test_a_source_with_no_protector_before_the_short_is_lost() -> None:
    f = facts()
    result = conduct(
        f.network,
        f.states.declared["cruise"],
        [Failure("wires/W3", SHORT, (f.network.node("bus-limiter.line"),))],
        f.states.answer("cruise").healthy,
    )
    assert result.alive["parts/main-battery"] == 0 and result.powered["parts/left-ignition"] == 0
    assert result.alive["parts/alternator"] == 1 and result.powered["parts/audio-panel"] == 1


@pytest.mark.parametrize("state", ["cruise", "smoke-drill", "parked"])
def test_many_failures_at_once_give_what_each_gives_alone(state: str) -> None:
    f = facts()
    answer = f.states.answer(state)
    for i, failure in enumerate(answer.failures):
        alone = conduct(f.network, f.states.declared[state], [failure], answer.healthy)
        assert {k: v >> i & 1 for k, v in answer.failed.powered.items()} == dict(alone.powered), failure


JOINED = (
    (
        "  charge-diode: {kind: diode, duty: isolation, protects: reserve-battery, rating: 25 A}",
        "  joining-relay: {kind: relay, coil: [plus, minus], contacts: {main: {kind: make, joins: [line, load]}},"
        " pickup-voltage: 13.4 V, dropout-voltage: 12.9 V}",
    ),
    ("to: charge-diode.anode,", "to: joining-relay.line,"),
    (
        "W42: {from: charge-diode.cathode,",
        "X1: {from: joining-relay.line, to: joining-relay.plus}\n"
        "  X2: {from: joining-relay.minus, to: main-ground.relay}\n"
        "  W42: {from: joining-relay.load,",
    ),
)


@pytest.mark.parametrize(
    ("dropout", "parts"),
    [("12.9 V", True), ("12.5 V", False), ("", False)],
)
def test_a_relay_that_senses_volts_parts_the_batteries_once_the_alternator_has_stopped(
    dropout: str, parts: bool
) -> None:
    """A full lead-acid battery rests at 12.6 V by the chart of the tables: it holds a coil that drops out below that."""
    f = facts(*JOINED)
    if dropout != "12.9 V":
        changed = f", dropout-voltage: {dropout}" if dropout else ""
        f = facts(*JOINED, (", dropout-voltage: 12.9 V", changed))
    relay, alternator = "parts/joining-relay", Failure("parts/alternator", OPEN, ())
    healthy = f.states.answer("cruise").healthy
    assert healthy.energised[relay] & 1
    assert not f.states.answer("parked").healthy.energised[relay] & 1
    after = conduct(f.network, f.states.declared["cruise"], [alternator], healthy)
    assert bool(after.energised[relay] & 1) is not parts
