"""What loads have while a starter stands, from points solved with its current put into the file."""

from __future__ import annotations

from typing import Any

from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.solved_state import OperatingPoint
from reviewer.model import parts as p
from tests.edits import edited
from tests.mutants.evaluated import Evaluated

#: volts at which a starter of a 14 V system that stands takes its peak, and the factor on the
#: resistance of a cold or aged battery: common practice, no source
AT_PEAK, COLD = 12.0, 1.5


def volts_at_start(of: Evaluated) -> dict[str, float]:
    """The least volts of each load that has power while the engine cranks; {} where a figure lacks.

    The starter that stands is a resistance: its current is sought at which its own volts and its
    ohms agree.
    """
    starters = [n for n in of.design.of_kind(p.Load) if of.design.parts[n].type == "starter"]
    batteries = of.design.of_kind(p.Battery)
    known = all(of.design.parts[b].internal_resistance for b in batteries)
    if len(starters) != 1 or not known or not of.design.parts[starters[0]].peak:
        return {}
    edits: dict[str, Any] = {
        f"parts/{b}/internal-resistance": f"{COLD * of.design.parts[b].internal_resistance:.9g} ohm"
        for b in batteries
    }
    found: dict[str, float] = {}
    for name, state in of.states.items():
        if state.engine == "cranking":
            point = _standing(of, edits, name, starters[0])
            powered = of.healthy(state).powered
            for element in (e for e, on in powered.items() if point and on):
                volts = point.across[element] if point else 0.0
                load = element.partition("/")[2]
                found[load] = min(found.get(load, volts), volts)
    return found


def _standing(of: Evaluated, edits: dict[str, Any], state: str, starter: str) -> OperatingPoint | None:
    """The point at which the starter has the volts that its ohms want, by the rule of the chord."""
    ohms = AT_PEAK / of.design.parts[starter].peak
    amps, last = of.design.parts[starter].peak, (0.0, AT_PEAK)
    for _ in range(8):
        data = edited(of.data, {**edits, f"parts/{starter}/current": f"{amps:.9g} A"})
        point = _point(Evaluated(data), state)
        if point is None:
            return None
        wrong = point.across[f"parts/{starter}"] - amps * ohms
        if abs(wrong) < 1e-4:
            return point
        slope = (wrong - last[1]) / (amps - last[0])
        last, amps = (amps, wrong), amps - wrong / slope
    return None


def _point(of: Evaluated, state: str) -> OperatingPoint | None:
    points = Facts(of.design).points
    phases = [flown for flown in points.flown if flown.state == state]
    try:
        return points.point(phases[0])
    except NotAssessable:
        return None
