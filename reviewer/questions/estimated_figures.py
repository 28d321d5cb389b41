"""The minutes and margins of a load analysis that rest on figures which are estimates, with their least and
most at the ends of the ranges."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from reviewer.model.estimates import corners_of, estimates_of, with_estimates
from reviewer.model.record import record

if TYPE_CHECKING:
    from reviewer.analysis.facts import Facts
    from reviewer.questions.budget import Budget

_DAY = 86400.0


@record
class EstimatedFigure:
    """A figure that rests on estimates: ``what`` it is, its ``value`` as the file is written, the least
    and the most that it was in the trials, in ``unit`` (``s`` or ``A``; infinite where it never ends).

    ``required`` is what the file asks for, None for nothing.
    """

    what: str
    value: float
    low: float
    high: float
    unit: str
    required: float | None = None

    @property
    def decides(self) -> bool:
        """Whether the requirement is met at one end and not at the other."""
        return self.required is not None and self.low < self.required <= self.high


def estimated_figures(
    facts: Facts, budget: Budget, ask: Callable[[Facts], Budget]
) -> tuple[EstimatedFigure, ...]:
    """The figures of a budget that move with the estimates of its design; ``ask`` makes a budget."""
    from reviewer.analysis.facts import Facts as _Facts

    corners = corners_of(estimates_of(facts.as_written))
    if not corners:
        return ()
    trials = []
    for corner in corners:
        with _Facts(with_estimates(facts.as_written, corner.ends)) as tried:
            trials.append(dict(_figures(ask(tried))))
    return tuple(
        _moved(what, figure, trials) for what, figure in _figures(budget) if _moves(what, figure, trials)
    )


#: a value, its unit, what is required of it
_Figure = tuple[float, str, float | None]


def _figures(budget: Budget) -> Iterator[tuple[str, _Figure]]:
    for load in budget.phases:
        for one in load.alternators:
            phase = load.flown.phase or load.flown.state
            yield f"margin of {one.name} in {phase}", (one.spare, "A", None)
    for lasting in budget.lasting:
        yield f"endurance of {lasting.battery}", (lasting.seconds, "s", lasting.wanted)
    for function in budget.functions:
        yield (
            f"{function.function} after loss of all generation",
            (function.seconds, "s", function.required),
        )
    for drain in budget.drains:
        yield f"half charge of {drain.battery} in {drain.state}", (min(drain.days) * _DAY, "s", None)


def _moves(what: str, figure: _Figure, trials: list[dict[str, _Figure]]) -> bool:
    return any(
        what in trial and not math.isclose(trial[what][0], figure[0], rel_tol=1e-6) for trial in trials
    )


def _moved(what: str, figure: _Figure, trials: list[dict[str, _Figure]]) -> EstimatedFigure:
    values = [figure[0], *(trial[what][0] for trial in trials if what in trial)]
    return EstimatedFigure(what, figure[0], min(values), max(values), figure[1], figure[2])
