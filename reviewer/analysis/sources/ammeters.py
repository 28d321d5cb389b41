"""Whether an ammeter shows the current that it is said to show."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.answers import States
from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.operating_point.answers import OperatingPoints
from reviewer.analysis.operating_point.cranking import cranks
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, Source, bare
from reviewer.network.search import reachable
from reviewer.tables.practice import practice

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.solved_state import OperatingPoint

#: tolerance between a reading and the current it is said to show: amperes, and a share of that
#: current
AMPERES = practice("amperes", "ammeter-against-current").high
SHARE = practice("factors", "ammeter-against-current").high


@record
class Misread:
    """A wrong reading: ``reads`` amperes where ``actual`` flow in ``of``, in words.

    Of a battery both are counted as the ammeter is wired: ``discharges`` is 1 where more than zero
    is a discharge, -1 where it is a charge; 0 for what is no battery. ``reversed`` is True where
    all would be right with its leads the other way round.
    """

    where: str
    state: str
    reads: float
    actual: float
    of: str
    discharges: int = 0
    reversed: bool = False


@record
class MeterPoint:
    """An operating point in which an ammeter is read; ``charging`` True for the one in which the
    batteries are half full, else as ``like``."""

    where: str
    state: str
    point: OperatingPoint
    charging: bool = False


def meter_points(states: States, points: OperatingPoints) -> tuple[MeterPoint, ...]:
    """The points in which ammeters are read: what is flown while the engine does not crank, and the
    normal state with every alternator lost, where one gives current in each other state with the
    engine running.

    Raises NotAssessable.
    """
    found = [
        MeterPoint(str(f), f.state, points.point(f))
        for f in points.flown
        if not cranks(states.declared[f.state])
    ]
    alternators = [s.element for s in states.network.sources if s.kind == "alternator"]
    running = [at.point for at in found if states.declared[at.state].engine == "running"]
    if alternators and all(any(point.given[e] for e in alternators) for point in running):
        found.append(_alternators_lost(states, points))
    return tuple(found)


def _alternators_lost(states: States, points: OperatingPoints) -> MeterPoint:
    """The normal state with every alternator lost."""
    lost = tuple(Failure(s.element, OPEN) for s in states.network.sources if s.kind == "alternator")
    dispatch = states.operation.normal
    point = points.operating_point(dispatch, None, lost)
    return MeterPoint(f"{dispatch}, alternator lost", dispatch, point)


def charging_point(states: States, points: OperatingPoints) -> MeterPoint:
    """The normal state with the main batteries half full. Raises NotAssessable."""
    normal = states.operation.normal
    return MeterPoint(f"{normal}, main battery half full", normal, points.half_charged, True)


def misread(
    design: Design, network: Network, points: Sequence[MeterPoint], monitor: str, tells: str, sign: int = 1
) -> Misread | None:
    """The worst reading that is not what ``indicates`` says, None where all are; ``sign`` -1 with the
    leads of the ammeter the other way round.

    ``alternator-output``: what one alternator gives, the same one throughout. ``battery-charge``:
    what one battery takes or gives, either way round but the same way throughout. ``load``: never
    less than nothing, and no more when the main batteries are half full than when they are full.
    Where no source fits, it is the one whose lead the shunt is in, or a main battery.
    """
    if tells == "load":
        return _no_load(points, monitor, sign)
    kind, signs = ("alternator", (1,)) if tells == "alternator-output" else ("battery", (1, -1))
    worst, own = [], meant(design, network, monitor, kind)
    for source in network.sources:
        if source.kind == kind:
            for way in signs:
                found = [
                    Misread(
                        at.where,
                        at.state,
                        sign * _reads(at, monitor),
                        way * _output(design, source, at, sign * _reads(at, monitor)),
                        bare(source.element),
                        way if kind == "battery" else 0,
                    )
                    for at in points
                ]
                worst.append(max(found, key=_off))
    if not worst or min(map(_off, worst)) <= 0:
        return None
    return min((one for one in worst if one.of in own), key=_off)


def _output(design: Design, source: Source, at: MeterPoint, reads: float) -> float:
    """Amperes that a source gives; of a generator that excites itself without what its own field takes, if
    that is nearer to what is read: that never leaves it where the shunt is behind the feed of the field."""
    given = at.point.given[source.element]
    if not source.excites_itself:
        return given
    field = f"{bare(source.element)}.field"
    amps = at.point.amps
    taken = sum(
        amps.get(f"wires/{name}", 0.0) * (1 if wire.to == field else -1)
        for name, wire in design.wires.items()
        if field in (wire.from_, wire.to)
    )
    return min(given, given - taken, key=lambda actual: abs(reads - actual))


def meant(design: Design, network: Network, monitor: str, kind: str) -> set[str]:
    """The names of the sources of a kind whose current an ammeter is there to read.

    What stands alone on one side of the shunt; else the main batteries, or every source of the kind.
    """
    shunt, alone = f"parts/{design.watch.monitors[monitor].senses}", set()
    for node in network.nodes_of.get(shunt, ()):
        side = reachable(network, [node], lambda link, _: link.element != shunt)
        inside = [
            s for s in network.sources if s.kind != "external-power" and side & {s.positive, s.negative}
        ]
        alone |= {bare(s.element) for s in inside if len(inside) == 1 and s.kind == kind}
    every = {bare(s.element) for s in network.sources if s.kind == kind}
    mains = {name for name in every if getattr(design.parts[name], "purpose", "") == "main"}
    return alone or mains or every


def battery_ammeters(states: States, points: OperatingPoints) -> tuple[str, ...]:
    """The monitors that read the current of one main battery wherever the engine runs and they are
    lit, either way round.

    Recognised by what they read, with the alternators lost as well; some of that current must be
    more than the tolerance. Raises NotAssessable.
    """
    design = states.design
    named = [n for n, monitor in design.watch.monitors.items() if monitor.shows == "current"]
    mains = [f"parts/{n}" for n in design.of_kind(p.Battery) if design.parts[n].purpose == "main"]
    found = (*meter_points(states, points), _alternators_lost(states, points))
    running = [at for at in found if states.declared[at.state].engine == "running"]

    def reads(monitor: str, battery: str, sign: int) -> bool:
        lit = [at for at in running if not at.point.readings[monitor].blank]
        seen = [
            Misread(at.where, at.state, _reads(at, monitor), sign * at.point.given[battery], bare(battery))
            for at in lit
        ]
        return any(abs(one.actual) > AMPERES for one in seen) and all(_off(one) <= 0 for one in seen)

    return tuple(n for n in named if any(reads(n, battery, sign) for battery in mains for sign in (1, -1)))


def _reads(point: MeterPoint, monitor: str) -> float:
    value = point.point.readings[monitor].value
    return 0.0 if value is None else value


def _off(one: Misread) -> float:
    """By how much a reading exceeds its tolerance."""
    return abs(one.reads - one.actual) - max(AMPERES, SHARE * abs(one.actual))


def _no_load(points: Sequence[MeterPoint], monitor: str, sign: int) -> Misread | None:
    def reads(at: MeterPoint) -> float:
        return sign * _reads(at, monitor)

    least = min(points, key=reads)
    if reads(least) < -AMPERES:
        return Misread(least.where, least.state, reads(least), 0.0, "a load, which never delivers current")
    for charging in (at for at in points if at.charging):
        full = next(at for at in points if at.state == charging.state and not at.charging)
        what = "the loads, as with full batteries"
        found = Misread(charging.where, charging.state, reads(charging), reads(full), what)
        if _off(found) > 0:
            return found
    return None
