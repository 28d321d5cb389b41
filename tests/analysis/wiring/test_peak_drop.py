"""Voltage drop at the peak current of each load."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from random import Random
from types import MappingProxyType, SimpleNamespace

import pytest

from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.wiring.peak_drop import chosen_places
from reviewer.model import parts as p
from reviewer.reading import read_design
from tests.analysis.wiring.wired import ohms, run, wired

ROOT = Path(__file__).parents[3]


def test_the_peak_of_the_flaps_is_looked_for_with_their_switch_held() -> None:
    facts = wired()
    found = facts.wires.peak_runs["parts/flap-motor"]
    assert not isinstance(found, NotAssessable)
    assert found.place.moved == ("flap-switch", "up") and str(found.place) == "cruise with flap-switch at up"
    assert found.run.amperes == pytest.approx(8)  # a motor: its torque holds it
    assert dict(found.run.out)["wires/W82"] == pytest.approx(8 * ohms("16 AWG", 1.8))
    # the heater draws as usual meanwhile, and at its own peak the flaps are off
    heater = facts.wires.peak_runs["parts/pitot-heater"]
    assert not isinstance(heater, NotAssessable) and heater.place.moved is None
    assert heater.run.amperes / run(facts, "pitot-heater").amperes == pytest.approx(9 / 7, rel=0.02)


@pytest.mark.parametrize(
    ("back", "shield"),
    [("mounted-on: engine.heater, ", ""), ("", ", shield: [pitot-heater.return, main-ground.heater]")],
)
def test_the_peak_of_a_load_that_returns_by_its_case_or_a_shield_is_looked_for(
    back: str, shield: str
) -> None:
    facts = wired(
        ("{kind: load, type: heater, current: 7 A,", f"{{kind: load, type: heater, {back}current: 7 A,"),
        ("  W74: {from: pitot-heater.return,", "  W74: {from: wing-plug.spare-plug,"),
        (
            "to: pitot-heater.supply, gauge: 12 AWG, length: 0.9 m",
            f"to: pitot-heater.supply, gauge: 12 AWG, length: 0.9 m{shield}",
        ),
    )
    found = facts.wires.peak_runs["parts/pitot-heater"]
    assert not isinstance(found, NotAssessable)
    first, second = found.run.back[:2]
    assert first[0] == ("wires/W73" if shield else "parts/pitot-heater")
    assert second[0] == ("parts/main-ground" if shield else "parts/engine")


@pytest.mark.parametrize("seed", range(5))
def test_a_peak_that_is_told_to_be_small_is_small_when_it_is_solved(seed: int) -> None:
    """Every load of the examples gets a peak of one and a half to five times its current."""
    chance = Random(seed)
    design = read_design(ROOT / "examples" / f"{'faulted-' if seed % 2 else ''}tourer.design.yaml")
    loads = {
        n: x for n, x in design.parts.items() if isinstance(x, p.Consumer) and isinstance(x.current, float)
    }
    peaks = {n: x.model_copy(update={"peak": x.current * chance.uniform(1.5, 5)}) for n, x in loads.items()}
    facts = Facts(replace(design, parts=MappingProxyType({**design.parts, **peaks})))
    told = [
        (found.run.volts, limit) for load, found in facts.wires.peak_runs.items() for limit in (0.3, 0.6, 1.0)
        if not isinstance(found, NotAssessable) and facts.wires.small_peak(load, limit)
    ]  # fmt: skip
    assert len(told) >= 5 and all(volts <= limit for volts, limit in told)


def test_a_load_has_its_peak_where_it_loses_most_else_in_the_first_state_that_feeds_it() -> None:
    def state(fed: dict[str, int]) -> SimpleNamespace:
        return SimpleNamespace(healthy=SimpleNamespace(powered=fed))

    steady = [
        ("taxi", state({"radio": 0, "pump": 1, "bilge": 0})),
        ("cruise", state({"radio": 1, "pump": 1, "bilge": 0})),
    ]
    runs = {
        "pump": [("taxi", SimpleNamespace(volts=0.1)), ("cruise", SimpleNamespace(volts=0.3))],
        "radio": [],
    }
    found = chosen_places(steady, runs, ["pump", "radio", "bilge"])  # type: ignore[arg-type]
    assert {load: flown for load, (flown, _) in found.items()} == {"pump": "cruise", "radio": "cruise"}
    assert found["radio"][1] is steady[1][1]
    (taxi,) = chosen_places(steady, {}, ["pump"]).values()  # type: ignore[arg-type]
    assert taxi[0] == "taxi"
