"""What tells the crew of a particular failure: a lost source, a cut sense lead, a warning that dies with what it watches, a stuck starter contactor."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from reviewer.analysis.conduction.current_direction import without
from reviewer.analysis.conduction.failure_modes import DIODE_SHORT, HELD, OPEN, Failure, stuck_relays
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.detection.evidence import Scene
from reviewer.analysis.detection.monitors import Meter, lit
from reviewer.model import parts as p
from reviewer.model.design import Check, Design
from reviewer.model.record import record
from reviewer.network.graph import Network, bare

CHARGED, BATTERY, DEAD, LIGHTS, GOES_OUT, OTHERWISE = (
    "charging volts",
    "battery volts",
    "no volts",
    "lights",
    "goes out",
    "reads otherwise",
)


@record
class Missed:
    """What shows in ``state`` that a source is lost: a monitor by name, or "" where use reveals it."""

    state: str
    monitor: str


def missed_sources(
    network: Network, meters: Mapping[str, Meter], answers: Sequence[StateAnswer], flown: Collection[str]
) -> Mapping[str, Missed | None]:
    """For each battery and alternator, the first thing that shows its loss in any of some states; use reveals it in those that are ``flown``."""
    wanted = [s.element for s in network.sources if s.kind != "ground-power"]
    found: dict[str, Missed | None] = dict.fromkeys(wanted)
    for answer in answers:
        if not wanted:
            break
        scene = Scene(answer, meters, tuple(Failure(source, OPEN) for source in wanted))
        used = scene.used() if answer.state.name in flown else 0
        for i, source in enumerate(wanted):
            monitor = next((name for name, mask in scene.monitors.items() if mask >> i & 1), None)
            if monitor is not None or used >> i & 1:
                found[source] = Missed(answer.state.name, monitor or "")
        wanted = [source for source in wanted if found[source] is None]
    return found


def unseen_cuts(
    meters: Mapping[str, Meter],
    name: str,
    silent: bool,
    dispatch: StateAnswer,
    checks: Sequence[tuple[Check, StateAnswer]],
) -> tuple[str, ...]:
    """Elements of the sense leads of a monitor whose opening nobody sees: it changes no reading in the dispatch state, nor in a check that looks at it.

    ``silent`` says that a reading of nothing gives no alarm, so that in the dispatch state a change is not noticed.
    """
    meter = {name: meters[name]}
    elements = meters[name].lead
    cases = tuple(Failure(e, OPEN) for e in elements)
    unseen = (1 << len(cases)) - 1
    if not silent:
        unseen &= ~Scene(dispatch, meter, cases).monitors[name]
    for check, answer in checks:
        if unseen and name in check.watch:
            unseen &= ~Scene(answer, meter, cases).monitors[name]
    return tuple(e for i, e in enumerate(elements) if unseen >> i & 1)


def silencing(meters: Mapping[str, Meter], name: str, dispatch: StateAnswer) -> tuple[Failure, ...]:
    """Failures that make dead both what a monitor senses and what shows it. What takes nothing else is that unit's own branch and no case."""
    meter, healthy, failed = meters[name], dispatch.healthy, dispatch.failed
    if not (healthy.live(meter.sensed[0]) and lit(meter, healthy)):
        return ()
    others = 0
    for element, mask in failed.powered.items():
        if healthy.powered[element] and element != meter.instrument:
            others |= ~mask
    both = ~failed.live(meter.sensed[0]) & ~lit(meter, failed) & others
    return tuple(failure for i, failure in enumerate(dispatch.failures) if both >> i & 1)


def warnings(scene: Scene) -> Mapping[str, int]:
    """For each monitor, the lanes in which it tells the crew without being asked for: an alarm is given, or a reading goes away.

    Volts that are lower tell by an `alarm-below` only, amperes that differ by an `alarm`, unless they are gone.
    """
    monitors = scene.answer.design.watch.monitors
    found = {}
    for name, changed in scene.monitors.items():
        meter, reading = scene.meters[name], scene.readings[name]
        gone = changed
        if not meter.lamp and meter.shunt and not monitors[name].alarm:
            gone &= ~(reading[1] | reading[2])
        elif not meter.lamp and meter.shows == "voltage" and not meter.warns_below:
            gone &= ~reading[1]
        found[name] = gone
    return found


@record
class StuckStarter:
    """A contactor that runs a starter when its contacts stick in ``state``, and the monitors of volts or of something live that show it."""

    contactor: str
    starter: str
    state: str
    shown: tuple[str, ...]


def stuck_starters(
    design: Design, meters: Mapping[str, Meter], answers: Sequence[StateAnswer]
) -> tuple[StuckStarter, ...]:
    """Every contactor whose stuck contacts run a starter, in each of some states."""
    starters = [n for n in design.of_kind(p.Load) if design.parts[n].type == "starter"]
    cases = tuple(f for f in stuck_relays(design) if f.mode == HELD)
    if not starters or not cases:
        return ()
    found = []
    meters = {n: m for n, m in meters.items() if not m.shunt}  # amperes that run high are no warning
    for answer in answers:
        scene = Scene(answer, meters, cases)
        for starter in starters:
            runs = scene.loads[starter] & scene.solved.powered[f"parts/{starter}"]
            for i, case in enumerate(cases):
                if runs >> i & 1:
                    shown = tuple(n for n, mask in scene.told.items() if mask >> i & 1)
                    found.append(StuckStarter(case.element, starter, answer.state.name, shown))
    return tuple(found)


def charge_meters(
    network: Network, meters: Mapping[str, Meter], dispatch: StateAnswer, alternator: str
) -> tuple[str, ...] | None:
    """Monitors of a current through which all goes that an alternator gives to some battery, or that some battery gets; None where it charges none.

    Such a shunt, taken out, parts the two: it stands in the lead of the alternator or in that of the battery.
    """
    source = next(s for s in network.sources if s.element == alternator)
    batteries = [s for s in network.sources if s.kind == "battery"]

    def charges(fed: Mapping, returned: Mapping) -> set[str]:
        return {
            b.element for b in batteries if fed[alternator][b.positive] and returned[alternator][b.negative]
        }

    healthy = dispatch.healthy
    charged = charges(healthy.fed, healthy.returned) if healthy.alive[source.element] else set()
    if not charged:
        return None
    found = []
    for name, meter in meters.items():
        if meter.shunt and lit(meter, healthy):
            cut = without(network, healthy, meter.shunt)
            if charged - charges(cut.fed, cut.returned):
                found.append(name)
    return tuple(found)


@record
class CheckEvidence:
    """What a check is good for: whether any failure at all changes what it watches, and which elements it is to prove but does not."""

    notices: bool
    misses: tuple[str, ...]


def check_evidence(
    design: Design, meters: Mapping[str, Meter], check: Check, answer: StateAnswer
) -> CheckEvidence:
    """What a check before flight would notice. A diode is proved by either of its failures, all else by its opening."""
    meters = {n: m for n, m in meters.items() if n in check.watch}
    elements = [f"parts/{n}" if n in design.parts else f"wires/{n}" for n in check.proves]
    cases = [Failure(e, OPEN) for e in elements]
    cases += [Failure(e, DIODE_SHORT) for e in elements if isinstance(design.parts.get(bare(e)), p.Diode)]
    seen = Scene(answer, meters, tuple(cases)).watched(check.watch) if cases else 0
    proved = {case.element for i, case in enumerate(cases) if seen >> i & 1}
    return CheckEvidence(
        bool(proved) or _notices(design, meters, check, answer), tuple(e for e in elements if e not in proved)
    )


def _notices(design: Design, meters: Mapping[str, Meter], check: Check, answer: StateAnswer) -> bool:
    powered = answer.healthy.powered
    for name in check.watch:
        meter = meters.get(name)
        # the loss of what is watched, or of what shows it, would be seen: no need to try the others
        if meter and meter.instrument and not meter.lamp and powered[meter.instrument]:
            return True
        if not meter and name not in design.functions and powered.get(f"parts/{name}"):
            return True
    return any(
        Scene(answer, meters, cases).watched(check.watch)
        for cases in (answer.failures, stuck_relays(design))
        if cases
    )


@record
class Told:
    """How a monitor that can be read differs after a failure: ``now`` is one of the words of this module, or where a lamp lights or goes out."""

    monitor: str
    now: str


def told_of_alternator(
    meters: Mapping[str, Meter], dispatch: StateAnswer, alternator: str
) -> tuple[Told, ...] | None:
    """What each monitor that can be read shows of the loss of an alternator in the dispatch state; None where it does not run there."""
    if not dispatch.healthy.alive[alternator]:
        return None
    scene = Scene(dispatch, meters, (Failure(alternator, OPEN),))
    return tuple(Told(name, _now(scene, meters[name])) for name, mask in scene.told.items() if mask)


def _now(scene: Scene, meter: Meter) -> str:
    reading = [bool(mask & 1) for mask in scene.readings[meter.name]]
    if meter.lamp:
        return LIGHTS if reading[0] else GOES_OUT
    if meter.shows == "voltage":
        return CHARGED if reading[2] else BATTERY if reading[1] else DEAD
    return OTHERWISE
