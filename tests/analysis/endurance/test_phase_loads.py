"""What each phase of a flight asks of the alternator."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from reviewer.analysis.endurance.phase_loads import LoadOfPhase, _ammeter
from reviewer.analysis.facts import Facts
from reviewer.questions.load_analysis import phase_currents
from reviewer.reading import read_text
from tests.edits import edited
from tests.rule_cases import design, text

ROOT = Path(__file__).parents[3]


LIT = dict(blank=False, shows="current")
BUS = SimpleNamespace(blank=False, shows="voltage", value=14.0)


@pytest.mark.parametrize(
    ("amps", "readings", "seen_on"),
    [
        (20.0, {"load": dict(LIT, value=20.19)}, "load"),  # within 1 %
        (20.0, {"load": dict(LIT, value=20.21)}, ""),
        (20.0, {"load": dict(LIT, value=-20.0)}, "load"),  # wired the other way round
        (5.0, {"load": dict(LIT, value=5.09)}, "load"),  # within 0.1 A
        (5.0, {"load": dict(LIT, value=5.11)}, ""),
        (20.0, {"load": dict(LIT, value=20.0, blank=True)}, ""),
        (0.05, {"load": dict(LIT, value=None)}, ""),
        (20.0, {"load": dict(LIT, value=20.0, shows="voltage")}, ""),
    ],
)
def test_the_crew_sees_the_load_on_an_ammeter_that_reads_it(
    amps: float, readings: dict[str, dict[str, Any]], seen_on: str
) -> None:
    point = SimpleNamespace(readings={name: SimpleNamespace(**one) for name, one in readings.items()})
    assert _ammeter(point, amps, lambda: (), lambda name: True) == seen_on  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("battery", "volts", "seen_on"),
    [
        (dict(LIT, value=3.0), BUS, "battery-amps"),
        (dict(LIT, value=3.0), SimpleNamespace(blank=True, shows="voltage", value=14.0), ""),
        (dict(LIT, value=3.0), SimpleNamespace(blank=False, shows="live", value=14.0), ""),
        (dict(LIT, value=3.0, blank=True), BUS, ""),
    ],
)
def test_or_on_the_ammeter_of_a_main_battery_with_a_voltage(
    battery: dict[str, Any], volts: SimpleNamespace, seen_on: str
) -> None:
    """AC 43.13-1B, 11-35c: the load is monitored by an ammeter of the battery and a voltmeter too."""
    point = SimpleNamespace(
        readings={
            "audio-amps": SimpleNamespace(**LIT, value=1.0),
            "battery-amps": SimpleNamespace(**battery),
            "volts": volts,
        }
    )
    assert _ammeter(point, 20.0, lambda: ("battery-amps",), lambda name: True) == seen_on  # type: ignore[arg-type]


def test_an_ammeter_in_the_lead_of_another_alternator_shows_nothing_of_this_one() -> None:
    """The generator of an ignition and a second alternator that is set low give nothing, both."""
    trap = "an alarm in words of a current that is nothing before the loss too"
    edits = {
        "parts/right-ignition/supplies": ["supply", "own"],
        "parts/right-generator": {
            "kind": "alternator",
            "excitation": "permanent-magnet",
            "rating": "3 A",
            "set-point": "13 V",
        },
        "wires/G1": {"from": "right-generator.output", "to": "right-ignition.own"},
        "wires/G2": {"from": "right-generator.ground", "to": "engine.right-generator"},
    }
    made = text(edited(design("alternator-loss-raises-an-alarm", trap), edits))
    facts = Facts(read_text(made, "design.yaml"))
    (flown,) = facts.points.flown_in(["cruise"])
    seen = {one.name: one.ammeter for one in facts.endurance.phase_load(flown).alternators}
    assert seen.get("alternator") == "alternator-amps"
    assert seen["right-generator"] == ""


def test_what_an_alternator_gives_is_what_all_else_takes() -> None:
    facts = Facts(
        read_text((ROOT / "examples" / "tourer.design.yaml").read_text(encoding="utf-8"), "design.yaml")
    )
    for flown in facts.points.flown:
        if flown.phase in ("climb", "cruise", "taxi"):
            load = facts.endurance.phase_load(flown)
            (alternator,) = load.alternators
            # the field: 3 A at 14 V, less the drop of its breaker, switch and wires
            takes = sum(load.loads.values()) + sum(load.coils.values()) + load.into_batteries + 3.0
            assert alternator.amperes == pytest.approx(takes, abs=0.15)
            limit = 30 if flown.phase == "taxi" else 60
            assert alternator.load.output_a == limit and alternator.spare == pytest.approx(
                limit - alternator.amperes
            )


@pytest.mark.parametrize(
    ("name", "inputs"),
    [
        ("glider-two-batteries", {"converter"}),
        ("28v-essential", {"converter", "engine-battery-charger"}),
        pytest.param("twin-split-bus", set(), marks=pytest.mark.long),
        pytest.param("small-generator", set(), marks=pytest.mark.long),
    ],
)
def test_the_total_and_what_charges_is_what_the_sources_give(name: str, inputs: set[str]) -> None:
    """With solar power, converters, fields, two batteries in series and another engine that cranks."""
    content = (ROOT / "tests" / "aircraft" / f"{name}.design.yaml").read_text(encoding="utf-8")
    facts = Facts(read_text(content, "design.yaml"))
    for flown in facts.points.flown:
        load = facts.endurance.phase_load(flown)
        gives = sum(one.amperes for one in load.alternators) + load.from_batteries
        gives += sum(amps for source, amps in load.others.items() if source not in load.inputs)
        # inputs of instruments and leaks take less than a milliampere
        assert gives == pytest.approx(load.total + load.into_batteries, abs=1e-3)
        assert set(load.inputs) <= inputs
        charted = (
            next(p.solved for p in phase_currents(facts) if p.phase == flown.phase) if flown.phase else None
        )
        if charted is not None:
            assert charted.loads == pytest.approx(load.total, abs=1e-3)


def test_batteries_that_give_and_that_take_are_added_up_apart() -> None:
    """Two are charged with 3 A and 0.2 A while a third gives half an ampere."""
    load = LoadOfPhase.__new__(LoadOfPhase)
    object.__setattr__(load, "batteries", {"main": -3.0, "reserve": -0.2, "essential": 0.5})
    object.__setattr__(load, "stacked", ())
    assert load.into_batteries == pytest.approx(3.2) and load.from_batteries == pytest.approx(0.5)
