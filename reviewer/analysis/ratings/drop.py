"""Voltage drop of a run, out and back, against AC 43.13-1B Table 11-6; and of a feeder, against 2 % of the regulated voltage."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from reviewer.analysis.ratings.wire import TABLE_C, wire_resistance
from reviewer.model.quantities import Gauge
from reviewer.model.record import record
from reviewer.tables.limits import allowed_drop, feeder_drop
from reviewer.tables.lookup import Figure, Origin

_ROUNDING_V = 1e-9


@record
class Conductor:
    """One wire of a run; ``celsius`` is the temperature of its copper."""

    name: str
    gauge: Gauge
    length_m: float
    celsius: float = TABLE_C


@record
class Drop:
    """Drop of a run: ``volts`` in all against ``limit_v``; ``shares`` the volts of each wire and joint by name, in the order given."""

    volts: float
    limit_v: float
    amperes: float
    shares: tuple[tuple[str, float], ...]
    limit: Figure
    rests_on: tuple[Origin, ...]

    @property
    def within(self) -> bool:
        """Whether the drop is at most the limit."""
        return self.volts <= self.limit_v + _ROUNDING_V


def run_drop(
    conductors: Sequence[Conductor],
    amperes: float,
    nominal: str,
    duty: str,
    joints: Mapping[str, float] | None = None,
) -> Drop:
    """Drop between the bus and the equipment's ground.

    ``conductors`` every wire of the way out and back; ``joints`` ohms of contacts and pins by name; ``nominal`` as in a design (``"14 V"``);
    ``duty`` ``"continuous"`` or ``"intermittent"``. Diodes are no part of it: their drop is no wire drop. A return through bonded structure is
    taken as nothing by the source; give it as a joint where it is known. Raises OutsideTable.
    """
    limit = allowed_drop(nominal, duty)
    return _drop(conductors, amperes, joints, limit, limit.value)


def source_feeder_drop(
    conductors: Sequence[Conductor],
    amperes: float,
    regulated_v: float,
    joints: Mapping[str, float] | None = None,
) -> Drop:
    """Drop between a source and its bus at ``amperes`` (rated current of the generator, 5-minute rate of the battery). Raises OutsideTable."""
    limit = feeder_drop()
    return _drop(conductors, amperes, joints, limit, limit.value * regulated_v)


def _drop(
    conductors: Sequence[Conductor],
    amperes: float,
    joints: Mapping[str, float] | None,
    limit: Figure,
    limit_v: float,
) -> Drop:
    wires = [(c.name, wire_resistance(c.gauge, c.length_m, c.celsius)) for c in conductors]
    ohms = [(name, wire.ohms) for name, wire in wires] + list((joints or {}).items())
    shares = tuple((name, amperes * r) for name, r in ohms)
    origins = dict.fromkeys((limit.origin, *(wire.figure.origin for _, wire in wires)))
    return Drop(sum(v for _, v in shares), limit_v, amperes, shares, limit, tuple(origins))
