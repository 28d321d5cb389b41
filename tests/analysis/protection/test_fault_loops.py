"""Fault loops against the solved network with a dead short as a load, and by hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from reviewer.analysis.facts import Facts
from reviewer.analysis.operating_point.points import Figures
from reviewer.model import parts as p
from reviewer.reading import read_text

ROOT = Path(__file__).parents[3]
SHORT = 1e6


def facts_of(path: str) -> Facts:
    return Facts(read_text((ROOT / path).read_text(encoding="utf-8"), path))


@pytest.mark.parametrize("state", ["alternator-failed", "reserve-check"])
def test_a_short_is_no_less_than_by_the_way_of_least_resistance(state: str) -> None:
    """A load of a thousand kilowatts stands for the short; batteries have twice their resistance in both."""
    facts = facts_of("examples/tourer.design.yaml")
    answer, batteries = facts.states.answer(state), facts.design.of_kind(p.Battery)
    compared = 0
    for wire, feeds in facts.protection.wire_feeds.items():
        far = facts.design.wires[wire.partition("/")[2]].to
        name, _, terminal = far.partition(".")
        part = facts.design.parts[name]
        if (
            not isinstance(part, p.Consumer)
            or part.supplies != (terminal,)
            or len(part.returns) > 1
            or not answer.healthy.powered[f"parts/{name}"]
        ):
            continue
        feed = next(f for f in feeds if f.protectors and f.end != far)
        (fault,) = facts.protection.loops.faults(answer, feed)
        figures = Figures(loads={f"parts/{name}": SHORT}, ageing={f"parts/{b}": 2.0 for b in batteries})
        points = facts.points.operating_points(state, figures, 1)
        through = abs(float(points.amps(f"parts/{fault.protector}")[0]))
        # the other battery adds up to a seventh here, and the other loads draw the bus down a
        # little
        assert 0.85 * through <= fault.amps <= 1.02 * through
        compared += 1
    assert compared >= (8 if state == "alternator-failed" else 1)


def test_a_loop_worked_by_hand() -> None:
    """A loop of wires, a fuse, a switch contact, studs and a cold battery.

    Wire of 18 AWG has 6.23 ohm and of 16 AWG 4.81 ohm per 1000 ft (AC 43.13-1B Table 11-9), 4 AWG
    0.28. A 7.5 A fuse drops 70 mV at its rating and a switch contact has 10 milliohm (common
    practice). A battery of 17 Ah, lead-acid, has 7.5 milliohm, twice that when cold, and 12.6 V
    open-circuit; a stud 0.2 milliohm.
    """
    facts = facts_of("tests/rules/bases/bench.yaml")
    (feed,) = (
        f
        for f in facts.protection.wire_feeds["wires/W22"]
        if f.end == "left-switch.load" and f.state == "cruise"
    )
    (fault,) = facts.protection.loops.faults(facts.states.answer("cruise"), feed)
    feet = 1 / 0.3048
    wires = 4.81e-3 * 0.1 * feet + 6.23e-3 * (1.4 + 1.2 + 0.6) * feet + 0.28e-3 * 0.4 * feet
    loop = 2 * 0.0075 + wires + 0.07 / 7.5 + 0.010 + 2 * 0.0002
    assert fault.ohms == pytest.approx(loop, rel=1e-3)
    assert fault.amps == pytest.approx(12.6 / loop, rel=1e-3)
    assert (fault.protector, fault.battery) == ("left-fuse", "main-battery")
