"""Load on an alternator, days that a parked battery lasts, and endurance by ampere-hours alone."""

from __future__ import annotations

import math
from collections.abc import Sequence

from reviewer.model.record import record
from reviewer.model.rounding import exceeds
from reviewer.tables.limits import alternator_share
from reviewer.tables.lookup import SourcedFigure, table


@record
class AlternatorLoad:
    """``share`` of the output that the continuous load takes, against ``limit`` (0.8 of the rated
    output; a rule of thumb in its source)."""

    amperes: float
    output_a: float
    share: float
    limit: SourcedFigure

    @property
    def within(self) -> bool:
        """Whether the load is at most the limit's share of the output."""
        return not exceeds(self.share, self.limit.value)


def alternator_load(amperes: float, output_a: float) -> AlternatorLoad:
    """Continuous load (recharge, coils and field included) against the 80 % line of AC 43.13-1B
    11-35a.

    ``output_a`` is the rated output, or what the alternator gives at the engine speed of the phase.
    With a placard or monitoring the line does not apply; the surge just after start is no
    continuous load.
    """
    if output_a <= 0:
        raise ValueError(f"an alternator with an output of {output_a:g} A")
    return AlternatorLoad(amperes, output_a, amperes / output_a, alternator_share())


def surplus_current(output_a: float, load_a: float) -> float:
    """What an alternator has left for its battery: the most that the battery may be charged with,
    in A."""
    return max(0.0, output_a - load_a)


def days_to_half(capacity_ah: float, drain_a: float) -> float:
    """Days in which a steady drain takes a full battery down to half of its charge; infinite
    without a drain.

    No rate exponent: the drain is far below the rated current. Self-discharge of the battery is
    left out. Raises ValueError for a negative drain.
    """
    if drain_a < 0:
        raise ValueError(f"a drain of {drain_a:g} A")
    return math.inf if drain_a == 0 else capacity_ah / 2 / drain_a / 24


def seconds_on_allowance(rated_ah: float, runs: Sequence[tuple[float, float]]) -> float:
    """Seconds that a battery lasts by the usable share of its rated capacity (0.75), divided by the
    currents of ``runs`` (seconds, amperes) in turn; the last current holds on. Infinite where the
    last one is no current. As an installer prints a load analysis: no rate, no age, no cold."""
    left = 3600 * rated_ah * table("load_allowances", "emergency_power").at("usable-share").value
    done = 0.0
    for seconds, amperes in runs[:-1]:
        if amperes > 0 and left <= seconds * amperes:
            return done + left / amperes
        left, done = left - seconds * amperes, done + seconds
    amperes = runs[-1][1]
    return done + left / amperes if amperes > 0 else math.inf
