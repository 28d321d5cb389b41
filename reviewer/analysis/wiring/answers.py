"""What wires, pins and studs carry, what is lost on the path to a load, which loads have too
little. Each answer is computed once, on first asking. No logic lives here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.answers import States
from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import Flown, OperatingPoints
from reviewer.analysis.operating_point.cranking import cranks
from reviewer.analysis.wiring import (
    ambient,
    bar_loading,
    circuits,
    feeder_drop,
    held_currents,
    peak_drop,
    pin_loading,
    terminal_stacking,
    undervoltage,
    voltage_drop,
)
from reviewer.analysis.wiring.wire_loading import WireLoads
from reviewer.model import parts as p
from reviewer.model.review import HazardClass
from reviewer.network.graph import bare
from reviewer.tables.limits import allowed_drop, feeder_share
from reviewer.tables.lookup import OutsideTable
from reviewer.tables.practice import practice

if TYPE_CHECKING:
    from reviewer.analysis.conduction.failure_modes import Failure
    from reviewer.analysis.operating_point.solved_state import OperatingPoint


class Wires:
    """What wires, pins and studs carry, what is lost on the path to a load, which loads have too
    little."""

    def __init__(self, states: States, points: OperatingPoints):
        self.states = states
        self.points = points
        self.design, self.network = states.design, states.network

    @cached_property
    def no_sizes(self) -> bool:
        """Whether the file is at the concept stage and says nothing that volts and amperes could be
        worked out from: no wire has a size."""
        concept = self.design.aircraft.stage == "concept"
        return concept and all(
            wire.gauge is None and wire.resistance is None for wire in self.design.wires.values()
        )

    def fed_while_running(self, load: str) -> bool:
        """Whether a load (its pointer) is fed in a flown state in which the engine does not
        crank."""
        return any(self.states.answer(flown.state).healthy.powered[load] for flown in self.steady)

    def on_in_no_state(self, load: str) -> bool:
        """Whether a load (its pointer) has power in no declared state."""
        return not any(answer.healthy.powered[load] & 1 for answer in self.states.answers())

    def hazard_of(self, load: str, least: HazardClass) -> HazardClass:
        """``least`` where a function of that class or a worse one rests on a load, else minor."""
        name = load.partition("/")[2]
        grave = (
            HazardClass.of(f.loss) >= least
            for n, f in self.design.functions.items()
            if name in self.states.loads_of(n)
        )
        return least if any(grave) else HazardClass.MINOR

    @cached_property
    def steady(self) -> tuple[Flown, ...]:
        """What is flown while the engine does not crank. Raises NotAssessable where no load has a
        current, before anything is solved."""
        consumers = [part for part in self.design.parts.values() if isinstance(part, p.Consumer)]
        if consumers and all(part.current is None for part in consumers):
            raise NotAssessable("`current` of the loads and instruments")
        return tuple(flown for flown in self.points.flown if not cranks(self.states.declared[flown.state]))

    @cached_property
    def while_cranking(self) -> tuple[Flown, ...]:
        """What is flown while the engine cranks."""
        return tuple(flown for flown in self.points.flown if cranks(self.states.declared[flown.state]))

    @cached_property
    def steady_points(self) -> tuple[tuple[Flown, OperatingPoint], ...]:
        """The points of :attr:`steady`. Raises NotAssessable."""
        return tuple((flown, self.points.point(flown)) for flown in self.steady)

    @cached_property
    def wire_loads(self) -> WireLoads:
        """What wires carry in the steady states, and may. Raises NotAssessable."""
        return WireLoads(self.design, self.steady_points)

    @cached_property
    def held_currents(self) -> Mapping[str, held_currents.HeldCurrent]:
        """Wire (its pointer) -> its largest current while a spring-return switch is held."""
        return held_currents.held_currents(self.points, self.states.answers()[0])

    @cached_property
    def steady_runs(self) -> Mapping[str, tuple[tuple[Flown, voltage_drop.CircuitRun], ...]]:
        """The runs of each load (by pointer) in the steady states. Raises NotAssessable."""
        return self._runs(self.steady_points)

    @cached_property
    def starter_runs(self) -> Mapping[str, tuple[tuple[Flown, voltage_drop.CircuitRun], ...]]:
        """The runs of each starter while the engine cranks, from the battery. Raises
        NotAssessable."""
        return self._runs(
            tuple((flown, self.points.point(flown)) for flown in self.while_cranking), starters=True
        )

    def _runs(
        self, points: tuple[tuple[Flown, OperatingPoint], ...], starters: bool = False
    ) -> Mapping[str, tuple[tuple[Flown, voltage_drop.CircuitRun], ...]]:
        found: dict[str, list[tuple[Flown, voltage_drop.CircuitRun]]] = {}
        for flown, point in points:
            at, answer = voltage_drop.sounding_of(self.network, point), self.states.answer(flown.state)
            for load, amperes in point.taken.items():
                starter = getattr(self.design.parts[load.partition("/")[2]], "type", None) == "starter"
                if starter is starters and answer.healthy.powered[load]:
                    run = voltage_drop.circuit_run(
                        self.design, self.network, answer, at, load, amperes, from_source=starters
                    )
                    if run is not None:
                        found.setdefault(load, []).append((flown, run))
        return {load: tuple(own) for load, own in found.items()}

    def lacking(self, flown: Flown, elements: tuple[str, ...]) -> str:
        """What the file lacks for volts that depend on some elements in a point, "" where nothing:
        their own sizes, and currents of the loads that live."""
        point = self.points.point(flown)
        if not point.unsized and not point.undrawn:
            return ""
        lacks = [f"{key} of {e.partition('/')[2]}" for e, key in point.unsized.items() if e in elements]
        return next(
            iter([*lacks, *(f"{key} of {e.partition('/')[2]}" for e, key in point.undrawn.items())]), ""
        )

    def drop_numbers(self, run: voltage_drop.CircuitRun, limit: float) -> tuple[tuple[str, str], ...]:
        """What a run loses, beside its limit, and where most of it, as numbers of a finding."""
        return voltage_drop.numbers_of(run, limit)

    def thickened(self, run: voltage_drop.CircuitRun, limit: float) -> tuple[str, ...]:
        """The wire of a run that loses the most, as ``wires/W1/gauge``, if it alone, made thicker, can
        bring the run within a limit; else the thinnest of the run."""
        alone = voltage_drop.thickened(run, limit)
        return alone or self.thinnest([e for e in run.elements if e.startswith("wires/")])

    def larger_wire(self, run: voltage_drop.CircuitRun, limit: float) -> str:
        """The wire of a run that loses the most, with the least size with which the run is within a limit,
        in words; without a size where none is known."""
        return voltage_drop.larger_wire(self.design, run, limit)

    def thinnest(self, wires: Sequence[str]) -> tuple[str, ...]:
        """The thinnest of some wires (pointers), as the changes ``wires/W1/gauge``."""
        sizes = {e: self.design.wires[bare(e)].gauge for e in wires}
        known = {e: gauge.area_mm2 for e, gauge in sizes.items() if gauge is not None}
        return tuple(f"{e}/gauge" for e, area in known.items() if area == min(known.values()))

    def typical_behind(self, flown: Flown, elements: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
        """The typical values that some elements rest on in a point, as numbers of a finding."""
        return self.typical_in(self.points.point(flown), elements)

    def typical_in(self, point: OperatingPoint, elements: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
        """The typical values that some elements rest on in any point, as numbers of a finding."""
        known = sorted(
            (a for a in point.assumed if any(e in elements for e in a.elements)), key=lambda a: a.what
        )
        return (
            (("typical values, not from the file", "; ".join(f"{a.what} {a.figure}" for a in known)),)
            if known
            else ()
        )

    @cached_property
    def _peaks(self) -> Mapping[str, float]:
        """The `peak` of each load (by pointer) but a starter that has one."""
        consumers = (
            (f"parts/{n}", part) for n, part in self.design.parts.items() if isinstance(part, p.Consumer)
        )
        return {
            load: part.peak
            for load, part in consumers
            if part.peak is not None and getattr(part, "type", None) != "starter"
        }

    @cached_property
    def peak_runs(self) -> Mapping[str, peak_drop.PeakRun | NotAssessable]:
        """For each load but a starter that has a `peak`: its run at that current; why there is
        none, where that is known; absent where nothing feeds it.

        Raises NotAssessable.
        """
        return self._peak_runs(self._peaks)

    def small_peak(self, load: str, limit: float) -> tuple[Flown, voltage_drop.CircuitRun] | None:
        """The run of a load (its pointer) at its usual current that tells without solving that no
        more than ``limit`` volts are lost at its peak; None where none does. Raises NotAssessable.
        """
        current, own = (
            self.design.parts[load.partition("/")[2]].current,
            self.steady_runs.get(load, ()) if load in self._peaks else (),
        )
        if not own or not isinstance(current, (int, float)) or current <= 0:
            return None
        flown, run = max(own, key=lambda entry: entry[1].volts)
        least = min(self.points.point(f).across[load] for f, _ in own)
        return (
            (flown, run) if peak_drop.surely_within(run, self._peaks[load] / current, least, limit) else None
        )

    @cached_property
    def large_peak_runs(self) -> Mapping[str, peak_drop.PeakRun | NotAssessable]:
        """As :attr:`peak_runs`, without those that :meth:`small_peak` tells to be within what is
        allowed for short times. Raises NotAssessable."""

        def limit(load: str) -> float:
            return allowed_drop(self.design.class_of(bare(load)), "intermittent").value

        return self._peak_runs(
            {load: amps for load, amps in self._peaks.items() if self.small_peak(load, limit(load)) is None}
        )

    def _peak_runs(self, wanted: Mapping[str, float]) -> Mapping[str, peak_drop.PeakRun | NotAssessable]:
        steady = [(flown, self.states.answer(flown.state)) for flown in self.steady]
        chosen = peak_drop.chosen_places(steady, self.steady_runs if wanted else {}, tuple(wanted))
        places = {load: peak_drop.PeakCase(answer, flown.phase) for load, (flown, answer) in chosen.items()}
        unplaced = [load for load in wanted if load not in places]
        normal = self.states.answers()[0]
        places |= peak_drop.fed_by_a_move(self.design, self.network, normal, unplaced, cranking=False)
        found: dict[str, peak_drop.PeakRun | NotAssessable] = {}
        for place, own in peak_drop.together(places, wanted):
            try:
                found |= peak_drop.peak_runs(self.points, place, own)
            except NotAssessable as missing:
                found |= dict.fromkeys(own, missing.kept())
        return found

    @cached_property
    def battery_points(self) -> tuple[tuple[Flown, tuple[Failure, ...], OperatingPoint], ...]:
        """What is flown on batteries alone, held at the terminal voltage of the end of their
        charge. Raises NotAssessable."""
        return undervoltage.battery_points(self.states, self.points, self.steady)

    @cached_property
    def undervoltage_loads(self) -> tuple[undervoltage.UndervoltageLoad, ...]:
        """Loads that have less than their minimum in a steady state, at the worst of what nobody has
        measured too, or on batteries alone at the end of their charge. Raises NotAssessable."""
        on_engine = ((flown, (), point) for flown, point in self.steady_points)
        return (
            *undervoltage.undervoltage_loads(self.states, self.points, on_engine),
            *undervoltage.low_at_worst(self.states, self.points, self.steady_points),
            *undervoltage.undervoltage_loads(self.states, self.points, self.battery_points, held=True),
        )

    @cached_property
    def overvoltage_loads(self) -> tuple[undervoltage.OvervoltageLoad, ...]:
        """Loads that have more than they are rated for in a steady state, at the worst of what
        nobody has measured. Raises NotAssessable."""
        return undervoltage.overvoltage_loads(self.states, self.points, self.steady_points)

    def unmeasured(self, flown: Flown) -> tuple[tuple[str, str], ...]:
        """What was taken at its worst in a state, as a number of a finding."""
        spread = self.points.spread(flown.state, phase=flown.phase)
        return (("taken at the worst of", "; ".join(map(str, spread.unknowns))),)

    def pin_loads(self, connector: str) -> tuple[pin_loading.PinLoad, ...]:
        """The pins of a connector where they are loaded worst in the steady states. Raises
        NotAssessable."""
        return pin_loading.pin_loads(self.design, self.network, connector, self.steady_points)

    def beyond_contact(
        self, loads: Sequence[pin_loading.PinLoad]
    ) -> tuple[pin_loading.PinLoad, float] | None:
        """The pin that carries more than any contact with its wire can, of some loads of pins, and
        amperes of that contact."""
        return pin_loading.beyond_contact(loads)

    def bar_load(self, name: str) -> bar_loading.BarLoad | None:
        """Where a bus bar, shunt or socket carries most in the steady states. Raises
        NotAssessable."""
        return bar_loading.worst_load(self.design, self.network, name, self.steady_points)

    def feeder_drop(self, alternator: str) -> feeder_drop.FeederDrop | None:
        """What the wires from an alternator (its pointer) to the nearest bus lose at its rating."""
        answers = self.states.flight_answers()
        return feeder_drop.feeder_drop(self.design, self.network, answers, alternator)

    @property
    def feeder_share(self) -> float:
        """The share of the regulated voltage that these wires may lose."""
        return feeder_share().value

    @property
    def lugs_on_a_stud(self) -> int:
        """How many ring terminals one stud holds by common practice."""
        return int(practice("counts", "ring-terminals-on-a-stud").high)

    @cached_property
    def crowded_terminals(self) -> Mapping[str, Mapping[str, tuple[str, ...]]]:
        """For each part that has studs or terminals, those that hold more wires than they should ->
        the wires."""
        return terminal_stacking.crowded_terminals(self.design, self.lugs_on_a_stud)

    @cached_property
    def critical_loads(self) -> frozenset[str]:
        """Loads and instruments on which a function rests whose loss is hazardous or worse. Raises
        NotAssessable without functions."""
        return circuits.critical_loads(self.design) if self.states.critical_functions else frozenset()

    def pin_users(self, connector: str) -> Mapping[str, tuple[str, ...]]:
        """For each pin of a connector, the loads, instruments, sensors and coils on its circuit."""
        return circuits.pin_users(self.design, self.network, connector)

    @property
    def long_run(self) -> float:
        """Metres over which wires in one bundle disturb each other, by common practice."""
        return circuits.LONG_RUN_M

    def ambient(self, wire: str) -> ambient.Ambient | None:
        """The hottest air about a wire, by name; None where it is not said."""
        return ambient.ambient_of(self.design, wire)

    def wire_ohms(self, name: str) -> float | None:
        """Resistance at 20 C of a wire by its size and length; None where the file or the table
        does not say."""
        from reviewer.analysis.ratings.wire import wire_resistance

        wire = self.design.wires[name]
        try:
            size = wire.copper_gauge
            return wire_resistance(size, wire.length).ohms if size and wire.length else None
        except OutsideTable:
            return None
