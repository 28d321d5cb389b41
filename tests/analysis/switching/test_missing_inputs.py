"""Which input is missing where a voltage or a contact's current cannot be said."""

from __future__ import annotations

import pytest

from reviewer.analysis.switching.missing_inputs import lacking, unknown_contacts
from tests.analysis.small_aircraft import small


def asked(*changes: tuple[str, str]) -> tuple[str, set[tuple[str, str]]]:
    facts = small(*changes)
    answer, point = facts.states.answer("cruise"), facts.points.operating_point("cruise")
    volts = lacking(facts.design, facts.network, answer, point, ("master.coil", "master.ground"))
    return volts, set(unknown_contacts(facts.design, facts.network, answer, point))


def test_nothing_is_missing_where_all_is_given() -> None:
    assert asked() == ("", set())


def test_a_wire_without_a_size_in_the_feed_is_named() -> None:
    volts, _ = asked(
        (
            "P4: {from: master-fuse.load, to: master.coil, resistance: 0.010 ohm}",
            "P4: {from: master-fuse.load, to: master.coil, length: 1 m}",
        )
    )
    assert volts == "`gauge` of P4"


@pytest.mark.parametrize(
    ("wire", "needs"),
    [
        ("C3: {from: charge-fuse.load, to: reserve.positive", ""),
        ("R8: {from: radio-switch.load, to: radio.supply", "`gauge` and `length` of R8"),
    ],
)
def test_a_wire_without_a_size_elsewhere_matters_where_it_carries_a_tenth_of_all(
    wire: str, needs: str
) -> None:
    """The alternator gives 19 A: the reserve takes less than 0.1 A, the radio 2 A."""
    assert asked((wire + ", resistance: 0.010 ohm}", wire + "}"))[0] == needs


def test_a_wire_without_a_size_that_is_dead_matters_to_nothing() -> None:
    """The alternator gives less than 10 A, so that a tenth of it is less than an ampere."""
    wire = "R8: {from: radio-switch.load, to: radio.supply"
    switches = "cruise: {use: flight, engine: running, switches: {master-switch: on, radio-switch: "
    volts, _ = asked(
        (wire + ", resistance: 0.010 ohm}", wire + "}"),
        (switches + "on", switches + "off"),
        ("type: heater, current: 10 A", "type: heater, current: 1 A"),
    )
    assert volts == ""


def test_a_load_without_a_current_leaves_the_contacts_in_its_feed_unknown() -> None:
    _, contacts = asked(("kind: instrument, current: 2 A,", "kind: instrument,"))
    assert ("parts/radio-switch", "`current` of radio") in contacts
