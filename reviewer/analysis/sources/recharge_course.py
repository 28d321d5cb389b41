"""The current into a flat battery, solved in its circuit: at first, and while it is recharged.

The resistances of wires, contacts, protective devices and diodes, the loads, the other batteries
and what the alternators can deliver all limit it. At first only the battery's own resistance adds to
them. A lithium battery keeps to that until it is nearly full; lead-acid takes within minutes no more
than it accepts.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING

from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import Flown, OperatingPoints, assessed
from reviewer.analysis.ratings.flat_battery import flat_state_of_charge, flat_voltage
from reviewer.analysis.sources.charging import all_drawn
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import bare

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.solved_state import OperatingPoint

#: equal steps of charge at which a recharge is solved, and how often the last of them is halved
#: towards full: there the current of a lithium battery falls off at once
STEPS, HALVINGS = 10, 8
NO_OTHERS: Mapping[str, float] = MappingProxyType({})


@record
class FirstCharge:
    """The first current, ``amps``, into a battery that is flat at ``volts`` at open circuit, and
    the ``point`` solved with it, in what is ``flown``."""

    flown: Flown
    volts: float
    amps: float
    point: OperatingPoint


@record
class RechargeCourse:
    """A flat battery charged in flight: the ``first`` current, the most ``amps`` that it goes on to
    take, and ``seconds`` until it takes no more than the limit. ``carried`` are the same two figures of
    other elements, each with a limit of its own, of those that exceed it while the battery is charged
    and not once it is full."""

    flown: str
    state: str
    first: float
    amps: float
    seconds: float
    basis: str
    carried: Mapping[str, tuple[float, float]]


def first_charge_of(
    design: Design, points: OperatingPoints, flown: Iterable[Flown], battery: str
) -> FirstCharge:
    """The largest first current into a flat battery in some of what is flown, the first of equals.

    Raises NotAssessable.
    """
    part = design.part(bare(battery), p.Battery)
    needs_figures(part, battery)
    volts = assessed(lambda: flat_voltage(part, design.class_of(bare(battery))))
    solved = (_first_charge(points, one, battery, volts) for one in flown)
    return max(solved, key=lambda one: round(one.amps, 6))


def _first_charge(points: OperatingPoints, flown: Flown, battery: str, volts: float) -> FirstCharge:
    from reviewer.analysis.operating_point.points import Figures

    point = points.figured(flown, (), Figures(charged_from={battery: volts}))
    return FirstCharge(flown, volts, -point.given[battery], point)


def needs_figures(part: p.Battery, battery: str) -> None:
    """Raises NotAssessable for a battery without the figures of a charge."""
    missing = [f"`{key}`" for key in ("chemistry", "capacity") if getattr(part, key) is None]
    if missing:
        raise NotAssessable(f"{' and '.join(missing)} of {bare(battery)}")


def recharge_of(
    design: Design,
    points: OperatingPoints,
    first: FirstCharge,
    battery: str,
    limit: float,
    limits: Mapping[str, float] = NO_OTHERS,
) -> RechargeCourse:
    """How a flat battery is recharged after its first current, with the time in which it takes more
    than ``limit`` amperes, and in which others carry more than their ``limits``. Raises
    NotAssessable."""
    from reviewer.analysis.operating_point.points import Figures

    part, nominal = design.part(bare(battery), p.Battery), design.class_of(bare(battery))
    low = flat_state_of_charge(part, nominal)
    charges = charges_from(low)
    basis = "resistance of the circuit, and what the alternators can deliver"
    if part.chemistry == "lead-acid":
        basis = "typical acceptance of lead-acid"
    figures = Figures(state_of_charge={battery: charges})
    solved = points.operating_points(first.flown.state, figures, len(charges), first.flown.phase)
    solved.require_found()
    all_drawn(solved.undrawn)
    amps = [-float(a) for a in solved.amps(battery)]
    assert part.capacity is not None
    through = {element: [abs(float(a)) for a in solved.amps(element)] for element in limits}
    carried = {
        element: (max(one), seconds_above(part.capacity, charges, amps, limits[element], one))
        for element, one in through.items()
        if one[-1] <= limits[element] < max(one)
    }
    return RechargeCourse(
        str(first.flown),
        first.flown.state,
        first.amps,
        max(amps),
        seconds_above(part.capacity, charges, amps, limit),
        basis,
        carried,
    )


def charges_from(low: float) -> list[float]:
    """States of charge, rising, from ``low`` to full, closer together towards full."""
    left = [1 - i / STEPS for i in range(STEPS)]
    left += [left[-1] / 2**i for i in range(1, HALVINGS + 1)]
    return [1 - (1 - low) * share for share in left] + [1.0]


def seconds_above(
    capacity: float,
    charges: Sequence[float],
    amps: Sequence[float],
    limit: float,
    carried: Sequence[float] | None = None,
) -> float:
    """Seconds in which more than ``limit`` is ``carried``, else taken, by a battery of ``capacity``
    ampere-hours that takes ``amps`` at ``charges``, in rising order of charge; all are linear between
    them."""
    seconds, carried = 0.0, amps if carried is None else carried
    for i in range(len(charges) - 1):
        # from the end of the step at which more is carried, as far as that is above the limit
        high, low = (i, i + 1) if carried[i] >= carried[i + 1] else (i + 1, i)
        if carried[high] <= limit:
            continue
        share = 1.0
        if carried[low] < limit:
            share = (carried[high] - limit) / (carried[high] - carried[low])
        mean = _mean(amps[high], amps[high] + (amps[low] - amps[high]) * share)
        if mean <= 0:
            return math.inf  # it is charged no further
        seconds += share * (charges[i + 1] - charges[i]) * 3600 * capacity / mean
    return seconds


def _mean(first: float, last: float) -> float:
    """The mean in time of a current that is linear in the charge: what it brings to a battery falls off
    exponentially, and its mean is the logarithmic one. Where it ends at nothing, half of it."""
    if min(first, last) <= 0 or math.isclose(first, last, rel_tol=1e-6):
        return (first + last) / 2
    return (first - last) / math.log(first / last)
