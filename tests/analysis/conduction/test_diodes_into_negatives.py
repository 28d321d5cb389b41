"""A diode that is reversed across a coil shorts what feeds the coil, and feeds nothing beyond: the returns behind it stay returns."""

from __future__ import annotations

import pytest

from reviewer import resources
from reviewer.analysis.facts import Facts
from reviewer.network.graph import bare
from reviewer.rulebook.loader import load_rules
from reviewer.rulebook.runner import run_rules
from tests.analysis.small_designs import SmallDesign, cruise


def drawn(anode: str, cathode: str) -> Facts:
    """A contactor between battery and bus, its coil to ground by a master switch, a diode across the coil."""
    made = SmallDesign()
    made.wires["W1"] = {"from": "battery.positive", "to": "contactor.line"}
    made.add(
        "contactor",
        "contactor",
        coil=["plus", "minus"],
        contacts={"main": {"kind": "make", "joins": ["line", "load"]}},
    )
    made.wire("contactor.load", "bus")
    made.wire("contactor.line", "contactor.plus")
    made.run("contactor.minus", [made.switch("master")], "ground")
    made.add("coil-diode", "diode", duty="suppression")
    made.wire("coil-diode.anode", f"contactor.{anode}")
    made.wire("coil-diode.cathode", f"contactor.{cathode}")
    made.load("radio", made.protector("radio-breaker"))
    made.function("communication", "radio", loss="major")
    return made.facts()


@pytest.mark.parametrize(
    ("anode", "cathode", "reversed"), [("plus", "minus", True), ("minus", "plus", False)]
)
def test_what_a_reversed_diode_passes_ends_at_the_negative(anode: str, cathode: str, reversed: bool) -> None:
    facts = drawn(anode, cathode)
    answer = cruise(facts)
    network = facts.network
    assert {network.links[i].element for i in network.diodes_into_negatives} == (
        {"parts/coil-diode"} if reversed else set()
    )
    for node in ("battery.negative", "radio.return", "master.load"):
        assert not answer.healthy.live(network.node(node))
    # the short itself is told: what feeds the coil has a way back
    shorted = answer.healthy.returned["parts/battery"][network.node("contactor.plus")]
    assert bool(shorted) == reversed


@pytest.mark.parametrize(
    ("anode", "cathode", "reversed"), [("plus", "minus", True), ("minus", "plus", False)]
)
def test_the_diode_is_found_and_no_return_is_energised(anode: str, cathode: str, reversed: bool) -> None:
    facts = drawn(anode, cathode)
    done, _ = run_rules(load_rules([resources.folder("rules")]), facts)
    found = {(a.rule, bare(f.subject)) for a in done for f in a.findings}
    assert (("no-switch-position-shorts-a-source", "battery") in found) == reversed
    assert (("diodes-have-the-right-polarity", "coil-diode") in found) == reversed
    returns = {
        n for n, w in facts.design.wires.items() if "ground" in w.from_ + w.to or "negative" in w.from_
    }
    energised = {n for rule, n in found if rule == "every-wire-is-protected-at-each-energised-end"}
    assert returns and not returns & energised
