"""What meters may read in a declared state after failures, its own error included: those that leave the
same sources alive are solved as lanes of one circuit."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.failure_readings import BLOCK_VALUES
from reviewer.analysis.operating_point.tolerances import Within, spreads

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import OperatingPoints
    from reviewer.analysis.operating_point.tolerances import Spread

_Case = tuple[Failure, ...]
#: points of a spread, about: four unknowns at their ends
_POINTS = 17


class FailureSpreads:
    """The spreads of one design after failures, each case of a state solved once."""

    def __init__(self, points: OperatingPoints):
        self.points = points
        self._known: dict[tuple[str, _Case], Spread] = {}

    def monitor(self, name: str, state: str, case: _Case) -> Within | None:
        """What a monitor may read after a case; None where that is not solved."""
        found = self._known.get((state, case))
        if found is None or found.unsolved:
            with suppress(NotAssessable):
                found = self.points.spread(state, case)
        return None if found is None else found.monitor(name)

    def solve(self, state: str, cases: Sequence[_Case]) -> None:
        """Solve cases of which the readings will be asked for; what cannot be solved so is solved by
        itself when it is."""
        from reviewer.analysis.operating_point.answers import assessed
        from reviewer.analysis.operating_point.solved_state import scenario_of

        points, network = self.points, self.points.network
        new = tuple(case for case in dict.fromkeys(cases) if (state, case) not in self._known)
        if len(new) < 2:
            return
        answer = points.states.answer(state)
        solved = conduct(network, answer.state, new, answer.healthy)
        charges = points.charges_in(answer.state)
        plain = scenario_of(points.design, network, answer.state, answer.healthy, charges=charges)
        alike: dict[tuple[tuple[int, bool], ...], list[_Case]] = {}
        sources = [s.element for s in network.sources]
        for i, case in enumerate(new):
            if not solved.unsettled >> i & 1:
                # one that is lost itself may draw field or not, one that another failure takes does
                lost = frozenset(f.element for f in case if f.mode == OPEN)
                alive = tuple((solved.alive[e] >> i & 1, e in lost) for e in sources)
                alike.setdefault(alive, []).append(case)
        size = max(1, BLOCK_VALUES // (_POINTS * max(1, len(network.consumers))))
        blocks = (tuple(some[i : i + size]) for some in alike.values() for i in range(0, len(some), size))
        for block in blocks:
            lanes = conduct(network, answer.state, block, answer.healthy)
            many = replace(plain, conduction=lanes, cases=block)
            with suppress(NotAssessable):
                each = assessed(partial(spreads, points.design, network, many, points.wiring))
                self._known |= {(state, case): one for case, one in zip(block, each, strict=True)}
