"""Limits of meter readings in a sound system: the operating point at every worst-case corner of
what has not been measured.

What is not known within a tenth of a volt is how full and how old a battery is, where the regulator
holds, what an alternator gives at idle, and what loads draw. Each is taken from its lowest to its
highest value, by itself and together, and the meter's own error is added. A test draws points
inside the box and finds none beyond the limits of its corners. An alternator is lost by its drive or
inside of it: its field draws all or nothing, least where the loads draw least.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import product
from math import ceil, floor
from typing import Any

from reviewer.analysis.conduction.failure_modes import OPEN
from reviewer.analysis.conduction.scenarios import failures_of
from reviewer.analysis.operating_point.assumptions import Assumptions
from reviewer.analysis.operating_point.circuit_build import Scenario
from reviewer.analysis.operating_point.cold_batteries import cold_factors, cold_range
from reviewer.analysis.operating_point.devices import amps_of, field_amps, set_point_of
from reviewer.analysis.operating_point.flight_charges import full
from reviewer.analysis.operating_point.meter_readings import amperes_read, volts_read
from reviewer.analysis.operating_point.points import Figures, Points, solve_points
from reviewer.analysis.operating_point.resistances import Wiring
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.estimates import piece_at, share_of
from reviewer.model.record import record
from reviewer.network.graph import Network, bare
from reviewer.network.meters import Meter
from reviewer.network.regulators import regulation
from reviewer.tables.practice import COMMON_PRACTICE, in_brackets, practice
from reviewer.tables.typical import typical

#: assumptions of our own, printed on every card: a battery ready for flight is this full, loads
#: draw within this share of what the file says, and the errors of a panel meter: of a voltmeter
#: that shows tenths a share of the reading and one step, of an ammeter a share of its shunt's
#: rating and half an ampere
READY = practice("states_of_charge", "ready-for-flight").low
VOLTS_SHARE, VOLTS_STEP = (
    practice("factors", "voltmeter-error").high,
    practice("volts", "voltmeter-step").high,
)
AMPS_SHARE, AMPS_STEP = practice("factors", "ammeter-error").high, practice("amperes", "ammeter-step").high
#: volts or amperes of what is dead
NOTHING = 1e-6
#: volts, or amperes of a shunt, that no panel meter shows: what insulation and blocking diodes leak
LEAKS = 0.01
#: batteries that are full or not each by itself; more of them go together
APART = 3


@record
class Unknown:
    """A figure that has not been measured: from ``low`` to ``high`` in ``unit``, and what that
    rests on."""

    what: str
    low: float
    high: float
    unit: str
    rests_on: str

    def __str__(self) -> str:
        unit = f" {self.unit}" if self.unit else ""
        return f"{self.what} {self.low:g} to {self.high:g}{unit} {in_brackets(self.rests_on)}"


#: amperes and volts by which a reading must leave its limits: a point is proved to a microampere
ROUNDING = 1e-6


@record
class Within:
    """What a meter reads with everything as in the file, and the lowest and highest that it may
    read in a sound system, its own error included, as they are printed; ``exact`` before that."""

    value: float
    low: float
    high: float
    exact: tuple[float, float] | None = None

    @property
    def ends(self) -> tuple[float, float]:
        """The lowest and highest that decide whether an alarm is on."""
        return self.exact or (self.low, self.high)

    def holds(self, reading: float) -> bool:
        """Whether a reading is within the limits, as far as a point is proved."""
        return self.low - ROUNDING <= reading <= self.high + ROUNDING


@record
class Spread:
    """The points of a scenario, the nominal one first, then the worst-case corners; and the
    unknowns varied. Of a scenario of several states it is that of one ``lane``."""

    design: Design
    points: Points
    meters: Mapping[str, Meter]
    unknowns: tuple[Unknown, ...]
    lane: int = 0

    @property
    def unsolved(self) -> bool:
        """Whether a corner was not solved."""
        return any(one.point % self.points.built.width == self.lane for one in self.points.unsolved)

    def own(self, values: Any) -> Any:
        """What is asked of all points, for those of the lane."""
        return values[self.lane :: self.points.built.width]

    def volts(self, terminal: str) -> Within | None:
        """Volts of a terminal from the main negative; what is dead reads nothing. None where a
        corner was not solved."""
        return self._within(lambda: self._volts(terminal), _of_volts)

    def monitor(self, name: str) -> Within | None:
        """What a monitor of volts or of a shunt's amperes reads; None for others, where it is not
        known, and where a corner was not solved."""
        meter = self.meters[name]
        if meter.unknown:
            return None
        if meter.shows == "voltage":
            return self._within(lambda: volts_read(self.points, meter), _of_volts)
        if meter.shows != "current" or meter.shunt not in self.points.only_link:
            return None
        return self._within(
            lambda: amperes_read(self.points, meter), lambda a: meter_error(self.design, meter, a)
        )

    def across(self, load: str) -> tuple[float, float] | None:
        """The lowest and the highest volts across a load (its pointer); None where a corner was not
        solved or it takes nothing."""
        if self.unsolved or load not in self.points.built.loads:
            return None
        volts = self.own(self.points.across(load))
        return float(volts.min()), float(volts.max())

    def between(self, one: str, other: str) -> tuple[float, float] | None:
        """The lowest and the highest volts between two terminals, what is dead at 0; None where a corner
        was not solved."""
        if self.unsolved:
            return None
        apart = self.own(self._volts(one) - self._volts(other))
        return float(apart.min()), float(apart.max())

    def at_load(self, load: str) -> Within | None:
        """Volts between the supply and the return of a load, or across a coil (its pointer), as a voltmeter
        reads them."""
        if load not in self.points.built.loads and load not in self.points.built.coils:
            return None
        return self._within(lambda: self.points.across(load), _of_volts)

    def given(self, source: str) -> Within | None:
        """Amperes that a source (its pointer) gives, as the ammeter of a bench supply reads them."""
        step = practice("amperes", "supply-ammeter-step").high
        return self._within(lambda: self.points.amps(source), lambda a: AMPS_SHARE * abs(a) + step, NOTHING)

    def difference(self, one: str, other: str) -> Within | None:
        """By how much one monitor of volts reads more than another; of two on one instrument only
        the steps count as error."""
        first, second = self.meters[one], self.meters[other]
        mine, theirs = self.monitor(one), self.monitor(other)
        if not mine or not theirs or first.shows != "voltage" or second.shows != "voltage":
            return None
        apart = (
            0.0
            if first.instrument == second.instrument
            else VOLTS_SHARE * (abs(mine.value) + abs(theirs.value))
        )
        return self._within(
            lambda: volts_read(self.points, first) - volts_read(self.points, second),
            lambda v: VOLTS_SHARE * abs(v) + 2 * VOLTS_STEP + apart,
            NOTHING,
        )

    def _volts(self, terminal: str) -> Any:
        import numpy as np

        return np.nan_to_num(self.points.volts(terminal), nan=0.0)

    def _within(
        self, ask: Callable[[], Any], error: Callable[[float], float], leaks: float = LEAKS
    ) -> Within | None:
        if self.unsolved or (asked := ask()) is None:
            return None
        read = self.own(asked)
        # what leaks, or a solution is not proved to, would go on to the next tenth
        value, low, high = (0.0 if abs(x) < NOTHING else float(x) for x in (read[0], read.min(), read.max()))
        low, high = (0.0 if abs(x) < leaks else x for x in (low, high))
        exact = low - error(low), high + error(high)
        return Within(value, *rounded(*exact), exact)


def _of_volts(volts: float) -> float:
    return VOLTS_SHARE * abs(volts) + VOLTS_STEP


def meter_error(design: Design, meter: Meter, value: float) -> float:
    """By how much a monitor of a voltage or of a current may read more or less than the volts or amperes
    that are there; on what is dead nothing."""
    if abs(value) < NOTHING:
        return 0.0
    if meter.shows == "voltage":
        return _of_volts(value)
    rating = getattr(design.parts[bare(meter.shunt)], "rating", None)
    return AMPS_SHARE * (rating or abs(value)) + AMPS_STEP


def rounded(low: float, high: float) -> tuple[float, float]:
    """Limits rounded outward to 0.1, as printed on a card."""
    return floor(low * 10 + 1e-9) / 10, ceil(high * 10 - 1e-9) / 10


#: what a meter may read on what is dead
DEAD = Within(0.0, *rounded(-VOLTS_STEP, VOLTS_STEP))


def usual_error(meter: Meter) -> Within:
    """The step of a meter alone, where nothing says how far off it may be."""
    return DEAD if meter.shows == "voltage" else Within(0.0, -AMPS_STEP, AMPS_STEP)


def spread(
    design: Design,
    network: Network,
    scenario: Scenario,
    wiring: Wiring | None = None,
    like: Points | None = None,
) -> Spread:
    """A scenario at the corners of what is not known; ``wiring`` serves all scenarios of a design,
    ``like`` are points of the scenario.
    Raises NotAssessable and OutsideTable as an operating point does."""
    return spreads(design, network, scenario, wiring, like)[0]


def spreads(
    design: Design,
    network: Network,
    scenario: Scenario,
    wiring: Wiring | None = None,
    like: Points | None = None,
) -> tuple[Spread, ...]:
    """:func:`spread` of each lane of a scenario, all solved at once."""
    import numpy as np

    unknowns, told, make = _unknowns(design, network, scenario)
    corners = np.array(list(product((0.0, 1.0), repeat=len(unknowns)))).T
    shares = [np.concatenate([[np.nan], row]) for row in corners]
    points = 1 + corners.shape[1]
    wires = wiring or Wiring(design, network)
    solved = solve_points(design, network, scenario, make(shares), points, wires, like)
    every = (*unknowns, *told)
    return tuple(Spread(design, solved, wires.meters, every, lane) for lane in range(solved.built.width))


Make = Callable[[list[Any]], Figures]


def _unknowns(
    design: Design, network: Network, scenario: Scenario
) -> tuple[tuple[Unknown, ...], tuple[Unknown, ...], Make]:
    """The unknowns, the currents that are estimates and go with those of all loads, and the function
    that makes figures of a share of the range of each unknown, NaN for the nominal value."""
    alive = [s.element for s in network.sources if scenario.conduction.alive[s.element]]
    batteries = [e for e in alive if isinstance(design.parts[bare(e)], p.Battery)]
    alternators = [e for e in alive if isinstance(design.parts[bare(e)], p.Alternator)]
    quiet = Assumptions()
    drawn = {
        c.element: amps_of(design.parts[bare(c.element)], c.element, scenario.phases, quiet)
        for c in network.consumers
    }
    found: list[Unknown] = []
    owners: list[tuple[str, tuple[str, ...]]] = []

    def note(unknown: Unknown, key: str, *elements: str) -> None:
        found.append(unknown)
        owners.append((key, elements))

    more: list[Unknown] = []
    groups = [(e,) for e in batteries] if len(batteries) <= APART else [tuple(batteries)]
    for group in groups:
        least = min([READY, *(charge_of(design, scenario, e) for e in group)])
        note(
            Unknown(
                f"charge of {', '.join(map(bare, group))}",
                100 * least,
                100,
                "%",
                "assumed for a battery ready for flight",
            ),
            "charge",
            *group,
        )
    if batteries:
        high = cold_range().high
        aged = max(high, *cold_factors(design, high).values())
        note(
            Unknown("resistance of the batteries, times that of a new one", 1, aged, "", COMMON_PRACTICE),
            "ageing",
            *batteries,
        )
    regulated = [e for e in alternators if not _stands_by(design, bare(e))]
    held = {e: _held(design, bare(e)) for e in regulated}
    for i, volts in enumerate(dict.fromkeys(held.values())):
        alike = [e for e in regulated if held[e] == volts]
        of = f" of {', '.join(map(bare, alike))}" if len(alike) < len(regulated) else ""
        unknown = Unknown(f"set point of the regulator{of}", *volts, "V", COMMON_PRACTICE)
        if i:  # all regulators are high or low together
            more.append(unknown)
        else:
            note(unknown, "set_point", *regulated)
    idle = [design.part(bare(e), p.Alternator).idle_output for e in alternators]
    if idle and scenario.state.at_idle and set(idle) == {None}:
        share = practice("factors", "alternator-at-idle")
        note(Unknown("output at idle over the rating", share.low, share.high, "", COMMON_PRACTICE), "idle")
    estimated = {
        element: ends
        for element, amps in drawn.items()
        if amps and (ends := _estimated(design, element, scenario, quiet))
    }
    drawn |= _windings(design, network, alternators)
    lost = {e: field_amps(design, e, quiet) for e in _lost_fields(network, scenario) if e not in alternators}
    drawn |= lost
    if any(drawn.values()):
        drawn_range = practice("factors", "load-on-the-day")
        note(
            Unknown(
                "current of the loads over that of the file", drawn_range.low, drawn_range.high, "", "assumed"
            ),
            "loads",
        )

    ends_of = {**estimated, **{e: (0.0, amps) for e, amps in lost.items()}}
    told = (
        *more,
        *(
            Unknown(f"current of {bare(e)}", *ends, "A", "an estimate in the file")
            for e, ends in estimated.items()
        ),
    )

    def make(shares: list[Any]) -> Figures:
        return _figures(design, scenario, found, owners, shares, drawn, ends_of)

    return tuple(found), told, make


def _stands_by(design: Design, name: str) -> bool:
    """Whether an alternator is set below those for which it stands by: it is held to what the file says, of
    itself or of its regulator."""
    return (
        bool(design.part(name, p.Alternator).standby_for) and regulation(design, name).set_point is not None
    )


def _held(design: Design, name: str) -> tuple[float, float]:
    """The lowest and highest volts at which an alternator may hold its output."""
    usual, scale, own = (
        practice("volts", "charging-over-temperature"),
        design.aircraft.scale,
        set_point_of(design, name),
    )
    return min(usual.low * scale, own), max(usual.high * scale, own)


def _windings(design: Design, network: Network, regulated: Sequence[str]) -> Mapping[str, float]:
    """The stated current of each coil and of the field of each alternator, by element; none of one whose
    regulator sets it, as those of ``regulated`` do."""
    coils = {c.element: design.parts[bare(c.element)].coil_current for c in network.coils}
    fields = {
        s.element: design.part(bare(s.element), p.Alternator).field_current
        for s in network.sources
        if s.field is not None and s.element not in regulated
    }
    return {element: amps for element, amps in {**coils, **fields}.items() if amps}


def _lost_fields(network: Network, scenario: Scenario) -> Iterator[str]:
    """The alternators with a field that are themselves lost."""
    cases = scenario.cases or (scenario.case,)
    opened = {f.element for case in cases for f in failures_of(case) if f.mode == OPEN}
    yield from (s.element for s in network.sources if s.field is not None and s.element in opened)


def charge_of(design: Design, scenario: Scenario, battery: str) -> float:
    """State of charge of a battery (an element) in a scenario."""
    return scenario.charges.get(battery, full(design.part(bare(battery), p.Battery)))


def _estimated(
    design: Design, element: str, scenario: Scenario, notes: Assumptions
) -> tuple[float, float] | None:
    """The least and most amperes of a load of which a figure is an estimate."""
    part = design.parts[bare(element)]
    if not part.estimated:
        return None
    ends = [
        amps_of(piece_at(part, high, share_of(design)), element, scenario.phases, notes)
        for high in (False, True)
    ]
    return (min(ends), max(ends)) if ends[0] != ends[1] else None


def _figures(
    design: Design,
    scenario: Scenario,
    unknowns: list[Unknown],
    owners: list[tuple[str, tuple[str, ...]]],
    shares: list[Any],
    drawn: Mapping[str, float],
    ends: Mapping[str, tuple[float, float]],
) -> Figures:
    import numpy as np

    charge: dict[str, Any] = {}
    ageing: dict[str, Any] = {}
    set_point: dict[str, Any] = {}
    loads: dict[str, Any] = {}
    speed: Any = scenario.state.speed
    for unknown, (key, elements), share in zip(unknowns, owners, shares, strict=True):
        value = unknown.low + (unknown.high - unknown.low) * share
        for e in elements:
            if key == "charge":
                own = charge_of(design, scenario, e)
                charge[e] = np.where(np.isnan(value), own, value / 100.0)
            elif key == "ageing":
                ageing[e] = np.where(np.isnan(value), 1.0, value)
            else:
                own, (low, high) = set_point_of(design, bare(e)), _held(design, bare(e))
                set_point[e] = np.where(np.isnan(share), own, low + (high - low) * share)
        if key == "idle":  # half of the rating at speed 0, the whole at 1
            typical_share = typical("shares", "idle-output-of-rating").value
            speed = np.where(np.isnan(value), 0.0, (value - typical_share) / (1.0 - typical_share))
        elif key == "loads":
            loads = {e: amps * np.where(np.isnan(value), 1.0, value) for e, amps in drawn.items() if amps}
            for e, (low, high) in ends.items():
                least, most = min(low, unknown.low * drawn[e]), max(high, unknown.high * drawn[e])
                loads[e] = np.where(np.isnan(share), drawn[e], least + (most - least) * share)
    return Figures(loads=loads, state_of_charge=charge, ageing=ageing, set_point=set_point, speed=speed)
