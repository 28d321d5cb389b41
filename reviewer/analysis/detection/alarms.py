"""What indicates a particular failure to the crew: a lost source, an open sense lead, a warning
that fails with what it monitors, a welded starter contactor."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from enum import StrEnum

from reviewer.analysis.conduction.current_direction import without
from reviewer.analysis.conduction.failure_modes import DIODE_SHORT, HELD, OPEN, Failure
from reviewer.analysis.conduction.masks import at_any
from reviewer.analysis.conduction.own_generators import own_generators
from reviewer.analysis.conduction.scenarios import Case
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.detection.evidence import Observation
from reviewer.analysis.detection.monitors import lit
from reviewer.analysis.detection.reading_limits import ReadingLimits
from reviewer.model import parts as p
from reviewer.model.design import Check, Design
from reviewer.model.record import record
from reviewer.network.graph import Network, bare, holder, own_battery
from reviewer.network.meters import Meter


class Shows(StrEnum):
    """What a monitor shows after a failure."""

    CHARGING_VOLTS = "charging volts"
    BATTERY_VOLTS = "battery volts"
    NO_VOLTS = "no volts"
    LIGHTS = "lights"
    GOES_OUT = "goes out"
    OTHERWISE = "reads otherwise"


@record
class SourceLossIndication:
    """What shows the loss of a source in ``state``: a monitor, or "" for use or a check."""

    state: str
    monitor: str


def source_loss_indications(
    network: Network,
    meters: Mapping[str, Meter],
    answers: Sequence[StateAnswer],
    flown: Collection[str],
    checks: Sequence[tuple[Check, StateAnswer]] = (),
    limits: ReadingLimits | None = None,
) -> Mapping[str, SourceLossIndication | None]:
    """For each battery and alternator, the first thing that shows its loss in any of some states.

    In those that are ``flown`` every reading counts, and use; where one of ``checks`` is made what it
    watches. Elsewhere nobody is known to read a meter: what counts there is what warns by itself, an
    instrument that goes dark and a starter that does not turn. None where nothing shows it.
    """
    watched: dict[str, list[str]] = {}
    for check, answer in checks:
        watched.setdefault(answer.state.name, []).extend(check.watch)
    wanted = [s.element for s in network.sources if s.kind in ("battery", "alternator")]
    indications: dict[str, SourceLossIndication | None] = dict.fromkeys(wanted)
    for answer in answers:
        if not wanted:
            break
        state, cases = answer.state.name, tuple(Failure(source, OPEN) for source in wanted)
        observation = Observation(answer, meters, cases, limits)
        looked_at = watched.get(state, ())
        used = observation.used() if state in flown else observation.stopped()
        used |= observation.watched_parts([n for n in looked_at if n not in meters])
        warned = observation.monitors if state in flown else warnings(observation)
        read = {n: mask for n, mask in observation.monitors.items() if n in looked_at}
        seen = [*({**warned, **read}).items(), *observation.apart().items()]
        for i, source in enumerate(wanted):
            monitor = next((name for name, mask in seen if mask >> i & 1), None)
            if monitor is not None or used >> i & 1:
                indications[source] = SourceLossIndication(state, monitor or "")
        wanted = [source for source in wanted if indications[source] is None]
    return indications


def undetected_opens(
    meters: Mapping[str, Meter],
    name: str,
    silent: bool,
    normal: StateAnswer,
    checks: Sequence[tuple[Check, StateAnswer]],
    limits: ReadingLimits | None = None,
) -> tuple[str, ...]:
    """Elements of the sense leads of a monitor whose opening nobody notices.

    It changes no reading in the normal state, nor in a check that watches the monitor or the lamp
    that shows it. ``silent`` says that a reading of nothing gives no alarm, so that in the normal
    state a change is not noticed.
    """
    meter = {name: meters[name]}
    elements = meters[name].lead
    cases = tuple(Failure(e, OPEN) for e in elements)
    unseen = (1 << len(cases)) - 1
    if not silent:
        unseen &= ~Observation(normal, meter, cases, limits).monitors[name]
    lamp = bare(meters[name].instrument) if meters[name].lamp else ""
    for check, answer in checks:
        if unseen and (name in check.watch or lamp in check.watch):
            seen = Observation(answer, meter, cases, limits)
            unseen &= ~(seen.monitors[name] | seen.watched_parts([lamp] if lamp in check.watch else []))
    return tuple(e for i, e in enumerate(elements) if unseen >> i & 1)


def disabling_failures(meters: Mapping[str, Meter], name: str, normal: StateAnswer) -> tuple[Failure, ...]:
    """Failures after which both what a monitor senses and what shows it are dead.

    A failure that loses nothing else is in the branch of that unit and is left out; so is one that
    leaves the whole panel dark, which shows. A unit with a battery inside that lasts for the time in
    which the crew notices is dead by its own failure alone.
    """
    meter, healthy, failed = meters[name], normal.healthy, normal.failed
    if not (healthy.live(meter.sensed[0]) and lit(meter, healthy)):
        return ()
    others = 0
    for element, mask in failed.powered.items():
        if healthy.powered[element] and holder(element) == element != meter.instrument:
            others |= ~mask
    dark = _panel_dark(normal, {m.instrument for m in meters.values() if m.lamp})
    both = ~failed.live(meter.sensed[0]) & ~lit(meter, failed) & others & ~dark
    if _warns_on_own_battery(normal.design, meter.instrument):
        both &= sum(1 << i for i, f in enumerate(normal.failures) if f.element == meter.instrument)
    return tuple(failure for i, failure in enumerate(normal.failures) if both >> i & 1)


def _warns_on_own_battery(design: Design, unit: str) -> bool:
    """Whether the battery inside a unit lasts until the crew has noticed a loss, where that is stated."""
    own = design.works_on_for(bare(unit)) if unit else 0.0
    needed = design.operation.recognition_time if design.operation else None
    return own > 0 and own >= (needed or 0.0)


def _panel_dark(normal: StateAnswer, warning_lamps: Collection[str]) -> int:
    """The failures that leave no instrument and no lamp fed, where an instrument was.

    ``warning_lamps`` are dark in the normal state already. A unit that goes on by a battery of its own
    makes the dark panel no less seen; where every instrument has one, none goes dark.
    """
    design, network = normal.design, normal.network
    lit_before = [c.element for c in network.consumers if normal.healthy.powered[c.element]]
    units = [e for e in lit_before if isinstance(design.parts[bare(e)], p.Instrument)]
    panel = [e for e in units if own_battery(e) not in normal.healthy.powered]
    lamps = [
        e
        for e in lit_before
        if isinstance(load := design.parts[bare(e)], p.Load)
        and load.type == "lamp"
        and e not in warning_lamps
    ]
    stays_lit = 0
    for element in (*panel, *lamps):
        stays_lit |= normal.failed.powered[element]
    return ~stays_lit if panel else 0


def warnings(observation: Observation) -> Mapping[str, int]:
    """For each monitor, the lanes in which it warns the crew: an alarm is given, or a reading goes
    away.

    A lower voltage warns by an `alarm-below` only, solved where figures allow, a different current
    by an `alarm` or a level of its own only, unless the reading is gone, as on a display that goes
    dark with too little voltage.
    """
    monitors = observation.answer.design.watch.monitors
    warned = {}
    for name, changed in observation.monitors.items():
        meter, reading = observation.meters[name], observation.readings[name]
        gone = changed
        level = monitors[name].alarm_below is not None or monitors[name].alarm_above is not None
        if not meter.lamp and meter.shunt and level and (shown := observation.numbers.get(name)):
            gone &= ~shown.solved | shown.alarm | ~(reading[1] | reading[2])
        elif not meter.lamp and meter.shunt and not monitors[name].alarm:
            gone &= ~(reading[1] | reading[2])
        elif not meter.lamp and meter.shows == "voltage" and not meter.warns_below:
            gone &= ~reading[1]
        elif not meter.lamp and meter.shows == "voltage" and (shown := observation.numbers.get(name)):
            gone &= ~shown.solved | shown.alarm | ~reading[0]
        warned[name] = gone | (changed & observation.dark[name])
    return warned


@record
class StuckStarter:
    """A contactor that runs a starter when its contacts weld in ``state``.

    ``shown`` are the monitors, ammeters left out, that show it.
    """

    contactor: str
    starter: str
    state: str
    shown: tuple[str, ...]


def stuck_starters(
    design: Design, meters: Mapping[str, Meter], answers: Sequence[StateAnswer]
) -> tuple[StuckStarter, ...]:
    """Every contactor whose welded contacts run a starter, in each of some states."""
    starters = design.starters
    if not starters:
        return ()
    stuck = []
    # a high current is no warning, nor a voltage that sags with it: told by level
    meters = {n: m for n, m in meters.items() if not m.shunt}
    for answer in answers:
        cases = tuple(f for f in answer.stuck_relays if f.mode == HELD)
        if not cases:
            continue
        observation = Observation(answer, meters, cases)
        for starter in starters:
            runs = observation.loads[starter] & observation.solved.powered[f"parts/{starter}"]
            for i, case in enumerate(cases):
                if runs >> i & 1:
                    shown = tuple(n for n, mask in observation.indicated.items() if mask >> i & 1)
                    stuck.append(StuckStarter(case.element, starter, answer.state.name, shown))
    return tuple(stuck)


def charge_meters(
    network: Network, meters: Mapping[str, Meter], normal: StateAnswer, alternator: str
) -> tuple[str, ...] | None:
    """Monitors of a current that carry all that an alternator gives to some battery; None where it
    charges none.

    Their shunt, opened, parts the two: it is in the lead of the alternator or in that of the
    battery.
    """
    source = next(s for s in network.sources if s.element == alternator)
    batteries = [s for s in network.sources if s.kind == "battery"]

    def charges(fed: Mapping, returned: Mapping) -> set[str]:
        return {
            b.element for b in batteries if fed[alternator][b.positive] and returned[alternator][b.negative]
        }

    healthy = normal.healthy
    charged = charges(healthy.fed, healthy.returned) if healthy.alive[source.element] else set()
    if not charged:
        return None
    monitors = []
    for name, meter in meters.items():
        if meter.shunt and lit(meter, healthy):
            cut = without(network, healthy, meter.shunt)
            if charged - charges(cut.fed, cut.returned):
                monitors.append(name)
    return tuple(monitors)


@record
class CheckEvidence:
    """Whether any failure changes what a check watches (``notices``), and the failures of what it
    should prove and does not (``misses``), all of one element together. ``stuck`` are the contacts
    that it shows to stay where they are, of switches and relays whose opening it does not show."""

    notices: bool
    misses: tuple[Failure, ...]
    stuck: tuple[Failure, ...] = ()


def check_evidence(
    design: Design,
    meters: Mapping[str, Meter],
    check: Check,
    answer: StateAnswer,
    limits: ReadingLimits | None = None,
) -> CheckEvidence:
    """What a preflight check would notice.

    A diode is proved by either of its failures, everything else by its opening; a switch or relay
    also by contacts that stay where they are.
    """
    meters = {n: m for n, m in meters.items() if n in check.watch}
    elements = [f"parts/{n}" if n in design.parts else f"wires/{n}" for n in check.proves]
    cases = [Failure(e, OPEN) for e in elements]
    cases += [Failure(e, DIODE_SHORT) for e in elements if isinstance(design.parts.get(bare(e)), p.Diode)]
    seen = Observation(answer, meters, tuple(cases), limits).watched(check.watch) if cases else 0
    proved = {case.element for i, case in enumerate(cases) if seen >> i & 1}
    contacts = tuple(f for f in answer.stuck_contacts if f.element in elements and f.element not in proved)
    seen = Observation(answer, meters, contacts, limits).watched(check.watch) if contacts else 0
    stuck = tuple(case for i, case in enumerate(contacts) if seen >> i & 1)
    proved |= {case.element for case in stuck}
    return CheckEvidence(
        bool(proved) or _notices(design, meters, check, answer, limits),
        tuple(case for e in elements if e not in proved for case in cases if case.element == e),
        stuck,
    )


def _notices(
    design: Design,
    meters: Mapping[str, Meter],
    check: Check,
    answer: StateAnswer,
    limits: ReadingLimits | None,
) -> bool:
    powered = answer.healthy.powered
    for name in check.watch:
        meter = meters.get(name)
        # its own loss, or that of its instrument, would be seen: no need to try the others
        if meter and meter.instrument and not meter.lamp and powered[meter.instrument]:
            return True
        if not meter and name not in design.functions and powered.get(f"parts/{name}"):
            return True
    return any(
        Observation(answer, meters, cases, limits).watched(check.watch)
        for cases in (answer.failures, answer.stuck_relays)
        if cases
    )


@record
class MonitorIndication:
    """What a monitor that can be read shows after a failure, where it differs."""

    monitor: str
    now: Shows

    @property
    def no_voltage(self) -> bool:
        """Whether a voltmeter reads nothing."""
        return self.now is Shows.NO_VOLTS

    @property
    def low_voltage(self) -> bool:
        """Whether a voltmeter reads no more than the voltage of a battery."""
        return self.now in (Shows.BATTERY_VOLTS, Shows.NO_VOLTS)

    @property
    def lights(self) -> bool:
        """Whether a lamp comes on."""
        return self.now is Shows.LIGHTS

    @property
    def otherwise(self) -> bool:
        """Whether an ammeter, or a display of something live, reads otherwise."""
        return self.now is Shows.OTHERWISE


def alternator_loss_indications(
    meters: Mapping[str, Meter], normal: StateAnswer, alternator: str, limits: ReadingLimits | None = None
) -> tuple[MonitorIndication, ...] | None:
    """What each monitor that can be read shows of the loss of an alternator in the normal state.

    None where it does not run in that state, or is off line: an open contact keeps it from every bus
    and every other source. None too of a generator of a unit's own, which no battery replaces.
    """
    return (
        indications(meters, normal, Failure(alternator, OPEN), limits)
        if _on_line(normal, alternator)
        else None
    )


def indications(
    meters: Mapping[str, Meter], normal: StateAnswer, case: Case, limits: ReadingLimits | None
) -> tuple[MonitorIndication, ...]:
    """What each monitor that can be read shows of a case of the normal state, by its level. A current
    whose alarm is in words shows it where its reading, solved with ``limits``, is gone, turned or new."""
    monitors, observation = normal.design.watch.monitors, Observation(normal, meters, (case,))
    shown = [name for name, mask in observation.indicated.items() if mask]
    in_words = {n: meters[n] for n in shown if meters[n].shunt and not meters[n].lamp and monitors[n].alarm}
    changed = Observation(normal, in_words, (case,), limits).indicated if in_words and limits else {}
    return tuple(
        MonitorIndication(name, monitor_shows(observation, meters[name]))
        for name in shown
        if changed.get(name, 1)
    )


def _on_line(normal: StateAnswer, alternator: str) -> bool:
    """Whether an alternator runs and its output reaches a load, a bus or another source, and not units of
    its own alone."""
    design, network, solved = normal.design, normal.network, normal.healthy
    ends = {s.positive for s in network.sources if s.element != alternator}
    ends |= {network.index[name] for name in design.of_kind(p.Bus) if name in network.index}
    ends |= {terminal for c in network.consumers for terminal in c.plus}
    return alternator not in own_generators(normal) and bool(
        solved.alive[alternator] and at_any(solved.fed[alternator], ends)
    )


def monitor_shows(observation: Observation, meter: Meter) -> Shows:
    """What a monitor shows in the only lane."""
    reading = [bool(mask & 1) for mask in observation.readings[meter.name]]
    if meter.lamp:
        return Shows.LIGHTS if reading[0] else Shows.GOES_OUT
    if meter.shows == "voltage":
        if reading[2]:
            return Shows.CHARGING_VOLTS
        return Shows.BATTERY_VOLTS if reading[1] else Shows.NO_VOLTS
    return Shows.OTHERWISE
