"""Load by phase, endurance of the batteries, parasitic drain while parked. Each answer is computed
once, on first asking. No logic lives here."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.answers import States
from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.operating_point.answers import Flown, OperatingPoints
from reviewer.analysis.paths.answers import Paths
from reviewer.model import parts as p

if TYPE_CHECKING:
    from reviewer.analysis.endurance.battery_endurance import BatteryEndurance
    from reviewer.analysis.endurance.discharge_surfaces import DischargeSurfaces
    from reviewer.analysis.endurance.failure_endurance import LimitedFunction
    from reviewer.analysis.endurance.generation_loss import GenerationLoss
    from reviewer.analysis.endurance.idle_output import IdleDischarge
    from reviewer.analysis.endurance.peaks_on_battery import PeakUndervoltage
    from reviewer.analysis.endurance.phase_loads import LoadOfPhase
    from reviewer.analysis.endurance.shedding import LossNotice, Shed, SoundShed
    from reviewer.analysis.endurance.storage_drain import Drain
    from reviewer.model.resolved_states import ResolvedState


class Endurance:
    """Load by phase, endurance of the batteries, parasitic drain while parked."""

    def __init__(
        self,
        states: States,
        points: OperatingPoints,
        paths: Paths,
        notice: Callable[[tuple[str, ...], str | None], LossNotice | None],
    ):
        """``notice`` answers which alarm shows the loss of some alternators with the loads of a
        phase."""
        self.states, self.notice = states, notice
        self.points = points
        self.paths = paths
        self.design, self.network = states.design, states.network
        self._endurance: dict[str, BatteryEndurance] = {}
        self._loads: dict[Flown, LoadOfPhase] = {}
        self._generation: dict[tuple[tuple[str, ...], str | None], GenerationLoss] = {}
        self._drains: dict[str, tuple[Drain, ...]] = {}

    @cached_property
    def surfaces(self) -> DischargeSurfaces:
        """The scenarios after a loss, each solved once."""
        from reviewer.analysis.endurance.discharge_surfaces import DischargeSurfaces

        return DischargeSurfaces(self.points)

    def phase_load(self, flown: Flown) -> LoadOfPhase:
        """What a state with the loads of a phase asks of its sources. Raises NotAssessable with
        what is missing."""
        from reviewer.analysis.endurance.phase_loads import phase_load

        if flown not in self._loads:
            self._loads[flown] = phase_load(self.points, flown, lambda: self._battery_ammeters)
        return self._loads[flown]

    def idle_discharge(self, phase: str) -> IdleDischarge:
        """What batteries give in a phase, at both ends of an output at idle that is not stated, and
        what is put back after it. Raises NotAssessable."""
        from reviewer.analysis.endurance.idle_output import idle_discharge

        flown = {one.phase: one for one in self.points.flown if one.phase}
        order = [n for n in self.states.operation.phases if n in flown]
        loads = {n: self.phase_load(flown[n]) for n in order}
        return idle_discharge(self.design, loads, self.states.declared, phase)

    @cached_property
    def _battery_ammeters(self) -> tuple[str, ...]:
        from reviewer.analysis.sources.ammeters import battery_ammeters

        return battery_ammeters(self.states, self.points)

    @property
    def mains_run_down(self) -> bool:
        """Whether main batteries have an endurance: an alternator may be lost, or the aircraft has
        none and says for how long it flies on them."""
        return bool(self.design.of_kind(p.Alternator)) or self.states.operation.endurance is not None

    def endurance_of(self, battery: str) -> BatteryEndurance:
        """Endurance of a battery: of a main one after the loss of an alternator, of a reserve with
        what it is dedicated to. Raises NotAssessable."""
        from reviewer.analysis.endurance.battery_endurance import main_battery_endurance, reserve_endurance

        if battery not in self._endurance:
            if self.design.parts[battery].purpose == "reserve":
                found = reserve_endurance(self.points, self.surfaces, battery)
            else:
                found = main_battery_endurance(self.points, self.surfaces, battery, self.notice)
            self._endurance[battery] = found
        return self._endurance[battery]

    @cached_property
    def alternators(self) -> tuple[str, ...]:
        """The alternators, as elements: their loss is that of all generation. One that feeds units of its
        own alone goes on, unless there is no other."""
        return self.states.without_own(
            tuple(s.element for s in self.network.sources if s.kind == "alternator")
        )

    def generation_loss(self, phase: str | None, lost: tuple[str, ...]) -> GenerationLoss:
        """The loss of some alternators in the normal state with the loads of a phase. Raises
        NotAssessable with what is missing."""
        from reviewer.analysis.endurance.generation_loss import GenerationLoss

        if (lost, phase) not in self._generation:
            case = tuple(Failure(element, OPEN) for element in lost)
            self._generation[lost, phase] = GenerationLoss(self.points, self.surfaces, case, phase)
        return self._generation[lost, phase]

    def loss_after(self, case: tuple[Failure, ...], phase: str | None) -> GenerationLoss:
        """The same after any failures at once, while the crew does nothing. Raises NotAssessable."""
        from reviewer.analysis.endurance.failure_endurance import loss_after

        return loss_after(self, case, phase, ())

    def limited_functions(
        self,
        case: tuple[Failure, ...],
        phase: str | None,
        course: tuple[str, ...],
        shed: tuple[str, ...],
        notice: LossNotice | None,
    ) -> Mapping[str, LimitedFunction]:
        """How long functions last on batteries after some failures at once. Raises NotAssessable."""
        from reviewer.analysis.endurance.failure_endurance import limited_functions

        return limited_functions(self, case, phase, course, shed, notice)

    def with_and_without(
        self, case: tuple[Failure, ...], phase: str | None, state: ResolvedState
    ) -> Mapping[str, tuple[float, float]]:
        """By function how long it lasts after some failures if nothing is done, and if the switches are
        moved to a state once the recognition time has passed. Raises NotAssessable."""
        from reviewer.analysis.endurance.failure_endurance import with_and_without

        return with_and_without(self, case, phase, state)

    @cached_property
    def loads_on_a_reserve(self) -> Mapping[str, str]:
        """Loads (names) that no battery powers with no generation once a reserve is down -> that
        reserve. Raises NotAssessable."""
        from reviewer.analysis.endurance.reserve_channels import loads_on_a_reserve

        return loads_on_a_reserve(self.points)

    @cached_property
    def watched_functions(self) -> tuple[str, ...]:
        """The functions whose endurance after the loss of all generation is followed."""
        from reviewer.analysis.endurance.generation_loss import watched_functions

        return watched_functions(self.points.states)

    def undervoltage_at_peak(self, battery: str, wanted: float) -> PeakUndervoltage:
        """Undervoltage of the loads that a main battery must carry, when two peaks meet near the
        end of the required time. Raises NotAssessable."""
        from reviewer.analysis.endurance.peaks_on_battery import undervoltage_at_peak

        return undervoltage_at_peak(self.points, self.endurance_of(battery), wanted)

    @cached_property
    def shed_plan(self) -> tuple[Shed, ...]:
        """What each action of the shed plan takes power from, in order."""
        from reviewer.analysis.endurance.shedding import shed_plan

        return shed_plan(self.points)

    def sound_shed(self, endurance: BatteryEndurance) -> SoundShed | None:
        """The sound alternator that the shed plan turns off in an endurance, and the action; None where it
        turns off none, or is not carried out."""
        from reviewer.analysis.endurance.shedding import SoundShed

        done = {run.name for run in endurance.found.runs}
        for shed in self.shed_plan if endurance.lost else ():
            for lost, sound in shed.stops:
                if shed.action in done and lost in endurance.lost:
                    return SoundShed(shed.action, sound)
        return None

    def unattended_states(self) -> tuple[str, ...]:
        """The states in which the aircraft may be left."""
        from reviewer.analysis.endurance.storage_drain import unattended_states

        return unattended_states(self.points)

    def indications_left_on(self, state: str) -> tuple[str, ...]:
        """Lamps and instruments that show in a state that something is on."""
        from reviewer.analysis.endurance.storage_drain import indications_left_on

        return indications_left_on(self.points, state)

    def external_power_charges(self, socket: str) -> Mapping[str, tuple[str, ...]]:
        """For each battery, the states in which a socket's power charges it. Raises NotAssessable
        where no state has external power."""
        from reviewer.analysis.endurance.storage_drain import external_power_charges

        return external_power_charges(self.points, socket)

    def parked_states(self) -> tuple[str, ...]:
        """The states in which the aircraft is parked. Raises NotAssessable where none is
        declared."""
        from reviewer.analysis.endurance.storage_drain import parked_states

        return parked_states(self.points)

    def all_off(self, state: str) -> bool:
        """Whether no switch, moved alone, takes off a load or coil that has power in a state."""
        from reviewer.analysis.endurance.storage_drain import all_off

        return all_off(self.points, self.points.states.answer(state))

    def parasitic_drains(self, state: str) -> tuple[Drain, ...]:
        """What drains each battery in a state. Raises NotAssessable with what is missing."""
        from reviewer.analysis.endurance.storage_drain import parasitic_drains

        if state not in self._drains:
            self._drains[state] = parasitic_drains(self.points, self.paths, state)
        return self._drains[state]
