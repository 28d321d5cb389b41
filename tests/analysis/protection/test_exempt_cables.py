"""Which cables of the small aircraft need no circuit protection, with a starter and without one."""

from __future__ import annotations

import pytest

from tests.analysis.small_aircraft import small

STARTER = (
    "  heater-breaker: {kind",
    "  starter-contactor: {kind: contactor, coil: [a, b], contacts: {main: {kind: make, joins: [line, load]}}}\n"
    "  starter: {kind: load, type: starter, mounted-on: engine.starter}\n"
    "  heater-breaker: {kind",
)


def exempt(*changes: tuple[str, str]) -> set[str]:
    """The exempt wires, after some changes."""
    return {w.partition("/")[2] for w in small(*changes).protection.exempt_wires}


def wires(text: str) -> tuple[str, str]:
    """The change that adds some wires."""
    return "wires:\n", "wires:\n" + "".join(f"  {line}\n" for line in text.splitlines())


def test_a_battery_cable_is_exempt_as_far_as_the_first_contactor() -> None:
    assert exempt() == {"P1"}


@pytest.mark.parametrize(
    "part",
    ["shunt: {kind: shunt}", "shunt: {kind: stud}", "shunt: {kind: splice}"],
)
def test_what_stands_in_the_cable_makes_no_difference(part: str) -> None:
    changes = (
        ("P1: {from: main-battery.positive, to: master.line", "P1: {from: shunt.load, to: master.line"),
        ("  main-bus: {kind", f"  {part}\n  main-bus: {{kind"),
        wires("P0: {from: main-battery.positive, to: shunt.line}"),
    )
    assert exempt(*changes) == {"P0", "P1"}


def test_a_spare_contact_without_a_wire_is_no_thicker_than_a_cable_without_a_gauge() -> None:
    spare = (
        "contacts: {main: {kind: make, joins: [line, load]}},",
        "contacts: {main: {kind: make, joins: [line, load]}, spare: {kind: make, joins: [x, y]}},",
    )
    assert exempt(spare) == {"P1"}


def test_a_fuse_or_a_switch_in_the_cable_ends_the_exemption() -> None:
    for kind in ("fuse", "breaker"):
        changes = (
            ("P1: {from: main-battery.positive, to: master.line", "P1: {from: shunt.load, to: master.line"),
            ("  main-bus: {kind", f"  shunt: {{kind: {kind}}}\n  main-bus: {{kind"),
            wires("P0: {from: main-battery.positive, to: shunt.line}"),
        )
        assert exempt(*changes) == set()


def test_the_cables_and_returns_of_the_starter_are_exempt_and_the_bus_feeder_is_not() -> None:
    cables = wires(
        "K1: {from: master.load, to: starter-contactor.line}\nK2: {from: starter-contactor.load, to: starter.supply}"
    )
    assert exempt(STARTER, cables) == {"P1", "K1", "K2", "N1", "N3"}


@pytest.mark.parametrize(("gauge", "both"), [("4 AWG", True), ("20 AWG", False)])
def test_of_two_cables_in_parallel_a_thin_one_is_not_exempt(gauge: str, both: bool) -> None:
    cables = wires(
        "K1: {from: master.load, to: starter-contactor.line, gauge: 4 AWG}\n"
        f"K1B: {{from: master.load, to: starter-contactor.line, gauge: {gauge}}}\n"
        "K2: {from: starter-contactor.load, to: starter.supply}"
    )
    assert exempt(STARTER, cables) == {"P1", "K1", "K2", "N1", "N3"} | ({"K1B"} if both else set())


def test_the_cable_of_a_starter_on_the_bus_starts_at_the_bus() -> None:
    cables = wires(
        "K1: {from: main-bus.starter, to: starter-contactor.line}\nK2: {from: starter-contactor.load, to: starter.supply}"
    )
    assert {"K1", "K2"} < exempt(STARTER, cables) and "P2" not in exempt(STARTER, cables)
