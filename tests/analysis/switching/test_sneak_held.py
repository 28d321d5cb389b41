"""Relays that a sneak current keeps energised, against the voltage divider by hand."""

from __future__ import annotations

import pytest

from reviewer.analysis.facts import Facts
from reviewer.analysis.switching.beside_coils import beside_coils
from reviewer.reading import read_text
from tests.edits import edited
from tests.rule_cases import design, text

RULE = "relays-drop-out-when-switched-off"
LAMP = "a lamp on the switched side of the coil keeps it above its dropout voltage"


def facts(edits: dict[str, object], trap: str = LAMP) -> Facts:
    return Facts(read_text(text(edited(design(RULE, trap), edits)), "design"))


@pytest.mark.parametrize("amps", [0.3, 0.5, 1.0])
def test_the_coil_and_the_load_beside_it_divide_the_voltage(amps: float) -> None:
    """Coil 14 V / 0.8 A, load 14 V / amps: the coil has amps / (amps + 0.8) of what the battery gives."""
    found = facts({"parts/master-lamp": {"kind": "load", "type": "resistive", "current": f"{amps} A"}})
    held = found.switches.sneak_held
    assert {h.relay for h in held} == {"parts/main-contactor"}
    stopped = [h for h in held if h.combination.engine == "stopped"]
    assert stopped
    for one in stopped:
        share = amps / (amps + 0.8)
        assert 11.8 * share < one.volts < 13.2 * share
        assert one.through == ("parts/master-lamp",) and one.live == ("main-bus",)
        assert one.path[:2] == ("parts/main-battery", "wires/W1") and one.path[-1] == "wires/W2"


def test_the_declared_states_are_named() -> None:
    assert {h.state for h in facts({}).switches.sneak_held} >= {"smoke-drill", "parked"}


def test_nothing_is_beside_the_coils_of_a_sound_design() -> None:
    found = facts({}, "bench")
    assert not beside_coils(found.network)
    assert found.switches.sneak_held == ()
