"""Batteries that run down, integrated by scipy on states whose switches are set by hand: an operating point is solved anew at every step, and what drops out is left out."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np
from scipy.integrate import solve_ivp

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.facts import Facts
from reviewer.analysis.operating_point.answers import Flown
from reviewer.analysis.operating_point.points import Figures
from reviewer.analysis.operating_point.solved_state import OperatingPoint

#: a tree of (how many, of what): a name is a load
Needs = str | tuple[int, Sequence["Needs"]]


def loss_by_hour(amps: float, rated: float, aged: float = 0.64) -> float:
    """Share of the charge lost in an hour, T = R (C / (I R))^n with R = 20 h and n = 1.2, never better than rated; ``aged`` is what age and cold leave."""
    return 1 / (min(rated / amps, 20 * (rated / (amps * 20)) ** 1.2) * aged)


class ByHand:
    """The charges of batteries (name -> rated ampere-hours) in a design without an alternator."""

    def __init__(self, facts: Facts, rated: Mapping[str, float], phase: str | None, aged: float = 0.64):
        self.facts, self.rated, self.phase, self.aged = facts, dict(rated), phase, aged
        self.charges, self.hours, self.out = np.ones(len(rated)), 0.0, []

    def point(self, state: str, charges: Sequence[float]) -> OperatingPoint:
        full = dict(zip((f"parts/{n}" for n in self.rated), np.clip(charges, 0, 1), strict=True))
        case = tuple(Failure(f"parts/{n}", OPEN) for n in self.out)
        figures = Figures(state_of_charge=full, ageing={f"parts/{n}": self.cold(n) for n in self.rated})
        return self.facts.points.figured(Flown(state, self.phase), case, figures)

    def cold(self, battery: str) -> float:
        """Times the resistance of a new battery: as declared, else twice (common practice, no source)."""
        part = self.facts.design.parts[battery]
        return part.cold_resistance / part.internal_resistance if part.cold_resistance else 2.0

    def margin(self, needs: Needs, point: OperatingPoint) -> float:
        """Volts by which what is needed is above its minimum: of ``k`` channels the k-th best."""
        if isinstance(needs, str):
            volts = point.across.get(f"parts/{needs}", 0.0)
            return volts - (self.facts.design.parts[needs].minimum or 0.0)
        return sorted((self.margin(one, point) for one in needs[1]), reverse=True)[needs[0] - 1]

    def follow(self, state: str, seconds: float, needs: Needs) -> bool:
        """Follow a state until its time is over; True where what is needed is lost before. Batteries that are empty drop out."""
        left = seconds / 3600
        while left > 1e-9:
            if self.margin(needs, self.point(state, self.charges)) < 0:
                return True
            rated = list(self.rated.values())

            def slope(_: float, charges: np.ndarray, rated: Sequence[float] = rated) -> list[float]:
                given = self.point(state, charges).given
                amps = [0.0 if n in self.out else given[f"parts/{n}"] for n in self.rated]
                return [
                    -loss_by_hour(a, c, self.aged) if a > 0 else -a / (c * self.aged)
                    for a, c in zip(amps, rated, strict=True)
                ]

            def lost(_: float, charges: np.ndarray) -> float:
                return self.margin(needs, self.point(state, charges))

            events: list[Callable] = [lost]
            for i, name in enumerate(self.rated):
                if name not in self.out:
                    events.append(lambda _, q, i=i: q[i])
            for event in events:
                event.terminal, event.direction = True, -1  # type: ignore[attr-defined]
            done = solve_ivp(
                slope, (0, left), self.charges, rtol=1e-5, atol=1e-7, max_step=0.05, events=events
            )
            self.charges, left, self.hours = done.y[:, -1], left - done.t[-1], self.hours + done.t[-1]
            if done.t_events[0].size:
                return True
            self.out += [
                n for n, q in zip(self.rated, self.charges, strict=True) if q < 1e-6 and n not in self.out
            ]
        return False
