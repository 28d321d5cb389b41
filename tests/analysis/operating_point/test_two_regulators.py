"""Two alternators whose regulators sense buses that are joined: each holds what it senses, or gives nothing, or all it can.

The expected currents follow from Ohm's law at the buses alone; nothing of the solver is used.
"""

from __future__ import annotations

import json
from itertools import product

import pytest

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text

VOLTS = 28.0


def drawing(
    tie: float,
    lead: tuple[float, float],
    load: tuple[float, float],
    set_points: tuple[float, float],
    same: bool,
) -> dict:
    """A bus for each alternator, a tie of some ohms between them, and a heater on each; with ``same`` both
    regulators sense the left bus."""
    parts: dict = {name: {"kind": "bus"} for name in ("left-bus", "right-bus")}
    parts["ground"] = {"kind": "ground-block"}
    parts["battery"] = {"kind": "battery", "chemistry": "lead-acid", "capacity": "24 Ah"}
    wires: dict = {}

    def wire(one: str, other: str, ohms: float = 1e-6) -> None:
        wires[f"W{len(wires) + 1}"] = {"from": one, "to": other, "resistance": f"{ohms} ohm"}

    wire("battery.positive", "left-bus.battery", 100.0)  # there is one, and it takes next to nothing
    wire("battery.negative", "ground.battery")
    wire("left-bus.tie", "right-bus.tie", tie)
    for i, side in enumerate(("left", "right")):
        bus, machine, regulator, heater = (
            f"{side}-bus",
            f"{side}-alternator",
            f"{side}-regulator",
            f"{side}-heater",
        )
        parts[machine] = {
            "kind": "alternator",
            "rating": "60 A",
            "field-current": "0.001 A",
            "regulator": "external",
        }
        parts[regulator] = {"kind": "regulator", "regulates": machine, "set-point": f"{set_points[i]} V"}
        parts[heater] = {"kind": "load", "type": "heater", "current": f"{load[i]} A"}
        wire(f"{machine}.output", f"{bus}.alternator", lead[i])
        wire(f"{machine}.ground", f"ground.{machine}")
        wire(f"{bus}.regulator", f"{regulator}.supply")
        wire(f"{regulator}.field", f"{machine}.field")
        wire(f"{regulator}.ground", f"ground.{regulator}")
        wire(("left-bus" if same else bus) + f".{side}-sense", f"{regulator}.sense")
        wire(f"{bus}.heater", f"{heater}.supply")
        wire(f"{heater}.return", f"ground.{heater}")
    return {
        "format": 1,
        "aircraft": {"name": "Bench", "nominal": "28 V", "airframe": "metal", "stage": "detailed"},
        "parts": parts,
        "wires": wires,
        "operation": {"normal": "cruise", "states": {"cruise": {"engine": "running"}}},
    }


def given(**how: object) -> tuple[float, float]:
    """Amperes that the two alternators give."""
    usual: dict = {
        "tie": 0.003, "lead": (0.006, 0.009), "load": (30.0, 15.0), "set_points": (VOLTS, VOLTS), "same": False
    }  # fmt: skip
    facts = Facts(read_text(json.dumps(drawing(**{**usual, **how})), "two"))
    found = facts.points.operating_point("cruise").given
    return found["parts/left-alternator"], found["parts/right-alternator"]


def expected(tie: float, load: tuple[float, float], higher: float = 0.0) -> tuple[float, float]:
    """What they give where neither is at its limit nor at nothing: what its own bus takes, and what flows over the
    tie. A source gives way by 0.1 mV an ampere, and the two bolted ends of the tie have 0.2 milliohm each."""
    gives_way, ohms, total = 1e-4, tie + 0.0004, sum(load)
    left = (load[0] - (higher - gives_way * total) / ohms) / (1 + 2 * gives_way / ohms)
    return left, total - left


@pytest.mark.parametrize(("tie", "lead"), [*product((0.0005, 0.003, 0.05), ((0.006, 0.009), (0.02, 0.001)))])
def test_each_carries_its_own_bus_where_both_hold_the_same_voltage(
    tie: float, lead: tuple[float, float]
) -> None:
    """However long the leads are: what is sensed is behind them."""
    assert given(tie=tie, lead=lead) == pytest.approx(expected(tie, (30.0, 15.0)), abs=0.05)


def test_where_both_sense_one_bus_together_they_carry_all() -> None:
    left, right = given(same=True)
    # the right heater stands behind the tie
    assert left + right == pytest.approx(45.0, abs=0.1) and min(left, right) > 0


def test_the_higher_of_two_set_points_carries_all_where_the_tie_lets_it_through() -> None:
    """The left bus at 28.0 V, the right one at 28.4 V, 3 milliohm between: the tie can bring all 30 A of the left bus."""
    left, right = given(set_points=(VOLTS, VOLTS + 0.4))
    assert left == 0.0 and right == pytest.approx(45.0, abs=0.6)


def test_a_tie_with_resistance_leaves_a_part_to_the_lower_one() -> None:
    """28.0 V and 28.1 V with 10 milliohm between: about 10 A flow to the left bus."""
    found = given(set_points=(VOLTS, VOLTS + 0.1), tie=0.01)
    assert found == pytest.approx(expected(0.01, (30.0, 15.0), 0.1), abs=0.1)


def test_one_at_its_limit_leaves_the_rest_to_the_other() -> None:
    left, right = given(load=(80.0, 15.0))
    assert left == pytest.approx(60.0, abs=0.01) and left + right == pytest.approx(95.0, abs=0.5)
