"""The charge of each battery in time after the loss of a source, with the shed plan."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from reviewer.analysis.endurance.battery_endurance import shed_at
from reviewer.model.record import record

if TYPE_CHECKING:
    from reviewer.questions.budget import Budget

#: points of a curve, at most
_POINTS = 60


@record
class ShedPoint:
    """An action of the shed plan:

    ``seconds`` after the loss it is done, with ``charge`` (0 to 1) left.
    """

    action: str
    seconds: float
    charge: float


@record
class DischargeCurve:
    """A battery that runs down in ``seconds``; ``required`` is None where none is declared.

    ``points`` are (seconds from the loss, charge from 0 to 1), the first and the last moment among
    them. ``shed`` are the actions done before the battery is exhausted, ``planned`` all of them.
    """

    battery: str
    seconds: float
    required: float | None
    points: tuple[tuple[float, float], ...]
    shed: tuple[ShedPoint, ...]
    planned: tuple[str, ...]


def discharge_curves(budget: Budget | None) -> tuple[DischargeCurve, ...]:
    """The curve of each battery that runs down; () where none does."""
    found = []
    for one in budget.lasting if budget else ():
        if math.isinf(one.seconds):
            continue
        curve, actions = one.found.curve, shed_at(one)
        step = max(1, math.ceil((len(curve) - 1) / (_POINTS - 1)))
        points = tuple((m.seconds, m.charge) for m in (*curve[:-1:step], curve[-1]))
        shed = tuple(
            ShedPoint(action, at, min(curve, key=lambda m: abs(m.seconds - at)).charge)
            for action, at in actions.items()
            if at < one.seconds
        )
        found.append(DischargeCurve(one.battery, one.seconds, one.wanted, points, shed, tuple(actions)))
    return tuple(found)
