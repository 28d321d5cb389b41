"""What a monitor reads at operating points: volts at the end of its sense lead, the amperes of its
shunt; and where what shows it is dark."""

from __future__ import annotations

from typing import Any

from reviewer.analysis.operating_point.failure_lanes import lanes_array
from reviewer.analysis.operating_point.points import Points
from reviewer.model.design import Design
from reviewer.network.graph import bare, own_battery
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
    (common practice, no published source). With a lead elsewhere than at the shunt, the volts
    between the inputs read as those across it.
    """
    if meter.shunt not in points.only_link:
        return None
    import numpy as np

    volts = [points.volts_of(end) for end in meter.ends]
    amps = points.amps(meter.shunt)
    if meter.stray:
        apart = volts[0] - volts[1]
        ohms = points.link_ohms(points.only_link[meter.shunt])
        if not ohms and apart.any():
            return None
        amps = apart / (ohms or 1.0)
    if meter.exchanged:
        amps = -amps
    whole = np.logical_and.reduce([v == v for v in volts])
    return np.where(whole, amps, 0.0)


def dark(design: Design, points: Points, meter: Meter) -> Any:
    """Where what shows a monitor has no power, or less than its minimum voltage: (points,) of True
    and False. Whether one that draws nothing has too little is not known. One that works on by a
    battery inside it is not dark."""
    import numpy as np

    if not meter.instrument:
        return np.zeros(points.count, bool)
    built = points.built

    def points_of(lanes: int) -> Any:
        return lanes_array(lanes, built.width, points.count)

    found = ~points_of(points.powered[meter.instrument])
    least, index = design.parts[bare(meter.instrument)].minimum, built.loads.get(meter.instrument)
    if least is not None and index is not None:
        low = ~(points.across(meter.instrument) >= least)  # no number where it is dead
        found |= low & points_of(built.present.get(index, (1 << built.width) - 1))
    return found & ~points_of(points.powered.get(own_battery(meter.instrument), 0))
