"""What each wire carries and what is lost on the way to each load, from operating points solved
directly.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.solved_state import OperatingPoint
from reviewer.model import parts as p
from tests.mutants.evaluated import Evaluated
from tests.published.transcriptions import PRINTED

#: AC 43.13-1B Table 11-6, 14 V: continuous; intermittent is twice as much
CONTINUOUS, INTERMITTENT = 0.5, 1.0
#: volts between battery and starter that trade practice accepts for sure, and those it accepts
#: at most
CRANKING = (1.0, 1.5)
#: a single wire in free air carries less than this many times its row of Table 11-9, which is
#: for bundles of 33 at 60,000 ft
FREE_AIR = 3.0
#: column of Table 11-9 by temperature class of the insulation
_CLASSES = {105.0: 0, 150.0: 1, 200.0: 2}


@dataclass(frozen=True)
class Drop:
    """Volts lost for a load: between its bus and its ground block (least), between source and load
    and back (most).
    """

    load: str
    least: float
    most: float
    at_peak: float


class Solved:
    """The operating points of a design, in each state that is flown with each phase."""

    def __init__(self, of: Evaluated):
        self.of = of
        self.points: list[tuple[str, OperatingPoint]] = []
        self.missing = ""
        self._solve()

    def _solve(self) -> None:
        points = Facts(self.of.design).points
        for flown in points.flown:
            try:
                self.points.append((flown.state, points.point(flown)))
            except NotAssessable as missing:
                self.missing = missing.needs

    @property
    def whole(self) -> bool:
        """Whether every wire has a gauge and a length, every load a current, and every state was
        solved.
        """
        return not self.missing and all(not op.unsized and not op.undrawn for _, op in self.points)

    def current(self, wire: str) -> float:
        """The largest current of a wire, amperes, while no starter turns."""
        return max(
            (abs(op.amps.get(f"wires/{wire}", 0.0)) for state, op in self.points if not self._cranks(state)),
            default=0.0,
        )

    def cranking_loss(self) -> float:
        """The most volts lost between a battery and a starter and back while it turns."""
        lost = 0.0
        for state, op in self.points:
            for name, part in self.of.design.parts.items():
                if self._cranks(state) and isinstance(part, p.Load) and part.type == "starter":
                    across = op.across.get(f"parts/{name}", 0.0)
                    posts = [
                        op.volts[f"{b}.positive"] - op.volts[f"{b}.negative"]
                        for b in self.of.design.of_kind(p.Battery)
                        if op.given[f"parts/{b}"] > 50
                    ]
                    if across and posts:
                        lost = max(lost, max(posts) - across)
        return lost

    @cached_property
    def drops(self) -> dict[str, Drop]:
        """The largest losses of each load that runs in a solved state."""
        found: dict[str, Drop] = {}
        for state, op in self.points:
            if not self._cranks(state):
                for drop in self._drops(state, op):
                    old = found.get(drop.load, drop)
                    found[drop.load] = Drop(
                        drop.load,
                        max(old.least, drop.least),
                        max(old.most, drop.most),
                        max(old.at_peak, drop.at_peak),
                    )
        return found

    def _drops(self, state: str, op: OperatingPoint) -> Iterator[Drop]:
        steps = self._steps(state)
        for taker in self.of.circuit.consumers:
            taken, name = op.taken.get(taker.element, 0.0), taker.element.partition("/")[2]
            part = self.of.design.parts[name]
            supplies = [n for n in taker.plus if n in op.volts]
            if taken < 0.01 or not supplies or getattr(part, "type", "") == "starter":
                continue
            supply = max(supplies, key=lambda n: op.volts[n])
            back = taker.minus[0]
            bus, block = self._nearest(steps, supply, _HEADS), self._nearest(steps, back, _GROUNDS)
            if not bus or not block or back not in op.volts:
                continue
            least = op.volts[bus] - op.volts[supply] + op.volts[back] - op.volts[block]
            healthy = self.of.healthy(self.of.states[state])
            totals = [
                op.volts[s.positive] - op.volts[supply] + op.volts[back] - op.volts[s.negative]
                for s in self.of.circuit.sources
                if supply in healthy.fed[s.element]
            ]
            most = max(least, min(totals, default=least))
            peak = max((part.peak or taken) / taken, 1.0)
            yield Drop(name, least, most, least * peak)

    def _steps(self, state: str) -> dict[str, list[str]]:
        switches = self.of.states[state].switches
        steps: dict[str, list[str]] = {}
        for way in self.of.circuit.ways:
            if way.when != "forward" and (
                not way.positions or switches.get(way.element.partition("/")[2]) in way.positions
            ):
                steps.setdefault(way.one, []).append(way.other)
                steps.setdefault(way.other, []).append(way.one)
        return steps

    def _nearest(self, steps: dict[str, list[str]], start: str, kinds: tuple[type, ...]) -> str:
        """The terminal of the first bus or ground that is met; "" where none is."""
        todo, seen = [start], {start}
        while todo:
            node = todo.pop(0)
            if isinstance(self.of.design.parts[node.partition(".")[0]], kinds):
                return node
            for other in steps.get(node, ()):
                if other not in seen:
                    seen.add(other)
                    todo.append(other)
        return ""

    def _cranks(self, state: str) -> bool:
        return self.of.states[state].engine == "cranking"


#: where a load's own feed begins, and where its own return ends
_HEADS = (p.Bus, p.Battery)
_GROUNDS = (p.GroundBlock, p.Airframe, p.Stud, p.Battery)


def row_of(of: Evaluated, wire: str) -> float | None:
    """The amperes of AC 43.13-1B Table 11-9 for a wire; None where it has no such row.

    The table is for air of 70 C; in a zone that is hotter the root law leaves less.
    """
    own, aircraft = of.design.wires[wire], of.design.aircraft
    kind = own.insulation or (aircraft.wire.insulation if aircraft.wire else None)
    row = PRINTED["copper_wire/aircraft"].get(str(own.gauge).removesuffix(" AWG"))
    if not row or kind not in _CLASSES:
        return None
    ends = [of.design.parts[e.partition(".")[0]] for e in (own.from_, own.to)]
    zones = [own.zone, *(part.zone for part in ends)]
    hottest = max((aircraft.zones[z].max_ambient or 70.0 for z in zones if z in aircraft.zones), default=70.0)
    return row[_CLASSES[kind]] * math.sqrt(max(0.0, min(1.0, (kind - hottest) / (kind - 70.0))))
