"""A dimmer in circuits whose answer is seen by eye."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import Failure, Mode
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.facts import Facts
from tests.analysis.small_designs import SmallDesign, cruise, fails
from tests.oracle.test_meaning_of_parts import works


def dimmed(ground: bool = True) -> SmallDesign:
    """Lights behind a fuse and a dimmer; a radio at the bus."""
    made = SmallDesign()
    made.parts["battery"] |= {"chemistry": "lead-acid", "capacity": "17 Ah"}
    made.add("fuse", "fuse", rating="3 A")
    made.add("dimmer", "dimmer", rating="2 A", resistance="0.5 ohm")
    chain = [("fuse.line", "fuse.load"), ("dimmer.input", "dimmer.output")]
    made.load("lights", *chain, type="resistive", current="1 A")
    if ground:
        made.wire("dimmer.ground", "ground")
    made.load("radio", current="1 A")
    return made


@pytest.mark.parametrize("ground", [True, False])
def test_a_dimmer_passes_while_it_has_its_ground(ground: bool) -> None:
    assert works(dimmed(ground)) == ({"lights", "dimmer", "radio"} if ground else {"radio"})


def lit(facts: Facts, failure: Failure) -> set[str]:
    """The loads that have power after a failure."""
    answer = cruise(facts)
    powered = conduct(facts.network, answer.state, [failure], answer.healthy).powered
    return {e.removeprefix("parts/") for e, mask in powered.items() if mask}


def test_it_opens_loses_its_ground_and_is_shorted() -> None:
    made = dimmed()
    (ground,) = (n for n, wire in made.wires.items() if wire["from"] == "dimmer.ground")
    facts = made.facts()
    assert lit(facts, Failure("parts/dimmer", Mode.OPEN)) == {"radio"}
    assert lit(facts, Failure(f"wires/{ground}", Mode.OPEN)) == {"radio"}
    assert lit(facts, fails(facts, "parts/dimmer", Mode.SHORT, "dimmer.output")) == {"radio"}


def test_the_lights_and_its_resistance_divide_the_volts() -> None:
    """Lights of 14 ohm behind 0.5 ohm."""
    facts = dimmed().facts()
    point = facts.points.operating_point("cruise", None, ())
    feed = point.volts["dimmer.input"] - point.volts["ground"]
    assert point.across["parts/lights"] / feed == pytest.approx(14 / 14.5, rel=2e-3)
    assert point.amps["parts/dimmer"] == pytest.approx(point.taken["parts/lights"], rel=1e-3)
