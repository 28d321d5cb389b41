"""What shows a failure to the crew: monitors, alarms, preflight checks.

Each answer is computed once, when it is first asked for. The logic is in the modules beside this
one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property, partial
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.answers import States
from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.scenarios import Case, failures_of
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.crew.answers import Crew
from reviewer.analysis.cut_sets.low_volts import LowVolts
from reviewer.analysis.detection import alarms, evidence, hot_magnetos
from reviewer.analysis.detection.evidence import Observation
from reviewer.analysis.detection.latent import LatentLoss, latent_losses
from reviewer.analysis.detection.new_checks import NewCheck, new_checks
from reviewer.analysis.detection.reading_limits import ReadingLimits
from reviewer.analysis.endurance.answers import Endurance
from reviewer.analysis.not_assessable import NoOperatingPoint, NotAssessable
from reviewer.analysis.operating_point.answers import OperatingPoints
from reviewer.model.design import Check
from reviewer.model.parts import Load, Protector, Switch
from reviewer.network.graph import bare
from reviewer.network.meters import Meter
from reviewer.network.sense_leads import (
    SenseLead,
    StrayLead,
    deselected,
    read_alike,
    sense_lead,
    undrawn_leads,
    wired_meters,
)

if TYPE_CHECKING:
    from reviewer.analysis.detection import indications
    from reviewer.analysis.detection.alarm_levels import MonitorReadings, NoNews
    from reviewer.analysis.detection.annunciators import FalseAnnunciation
    from reviewer.analysis.detection.stall_warnings import SilentWarning
    from reviewer.analysis.detection.untested_trips import UnseenTripLoss
    from reviewer.analysis.endurance.generation_loss import FunctionEndurance, GenerationLoss
    from reviewer.analysis.endurance.shedding import LossNotice
    from reviewer.analysis.operating_point.tolerances import Within


class Detection:
    """What shows a failure to the crew: monitors, alarms, preflight checks."""

    def __init__(
        self,
        states: States,
        crew: Crew,
        points: OperatingPoints,
        endurance: Endurance,
        low_volts: LowVolts,
    ):
        self.states = states
        self.low_volts = low_volts
        self.crew = crew
        self.points = points
        self.endurance = endurance
        self.design, self.network = states.design, states.network
        self._observations: dict[tuple[str, bool], Observation] = {}
        self._evidence: dict[tuple[str, Case], evidence.Evidence] = {}
        self._without: dict[str, tuple[Mapping[str, MonitorReadings], tuple[Failure, ...]]] = {}
        self._notices: dict[tuple[tuple[str, ...], str | None], LossNotice | None] = {}
        #: failures of the normal state that a monitor or check was found to show
        self._shown: set[Failure] = set()

    @cached_property
    def normal(self) -> StateAnswer:
        """The normal state solved."""
        return self.states.answers()[0]

    @cached_property
    def meters(self) -> Mapping[str, Meter]:
        """The monitors, as the network has them."""
        return wired_meters(self.design, self.network)

    def evidence(self, state: str, case: Case) -> evidence.Evidence:
        """The monitors, functions and loads that one or more failures change in a state."""
        if (state, case) not in self._evidence:
            self._evidence[state, case] = evidence.evidence_of(self._observation(state), case)
        return self._evidence[state, case]

    def _observation(self, state: str, stuck: bool = False) -> Observation:
        """A state under its single failures, or under its ``stuck`` contacts."""
        if (state, stuck) not in self._observations:
            answer = self.states.answer(state)
            cases = answer.stuck_contacts if stuck else answer.failures
            self._observations[state, stuck] = Observation(answer, self.meters, cases, self.limits)
        return self._observations[state, stuck]

    def warned(self, state: str, failure: Failure) -> tuple[str, ...]:
        """Monitors that warn of a single failure of a declared state, a stuck contact too."""
        observation = self._observation(state)
        if failure not in observation.lane_of:
            observation = self._observation(state, stuck=True)
        return tuple(
            name
            for name, mask in alarms.warnings(observation).items()
            if mask >> observation.lane_of[failure] & 1
        )

    @cached_property
    def phase_answers(self) -> tuple[StateAnswer, ...]:
        """The states of the phases of flight solved; without phases the normal state."""
        phases = self.design.operation.phases.values() if self.design.operation else ()
        return tuple(self.states.answer(s) for s in dict.fromkeys(phase.state for phase in phases)) or (
            self.normal,
        )

    @cached_property
    def check_answers(self) -> tuple[tuple[Check, StateAnswer], ...]:
        """Each preflight check with its state solved."""
        return tuple((check, self.states.answer(check.state)) for check in self.design.watch.checks.values())

    @cached_property
    def ungrounded_magnetos(self) -> tuple[hot_magnetos.HotMagneto, ...]:
        """The magnetos that are not grounded in a state that declares them silent."""
        return tuple(hot_magnetos.hot_magnetos(self.states.answers()))

    def exchanged_positions(self, hot: hot_magnetos.HotMagneto) -> tuple[str, str, str] | None:
        """The switch and its two positions, one that of the first state, that exchanged ground every
        magneto as the states declare; else None."""
        return hot_magnetos.exchanged_positions(self.design, self.states.answers(), hot)

    def never_fires(self, magneto: str) -> tuple[str, tuple[str, ...]] | None:
        """The first state of normal flight in which a magneto, by name, is grounded with the engine
        running, and the path that grounds it, where it fires in none; else None."""
        return hot_magnetos.never_fires(self.states.flight_answers(), magneto)

    def unseen_hot(self, magneto: str) -> hot_magnetos.UnseenHot | None:
        """The single failures that leave a magneto, by name, hot on the ground and that no check
        shows; None without any."""
        return hot_magnetos.unseen_hot(self.states.answers(), self.check_answers, magneto)

    def opened_ground(self, magneto: str) -> hot_magnetos.OpenedGround | None:
        """The circuit protection that a magneto, by name, is grounded through; None without any."""
        devices = frozenset(f"parts/{name}" for name in self.design.of_kind(Protector))
        return hot_magnetos.opened_ground(self.states.answers(), magneto, devices)

    def live_lead(self, magneto: str) -> hot_magnetos.LiveLead | None:
        """How a source feeds the p-lead of a magneto, by name, in some states; None where none does."""
        return hot_magnetos.live_lead(self.states.answers(), magneto)

    @cached_property
    def limits(self) -> ReadingLimits:
        """The limits of the readings of monitors."""
        return ReadingLimits(self.points, self.design)

    def require_read(self, elements: Iterable[str]) -> None:
        """Raises NoOperatingPoint where a monitor was read with one of some elements failed, and no
        operating point was found: what shows that failure is not known."""
        for element in elements:
            for case, state in self.limits.lost.items():
                if any(failure.element == element for failure in failures_of(case)):
                    raise NoOperatingPoint(f"an operating point of {state} with {bare(element)} failed")

    @cached_property
    def unused(self) -> tuple[Failure, ...]:
        """The single failures of the normal state that use does not reveal: they are latent unless a
        monitor shows them. Raises NotAssessable without an operation."""
        return evidence.unused(self.normal, self.phase_answers, self.check_answers)

    def hidden(self, failures: Sequence[Failure]) -> tuple[Failure, ...]:
        """Those of some failures that use does not reveal that no monitor shows either, in flight or in a
        check. What is left so is looked at once more with the relays dropped out that a failure leaves with
        too few volts at their coils."""
        flown = {answer.state.name: answer for answer in (self.normal, *self.phase_answers)}
        asked = tuple(flown.values()), self.check_answers, self.limits
        left = evidence.latent_failures(self.meters, failures, *asked)
        parts = (self.design.parts[bare(coil.element)] for coil in self.network.coils)
        if not left or not any(part.coil_current for part in parts):
            return left
        left = evidence.unused(self.normal, self.phase_answers, self.check_answers, left, relays=True)
        return evidence.latent_failures(self.meters, left, *asked, relays=True)

    @cached_property
    def latent(self) -> tuple[Failure, ...]:
        """The single failures of the normal state that no use, monitor or check reveals.

        Raises NotAssessable without an operation.
        """
        # what was found to be shown already is not left at the end: it is not looked at once more
        return self.hidden([failure for failure in self.unused if failure not in self._shown])

    def unseen_trip_loss(self, relay: str) -> UnseenTripLoss | None:
        """The latent failures that keep an overvoltage relay (a pointer) from tripping in the normal state;
        None without any. Raises NoOperatingPoint where it is not known whether a monitor shows one."""
        from reviewer.analysis.detection.untested_trips import unseen_trip_loss

        found = unseen_trip_loss(self.normal, relay, self.unused, self.hidden)
        if found is not None:
            self.require_read(failure.element for failure in found.failures)
        return found

    def undecided(self, failure: Failure) -> bool:
        """Whether a monitor was read with a failure, and no operating point was found: of one that nothing
        else shows it is not known whether it is latent."""
        return any(failure in failures_of(case) for case in self.limits.lost)

    @cached_property
    def latent_losses(self) -> Mapping[str, LatentLoss]:
        """Latent failures that complete the loss of a critical function, or leave the crew without
        its recovery, by element."""
        if not self.states.critical_functions:
            return {}
        state = self.normal.state.name
        found = latent_losses(
            self.design,
            self.network,
            self.normal,
            self.unused,
            self.hidden,
            self.crew,
            self.states.late_failures(state),
            self.states.late_failures_after(state, self.unused),
            self.low_volts,
        )
        return {loss.element: loss for loss in found}

    def latent_loss(self, element: str) -> LatentLoss | None:
        """Of :attr:`latent_losses` that of an element. Raises NoOperatingPoint where it is not known
        whether a monitor shows it."""
        loss = self.latent_losses.get(element)
        if loss is not None:
            self.require_read([element])
        return loss

    @cached_property
    def _new_checks(self) -> Mapping[Failure, tuple[NewCheck, ...]]:
        losses = self.latent_losses.values()
        elements = {e for loss in losses for e in (loss.element, *loss.equivalent, *loss.partners)}
        failures = [failure for failure in self.unused if failure.element in elements]
        return new_checks(self.normal, failures, (f for loss in losses for f, _ in loss.losses))

    def checks_to_add(self, loss: LatentLoss) -> tuple[tuple[NewCheck, ...], ...]:
        """The checks that nobody has declared, for each latent failure of an element by which it completes a
        loss; then for those of its equivalents and partners that any shows. () of one of its own that none
        shows."""
        alike = {*loss.equivalent, *loss.partners}
        own, others = [], []
        for failure, checks in self._new_checks.items():
            if failure.element == loss.element and failure.words(self.network) in loss.modes:
                own.append(checks)
            elif failure.element in alike and checks:
                others.append(checks)
        return (*own, *others) if all(own) else ((),)

    def in_line(self, element: str) -> tuple[str, ...]:
        """All in series with an element, no branch between: what shows it open shows it of each."""
        chain_of, lone = self.network.contracted.chain_of, self.network.lone
        own = chain_of.get(lone.get(element, -1))
        return () if own is None else tuple(e for e, link in lone.items() if chain_of.get(link) == own)

    @cached_property
    def source_loss_indications(self) -> Mapping[str, alarms.SourceLossIndication | None]:
        """For each battery and alternator, the first thing that shows its loss in a state of normal
        flight or on the ground, or in one of a check.

        The states of checks and of flight come first; abnormal ones are none of them: who is there
        for another reason does not look for a lost source. None where nothing shows it.
        """
        flown = {a.state.name for a in (self.normal, *self.phase_answers, *self.states.flight_answers())}
        answers = tuple(self.states_that_indicate.values())
        return alarms.source_loss_indications(
            self.network, self.meters, answers, flown, self.check_answers, self.limits
        )

    @cached_property
    def states_that_indicate(self) -> Mapping[str, StateAnswer]:
        """The states in which the loss of a source may show, by name: the normal one, those of checks,
        of flight, and on the ground."""
        checked = (a for _, a in self.check_answers)
        ground = (a for a in self.states.answers() if a.state.use == "ground")
        order = (self.normal, *checked, *self.phase_answers, *self.states.flight_answers(), *ground)
        return {a.state.name: a for a in order}

    def undetected_opens(self, monitor: str, silent: bool) -> tuple[str, ...]:
        """Elements of the sense leads of a monitor whose opening nobody notices."""
        return alarms.undetected_opens(
            self.meters, monitor, silent, self.normal, self.check_answers, self.limits
        )

    def sense_lead(self, monitor: str) -> SenseLead:
        """The lead of a monitor of an instrument, or where an input of that is instead."""
        return sense_lead(self.design, self.network, self.meters, monitor)

    @cached_property
    def undrawn_leads(self) -> Mapping[str, tuple[str, ...]]:
        """The monitors of instruments that no lead connects to what they sense, with the inputs of that
        instrument (terminals) at which none is connected; none in a concept."""
        return undrawn_leads(self.design, self.network, self.meters)

    def open_at_sense_point(self, monitor: str) -> list[str]:
        """That the part at which a monitor senses is connected, where one of its terminals is not."""
        return self.left_open(self.design.watch.monitors[monitor].senses.partition(".")[0])

    def left_open(self, name: str) -> list[str]:
        """That a part is connected, where nothing is joined to a terminal of it that is not declared unused,
        nor one that it may have."""
        part = self.design.parts[name]
        asked = (t for t in part.terminals() if t not in (*part.unused, *part.spare))
        return [] if all(self.network.wired(f"{name}.{t}") for t in asked) else [f"parts/{name}/connection"]

    def read_alike(self, monitor: str) -> tuple[tuple[str, ...], StrayLead] | None:
        """Later monitors on its instrument that read the point that this one reads, and how."""
        return read_alike(self.design, self.network, self.meters, monitor)

    def deselected_in(self, monitor: str) -> str | None:
        """The first check that watches a monitor while a selector is elsewhere than at its lead."""
        for name, check in self.design.watch.checks.items():
            switches = self.states.answer(check.state).state.switches
            if monitor in check.watch and deselected(
                self.design, self.network, self.meters[monitor], switches
            ):
                return name
        return None

    def disabling_failures(self, monitor: str) -> tuple[Failure, ...]:
        """Failures of the normal state that leave a monitor and what it senses dead."""
        return alarms.disabling_failures(self.meters, monitor, self.normal)

    def loses_return(self, monitor: str, failure: Failure) -> bool:
        """Whether what shows a monitor is fed after a failure of the normal state and lacks its return."""
        lane, user = self.normal.failures.index(failure), self.network.users[self.meters[monitor].instrument]
        return any(self.normal.failed.live(node) >> lane & 1 for node in user.inlets)

    def false_annunciations(self, heater: str) -> tuple[FalseAnnunciation, ...]:
        """Where the lamp of a heater (a name) is dark while that is off, or burns while it is on, in
        normal flight."""
        from reviewer.analysis.detection.annunciators import false_annunciations

        lamp = self.design.parts[heater].annunciator
        return tuple(false_annunciations(self.states.flight_answers(), f"parts/{heater}", f"parts/{lamp}"))

    @cached_property
    def stuck_starters(self) -> tuple[alarms.StuckStarter, ...]:
        """Contactors that run a starter when they weld in a state of normal flight."""
        return alarms.stuck_starters(self.design, self.meters, self.states.flight_answers())

    def charge_meters(self, alternator: str) -> tuple[str, ...] | None:
        """Monitors of the charging current of an alternator; None where it charges none."""
        return alarms.charge_meters(self.network, self.meters, self.normal, alternator)

    def check_evidence(self, name: str) -> alarms.CheckEvidence:
        """What a preflight check would notice."""
        check = self.design.watch.checks[name]
        answer = self.states.answer(check.state)
        return alarms.check_evidence(self.design, self.meters, check, answer, self.limits)

    def alternator_loss_indications(self, alternator: str) -> tuple[alarms.MonitorIndication, ...] | None:
        """What the monitors show of the loss of an alternator in the normal state."""
        return alarms.alternator_loss_indications(self.meters, self.normal, alternator, self.limits)

    def held_voltages(self, alternator: str) -> tuple[alarms.MonitorIndication, ...]:
        """The voltmeters of points that another alternator, as a standby set lower, holds up once one is
        lost in the normal state; where what they read after it is known."""
        told = {one.monitor for one in self.alternator_loss_indications(alternator) or ()}
        try:
            after, before = self.volts_without(alternator), self.normal_volts
        except NotAssessable:
            return ()
        monitors = self.design.watch.monitors
        held = (
            n
            for n in after
            if n in before and n not in told and monitors[n].shows == "voltage" and not self.meters[n].lamp
        )
        return tuple(alarms.MonitorIndication(n, alarms.Shows.CHARGING_VOLTS) for n in held)

    @cached_property
    def normal_volts(self) -> Mapping[str, MonitorReadings]:
        """What each monitor of a voltage that can be read reads in the normal state, nothing
        failed. Raises NotAssessable."""
        from reviewer.analysis.detection import alarm_levels

        return alarm_levels.normal_volts(self.points, self.states.operation.normal)

    @cached_property
    def alarms_of_disconnecting_batteries(self) -> Mapping[str, tuple[str, float]]:
        """Monitor with a low alarm -> the battery that it senses and that disconnects itself at the
        lowest voltage in normal flight, and that voltage."""
        from reviewer.analysis.detection import alarm_levels

        return alarm_levels.disconnecting_batteries(self.design, self.states.flight_answers(), self.meters)

    @cached_property
    def silent_stall_warnings(self) -> Mapping[str, SilentWarning | None]:
        """Each stall switch -> the first state of normal flight in which it can warn of nothing."""
        from reviewer.analysis.detection import stall_warnings

        names = [n for n in self.design.of_kind(Switch) if self.design.part(n, Switch).operated_by == "stall"]
        flown, answers = self.states.flight_answers(), self.states.answers() if names else ()
        return {n: stall_warnings.silent_warning(answers, flown, n) for n in names}

    @cached_property
    def warning_lamps(self) -> Mapping[str, str]:
        """Monitor -> the lamp that shows it, where that burns at times only by its `duty`."""
        shown = {n: m.displayed_on for n, m in self.design.watch.monitors.items()}
        lamps = {n for n in self.design.of_kind(Load) if self.design.part(n, Load).type == "lamp"}
        return {
            name: lamp
            for name, lamp in shown.items()
            if lamp in lamps and self.design.part(lamp, Load).duty == "intermittent"
        }

    def volts_without(self, alternator: str) -> Mapping[str, MonitorReadings]:
        """The same at the moment at which an alternator is lost, the batteries as full as normal
        flight leaves them, the field drawing on. Raises NotAssessable."""
        return self._lost(alternator)[0]

    def _lost(self, alternator: str) -> tuple[Mapping[str, MonitorReadings], tuple[Failure, ...]]:
        """:meth:`volts_without`, and the failures that stand for the loss. Raises NotAssessable."""
        from reviewer.analysis.detection import alarm_levels

        if alternator not in self._without:
            phases = [f.phase for f in self.points.flown_in([self.states.operation.normal])]
            try:
                losses = [self.endurance.generation_loss(phase, (alternator,)) for phase in phases]
                found = alarm_levels.volts_at_loss(losses, self.meters), losses[0].case
            except NoOperatingPoint:
                raise
            except NotAssessable:
                volts = alarm_levels.volts_without(self.points, self.states.operation.normal, alternator)
                found = volts, (Failure(alternator, OPEN),)
            self._without[alternator] = found
        return self._without[alternator]

    def require_warnings(self, source: str) -> None:
        """Raises NotAssessable where the file does not say whether a lamp warns of the loss of a source
        (an element)."""
        from reviewer.analysis.detection.unlit_warnings import unlit_warnings

        for lacks in unlit_warnings(self.normal, source):
            raise NotAssessable(lacks)

    def telling_alarm(self, alternator: str) -> tuple[str, float] | None:
        """A monitor on a display, and the volts below which its alarm shows the loss of an
        alternator at once, the usual ones or more; None where there is none or figures are missing."""
        from reviewer.analysis.detection import alarm_levels

        told = self.alternator_loss_indications(alternator) or ()
        shown = [one.monitor for one in told if one.low_voltage and not one.no_voltage]
        shown += [one.monitor for one in self.held_voltages(alternator)]
        try:
            before = {n: volts for n, volts in self.normal_volts.items() if n in shown}
            least = {name: alarm_levels.USUAL * self.scale_sensed(name) for name in before}
            after = self.volts_without(alternator)
            more = self._reads_more(self._lost(alternator)[1])
            lowest = {name: self._lowest(name, volts.least) for name, volts in before.items()}
            return alarm_levels.telling_alarm(self.design, before, after, least, lowest, more)
        except NotAssessable:
            return None

    def _lowest(self, monitor: str, least: float) -> float:
        """The least volts that a monitor may read in normal flight, where it reads ``least`` with the
        figures of the file."""
        least -= self.meter_error(monitor, least)
        own = self.limits_after(monitor, ())
        return least if own is None else min(least, own.ends[0])

    def no_news(self, monitor: str, alternator: str) -> NoNews | None:
        """By which reading the low alarm of a monitor says nothing of the loss of an alternator (an element);
        None where it surely comes with it. Raises NotAssessable where the reading after it is not known."""
        from reviewer.analysis.detection import alarm_levels

        one = self.design.watch.monitors[monitor]
        lowest = self.charging_volts(monitor)[0] if one.shows == "voltage" else 0.0
        before, (volts, case) = self.normal_volts.get(monitor), self._lost(alternator)
        error, more = partial(self.meter_error, monitor), self._reads_more(case)[monitor]
        return alarm_levels.no_news(one, lowest, before, volts.get(monitor), error, more)

    def alarm_after(self, alternator: str) -> LossNotice | None:
        """The alarm that first shows the loss of one alternator in the normal state, of its phases
        with the one in which it comes last; None where none is given, or figures are missing. Raises
        NoOperatingPoint."""
        phases = [f.phase for f in self.points.flown_in([self.states.operation.normal])]
        try:
            each = [self.loss_notice((alternator,), phase) for phase in phases]
        except NoOperatingPoint:
            raise
        except NotAssessable:
            return None
        known = [notice for notice in each if notice]
        return max(known, key=lambda notice: notice.seconds) if known and len(known) == len(each) else None

    def loss_notice(self, lost: tuple[str, ...], phase: str | None) -> LossNotice | None:
        """The alarm that first shows the loss of some alternators (elements) in the normal state
        with the loads of a phase, whatever its meter is wrong by; None where none does. Raises
        NotAssessable."""
        if (lost, phase) not in self._notices:
            self._notices[lost, phase] = self.notice_of(self.endurance.generation_loss(phase, lost))
        return self._notices[lost, phase]

    def notice_of(self, loss: GenerationLoss) -> LossNotice | None:
        """The same of any failures of the normal state that leave functions on batteries. Raises
        NotAssessable."""
        from reviewer.analysis.detection.loss_alarms import first_alarm

        silent = {name for name, off in self.silent_alarms.items() if off}
        return first_alarm(loss, self.meters, self.normal, silent, self._reads_more(loss.case), self.limits)

    @cached_property
    def silent_alarms(self) -> Mapping[str, bool]:
        """By monitor with an alarm in figures and a known reading, whether the alarm is off in normal flight
        whatever its meter is wrong by. Raises NotAssessable."""
        from reviewer.analysis.detection import alarm_levels

        monitors = self.design.watch.monitors
        alarms = {
            name: volts
            for name, volts in self.normal_volts.items()
            if (monitors[name].alarm_below, monitors[name].alarm_above) != (None, None)
        }
        return {
            name: alarm_levels.silent(monitors[name], volts, partial(self.meter_error, name))
            for name, volts in alarms.items()
        }

    def _reads_more(self, case: tuple[Failure, ...]) -> Mapping[str, float]:
        """By how much each monitor may read more than is there after some failures of the normal state,
        in the direction of its alarms."""
        found = {}
        for name in self.meters:
            if own := self.limits_after(name, case):
                low, high = own.ends
                found[name] = own.value - low if self.points.alarm_sign(name) < 0 else high - own.value
            else:
                found[name] = self.meter_error(name, self.design.watch.monitors[name].alarm_below or 0.0)
        return found

    def meter_error(self, monitor: str, value: float) -> float:
        """By how much a monitor of a voltage or of a current may read more or less than what is there."""
        from reviewer.analysis.operating_point.tolerances import meter_error

        return meter_error(self.design, self.meters[monitor], value)

    def limits_after(self, monitor: str, case: tuple[Failure, ...]) -> Within | None:
        """What a monitor may read in the normal state after some failures, its own error included; None
        where that is not solved."""
        return self.points.spreads_under.monitor(monitor, self.states.operation.normal, case)

    def function_endurance(self, function: str) -> FunctionEndurance:
        """How long a function works after the loss of all generation in the normal state, of its
        phases with the one that leaves it the least time. Raises NotAssessable."""
        lost = self.endurance.alternators
        each = [
            self.endurance.generation_loss(phase, lost).endurance_of(function, self.loss_notice(lost, phase))
            for phase in (f.phase for f in self.points.flown_in([self.states.operation.normal]))
        ]
        return min(each, key=lambda one: one.seconds)

    def charging_volts(self, monitor: str) -> tuple[float, float]:
        """Volts between which stands what an alternator holds up as it should, where a monitor senses."""
        from reviewer.analysis.detection import alarm_levels

        return alarm_levels.charging_volts(self.scale_sensed(monitor))

    def scale_sensed(self, monitor: str) -> float:
        """What volts of a 14 V system are multiplied with where a monitor senses: half of a string of
        two batteries has the volts of one."""
        from reviewer.analysis.detection import alarm_levels

        return alarm_levels.scale_sensed(self.design, self.network, self.meters[monitor])

    def watching(self, battery: str) -> set[str]:
        """The voltmeters there to watch a main battery (a name) that is charged through a diode or by a
        charger."""
        from reviewer.analysis.detection.charge_losses import watching

        return watching(self.network, self.normal, self.meters, battery)

    def lost_charge_is_shown(self, battery: str) -> bool:
        """Whether an alarm shows at once each failure that ends the charge of a battery (a name) while the
        alternators work, and there is such a failure."""
        from reviewer.analysis.detection.charge_losses import charge_losses

        lost = list(charge_losses(self.network, self.normal, battery))
        return bool(lost) and all(self.warned(self.normal.state.name, failure) for failure in lost)

    def late_below(self, battery: str) -> float:
        """Volts below which an alarm of a battery (a name) comes late: half of its charge is gone.
        Raises NotAssessable."""
        from reviewer.analysis.detection import alarm_levels

        return alarm_levels.late_below(self.design, battery)

    def indications_of(self, state: str, failures: Sequence[Failure]) -> tuple[indications.Indications, ...]:
        """What shows each of some failures in a state: monitors, and preflight checks."""
        from reviewer.analysis.detection import indications

        checks = {
            name: (check, self.states.answer(check.state)) for name, check in self.design.watch.checks.items()
        }
        answer = self.states.answer(state)
        found = indications.indications_of(answer, self.meters, failures, checks, self.limits)
        if answer is self.normal:
            signs = zip(failures, found, strict=True)
            self._shown.update(failure for failure, one in signs if one.monitors or one.dark or one.checks)
        return found
