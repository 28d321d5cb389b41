"""Equivalent failures of a state."""

from __future__ import annotations

from reviewer.analysis.conduction.failure_modes import HELD, OPEN, SHORT, Failure
from reviewer.analysis.cut_sets.equivalence import Grouping, grouping
from reviewer.analysis.facts import Facts
from tests.analysis.small_designs import SmallDesign, cruise


def design() -> Facts:
    made = SmallDesign()
    made.load("left", made.protector("breaker"))
    made.load("right")
    return made.facts()


def grouped(facts: Facts, *failures: Failure) -> list[set[str]]:
    """The elements of each group that is not idle."""
    found = grouping(facts.network, cruise(facts).state, failures, {"parts/left", "parts/right"})
    return [{failures[i].element for i in group.members} for group in found.groups]


def opened(*elements: str) -> list[Failure]:
    return [Failure(e, OPEN) for e in elements]


def test_opens_in_one_chain_are_equivalent() -> None:
    facts = design()
    # W3 and W4 are on both sides of the breaker
    assert grouped(facts, *opened("wires/W3", "parts/breaker", "wires/W4")) == [
        {"wires/W3", "parts/breaker", "wires/W4"}
    ]


def test_opens_in_two_chains_are_not() -> None:
    assert grouped(design(), *opened("wires/W3", "wires/W6")) == [{"wires/W3"}, {"wires/W6"}]


def test_a_load_is_equivalent_to_nothing() -> None:
    assert grouped(design(), *opened("parts/left", "wires/W4")) == [{"parts/left"}, {"wires/W4"}]


def test_shorts_of_one_piece_of_metal_are_equivalent_and_a_breaker_parts_them() -> None:
    facts = design()
    shorts = [Failure(e, SHORT, (facts.network.node(t),)) for e, t in (
        ("parts/bus", "bus"), ("wires/W1", "battery.positive"), ("wires/W4", "breaker.load"),
    )]  # fmt: skip
    assert {"parts/bus", "wires/W1"} in grouped(facts, *shorts) and {"wires/W4"} not in grouped(
        facts, *shorts[:2]
    )
    assert all({"parts/bus", "wires/W4"} - group for group in grouped(facts, *shorts))


def test_an_open_beside_everything_is_idle() -> None:
    made = SmallDesign()
    made.load("left")
    made.load("lamp")
    facts = made.facts()
    found = grouping(
        facts.network, cruise(facts).state, opened("wires/W5"), {"parts/left"}
    )  # the feed of the lamp
    assert found.groups == () and found.samples == ()


def test_failures_that_move_contacts_are_not_grouped() -> None:
    facts = design()
    failures = [*opened("wires/W3", "wires/W4"), Failure("parts/relay", HELD)]
    assert grouping(facts.network, cruise(facts).state, failures, {"parts/left"}) == Grouping.of_each(3)
