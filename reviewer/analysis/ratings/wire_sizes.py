"""The wire size that puts a wire right which is too thin."""

from __future__ import annotations

from collections.abc import Callable, Collection
from contextlib import suppress

from reviewer.model.parts import Wire
from reviewer.model.quantities import Gauge
from reviewer.tables.lookup import OutsideTable, protector_limit
from reviewer.tables.wire_tables import larger_sizes, resistance_per_metre


def least_size(wire: Wire, serves: Callable[[Gauge], bool]) -> str:
    """The least printed size larger than a wire that serves, as it is written; "" where none does, or the
    wire is not of a known size of copper. A size for which ``serves`` raises OutsideTable does not."""
    copper = wire.gauge is not None and wire.conductor != "aluminium"
    for size in larger_sizes(wire.gauge) if copper and wire.gauge else ():
        with suppress(OutsideTable):
            if serves(size):
                return str(size)
    return ""


def size_for_ratings(wire: Wire, rated: Collection[tuple[str, float]]) -> str:
    """The least size larger than a wire that each of some devices protects, by AC 43.13-1B Table 11-3, each
    its column (breaker or fuse) and its rating in A; "" for none."""
    return least_size(wire, lambda size: all(protector_limit(size, column) >= amps for column, amps in rated))


def size_for_drop(wire: Wire, volts: float, less: float, nominal: float) -> str:
    """The least size with which a wire that loses ``volts`` loses ``less`` of them than now; "" for none.

    The current of a load rises with the volts that it gains, by less than twice its share of ``nominal``.
    "" too where its resistance is stated, which follows from no size. Raises OutsideTable where the
    resistance of the wire itself is not printed.
    """
    if wire.gauge is None or wire.resistance is not None or not 0 < less < volts:
        return ""
    own, rises = resistance_per_metre(wire.gauge).value, 1 + 2 * less / nominal
    return least_size(
        wire, lambda size: rises * volts * resistance_per_metre(size).value / own <= volts - less
    )
