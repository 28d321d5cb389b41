"""What each monitor reads in each lane, in levels: for lamps, for displays of something live, and
where the file lacks the figures of a reading in volts or amperes.

A reading is a tuple of masks; two lanes read the same where all masks agree. A voltage has three
levels: that of a charging source (an alternator or external power), that of a battery, none. A
current has its direction. A voltmeter reads a source only where the return of the instrument is
joined to that source. An input that reads what closes it to ground reads whether it is closed. What
an ammeter with a sense lead elsewhere than at its shunt reads shows nothing of the current.
"""

from __future__ import annotations

from collections.abc import Mapping

from reviewer.analysis.conduction.current_direction import Without, flow, without
from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.analysis.conduction.masks import at_any
from reviewer.network.graph import Network, works
from reviewer.network.meters import Meter

Reading = tuple[int, ...]


def readings(network: Network, watched: Mapping[str, Meter], solved: Conduction) -> dict[str, Reading]:
    """What each monitor reads in each lane."""
    cut = {
        shunt: without(network, solved, shunt)
        for shunt in {meter.shunt for meter in watched.values()}
        if shunt
    }
    return {name: _reading(network, meter, solved, cut.get(meter.shunt)) for name, meter in watched.items()}


def lit(meter: Meter, solved: Conduction) -> int:
    """The lanes in which the display of a monitor works; all where none is declared."""
    return works(solved.powered, meter.instrument) if meter.instrument else (1 << solved.width) - 1


def _reading(network: Network, meter: Meter, solved: Conduction, cut: Without | None) -> Reading:
    shown = lit(meter, solved)
    if meter.shunt and meter.stray:
        return shown, 0, 0
    if cut is not None:
        intact = shown & cut.conducts
        for end in meter.ends:
            intact &= _in_a_circuit(network, solved, end)
        out, back = flow(network, solved, cut, *meter.sensed)
        return shown, intact & out, intact & back
    if meter.grounded:
        return shown, shown & _closed_to_ground(network, meter, solved)
    some, charged = _volts(network, meter, solved)
    if meter.lamp:
        # a lamp shows only whether it is lit
        return (shown & ~charged if meter.shows == "voltage" and meter.warns_below else shown,)
    return (shown, shown & some, shown & charged) if meter.shows == "voltage" else (shown, shown & some)


def _volts(network: Network, meter: Meter, solved: Conduction) -> tuple[int, int]:
    """The lanes in which the end of a sense lead is fed by any source, and by a charging one."""
    some = charged = 0
    for source in network.sources:
        mask = solved.fed[source.element][meter.ends[0]]
        if meter.returns:
            mask &= at_any(solved.returned[source.element], meter.returns)
        some |= mask
        if source.kind != "battery":
            charged |= mask
    return some, charged


def _closed_to_ground(network: Network, meter: Meter, solved: Conduction) -> int:
    """The lanes in which the end of a sense lead is at the ground of the instrument that reads it."""
    mask = 0
    for source in network.sources:
        returned = solved.returned[source.element]
        mask |= returned[meter.ends[0]] & at_any(returned, meter.returns)
    return mask


def _in_a_circuit(network: Network, solved: Conduction, node: int) -> int:
    """The lanes in which a node is joined to a live source, on the supply or the return side."""
    mask = 0
    for source in network.sources:
        mask |= solved.fed[source.element][node] | (
            solved.returned[source.element][node] & solved.alive[source.element]
        )
    return mask
