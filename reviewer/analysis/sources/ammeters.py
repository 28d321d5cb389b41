"""Whether an ammeter reads what the crew is told that it reads."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from reviewer.model.record import record
from reviewer.network.graph import Network, bare
from reviewer.tables.practice import practice

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.solved_state import OperatingPoint

#: a reading may differ by this from what it is to tell: amperes, and a share of what is told; values of our own
AMPERES = practice("amperes", "ammeter-against-current").high
SHARE = practice("factors", "ammeter-against-current").high


@record
class Misread:
    """A reading that is not what it is to tell: ``reads`` amperes where ``told`` flow in ``of``, in words."""

    where: str
    state: str
    reads: float
    told: float
    of: str


@record
class MeterPoint:
    """An operating point in which an ammeter is read; ``charging`` True for the one in which the batteries are half full, else as ``like``."""

    where: str
    state: str
    point: OperatingPoint
    charging: bool = False


def misread(network: Network, points: Sequence[MeterPoint], monitor: str, tells: str) -> Misread | None:
    """The worst reading that is not what ``tells`` says, None where all are.

    ``alternator-output``: what one alternator gives, the same one throughout. ``battery-charge``: what one battery takes or gives, either way round but
    the same way throughout. ``load``: never less than nothing, and no more when the main batteries are half full than when they are full.
    """
    if tells == "load":
        return _no_load(points, monitor)
    kind, signs = ("alternator", (1,)) if tells == "alternator-output" else ("battery", (1, -1))
    worst = []
    for source in network.sources:
        if source.kind == kind:
            for sign in signs:
                found = [
                    Misread(
                        p.where,
                        p.state,
                        _reads(p, monitor),
                        sign * p.point.given[source.element],
                        bare(source.element),
                    )
                    for p in points
                ]
                worst.append(max(found, key=_off))
    best = min(worst, key=_off, default=None)
    return best if best is not None and _off(best) > 0 else None


def _reads(point: MeterPoint, monitor: str) -> float:
    value = point.point.readings[monitor].value
    return 0.0 if value is None else value


def _off(one: Misread) -> float:
    """How far a reading is beyond what it may differ by."""
    return abs(one.reads - one.told) - max(AMPERES, SHARE * abs(one.told))


def _no_load(points: Sequence[MeterPoint], monitor: str) -> Misread | None:
    least = min(points, key=lambda p: _reads(p, monitor))
    if _reads(least, monitor) < -AMPERES:
        return Misread(
            least.where, least.state, _reads(least, monitor), 0.0, "a load, which never gives current"
        )
    for charging in (p for p in points if p.charging):
        full = next(p for p in points if p.state == charging.state and not p.charging)
        found = Misread(
            charging.where,
            charging.state,
            _reads(charging, monitor),
            _reads(full, monitor),
            "the loads, as with full batteries",
        )
        if _off(found) > 0:
            return found
    return None
