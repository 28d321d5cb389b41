"""What a monitor reads at operating points: volts at the end of its sense lead, the amperes of its
shunt."""

from __future__ import annotations

from typing import Any

from reviewer.analysis.operating_point.points import Points
from reviewer.network.meters import Meter


def volts_read(points: Points, meter: Meter) -> Any:
    """Volts, (points,): from the return of the instrument to the end of the sense lead.

    An end that no live source reaches stands at the return through the input: it reads 0.
    """
    import numpy as np

    read = points.volts_of(meter.ends[0])
    zero = 0.0 if meter.zero < 0 else np.nan_to_num(points.volts_of(meter.zero), nan=0.0)
    return np.where(np.isnan(read), 0.0, read - zero)


def amperes_read(points: Points, meter: Meter) -> Any:
    """Amperes, (points,), from the line to the load terminal of the shunt, or the other way where
    the two leads of its input are exchanged; None where what is
    sensed has more than one path, or where a lead is elsewhere and the file does not give the
    resistance of the shunt.

    With one lead open both inputs stand at the volts of the other one, and an ammeter reads 0
    (common practice, no source). With a lead elsewhere than at the shunt, the volts between the
    inputs read as those across it.
    """
    if meter.shunt not in points.only_link:
        return None
    amps = points.amps(meter.shunt)
    if meter.stray:
        apart = points.volts_of(meter.ends[0]) - points.volts_of(meter.ends[1])
        index = points.built.resistors.get(points.only_link[meter.shunt])
        ohms = 0.0 if index is None else points.built.circuit.resistors[index].ohms
        if not ohms and apart.any():
            return None
        amps = apart / (ohms or 1.0)
    if meter.exchanged:
        amps = -amps
    whole = all(bool(points.volts_of(end)[0] == points.volts_of(end)[0]) for end in meter.ends)
    return amps if whole else 0.0 * amps
