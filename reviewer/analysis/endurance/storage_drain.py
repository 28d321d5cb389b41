"""Parasitic drain of the batteries while parked: loads and coils that stay on, standby currents,
leakage of diodes, sense leads."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from enum import Enum
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import STAYS, stuck_contacts
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.masks import serves
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.endurance.phase_loads import drawn
from reviewer.analysis.not_assessable import A_STATE, NotAssessable, gaps
from reviewer.analysis.ratings.supply import days_to_half
from reviewer.analysis.sources.alternators import charging
from reviewer.model import parts as p
from reviewer.model.quantity_words import drain_current
from reviewer.model.record import record
from reviewer.network.graph import Source, bare, holder
from reviewer.tables.practice import practice

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import OperatingPoints
    from reviewer.analysis.paths.answers import Paths


class DrainKind(Enum):
    """How a parked aircraft drains its battery."""

    LOAD = "a load or coil that is on"
    LEAKAGE = "a diode that leaks"
    SENSE_LEAD = "an input that senses"


@record
class Draw:
    """What drains a battery: amperes, ``low`` to ``high`` where the file does not say and a range
    of the trade is taken; then ``key`` is what is missing, in words, and ``lacks`` the same as
    (pointer, key). ``what`` in words. A load or coil that is on counts in what is solved: ``taken``
    amperes."""

    element: str
    kind: DrainKind
    what: str
    low: float
    high: float
    key: str = ""
    taken: float = 0.0
    lacks: tuple[str, str] = ("", "")

    @property
    def by_load(self) -> bool:
        """Whether it is a load or coil that is on."""
        return self.kind is DrainKind.LOAD

    @property
    def leaks(self) -> bool:
        """Whether it is the reverse current of a diode."""
        return self.kind is DrainKind.LEAKAGE


@record
class Drain:
    """A battery of ``capacity`` ampere-hours (None where the file does not say) in a state:
    ``solved`` amperes that it gives to loads and coils, and what leaks besides; a draw that is in
    ``solved`` counts nothing itself."""

    battery: str
    state: str
    capacity: float | None
    solved: float
    draws: tuple[Draw, ...]

    @property
    def amperes(self) -> tuple[float, float]:
        """Amperes that it gives in all, least and most."""
        return self.solved + sum(d.low for d in self.draws), self.solved + sum(d.high for d in self.draws)

    @property
    def largest(self) -> tuple[Draw, ...]:
        """What draws, the largest first; what takes nothing is left out."""
        drawing = [d for d in self.draws if d.high or d.taken]
        return tuple(sorted(drawing, key=lambda d: -max(d.low, d.taken)))

    @property
    def days(self) -> tuple[float, float]:
        """Days to half of its charge, least and most; infinite where nothing draws. Raises
        NotAssessable."""
        if self.capacity is None:
            raise NotAssessable(f"`capacity` of {self.battery}")
        low, high = self.amperes
        return days_to_half(self.capacity, high), days_to_half(self.capacity, low)


def unattended_states(operating: OperatingPoints) -> tuple[str, ...]:
    """The states in which the aircraft may be left: on the ground, engine stopped, no external
    power and no charger on the mains. One of a phase or of a check, or one that was made, only where
    no switch takes anything more off: before the start a crew sits there. A glider has no engine to
    stop."""
    checked = {check.state for check in operating.design.watch.checks.values()}
    phases = {phase.state for phase in operating.states.operation.phases.values()}
    attended = phases | checked | set(operating.design.made)
    parts = operating.design.parts
    return tuple(
        name
        for name, state in operating.states.declared.items()
        if state.use == "ground"
        and (state.engine == "stopped" or not operating.design.has_engine)
        and not state.external_power
        and not any(parts[charger].from_ == "mains" for charger in state.chargers)
        and (name not in attended or all_off(operating, operating.states.answer(name)))
    )


def all_off(operating: OperatingPoints, answer: StateAnswer) -> bool:
    """Whether no switch, moved alone, takes off a load or coil that has power in a state."""
    stuck = stuck_contacts(operating.design, dict(answer.state.switches))
    moves = [m for m in stuck if m.mode == STAYS and operating.design.by_hand(bare(m.element))]
    moved = conduct(operating.network, answer.state, moves, answer.healthy) if moves else None
    if moved is None:
        return True
    every, now = (1 << len(moves)) - 1, answer.healthy
    pairs = ((now.powered, moved.powered), (now.energised, moved.energised))
    return all(after[e] == every for before, after in pairs for e, mask in before.items() if mask)


def parked_states(operating: OperatingPoints) -> tuple[str, ...]:
    """Of the states in which the aircraft may be left, those with the fewest loads on. Raises
    NotAssessable where none is declared."""
    powered = {
        name: sum(m for e, m in operating.states.answer(name).healthy.powered.items() if holder(e) == e)
        for name in unattended_states(operating)
    }
    if not powered:
        raise NotAssessable("a parked state: `use: ground`, `engine: stopped`, everything off", A_STATE)
    return tuple(name for name, count in powered.items() if count == min(powered.values()))


def indications_left_on(operating: OperatingPoints, state: str) -> tuple[str, ...]:
    """What shows in a state that something is on: lamps and instruments that have power."""
    healthy = operating.states.answer(state).healthy
    powered = [bare(e) for e, mask in healthy.powered.items() if mask and holder(e) == e]
    parts = operating.design.parts
    return tuple(
        n
        for n in powered
        if isinstance(part := parts[n], p.Instrument) or (isinstance(part, p.Load) and part.type == "lamp")
    )


def external_power_charges(operating: OperatingPoints, socket: str) -> Mapping[str, tuple[str, ...]]:
    """For each battery, the states in which external power charges it. Raises NotAssessable where
    no state has external power."""
    plugged = [a for a in operating.states.answers() if a.state.external_power]
    if not plugged:
        raise NotAssessable("a state with `external-power: connected`, as a charger is used", A_STATE)
    batteries = [s for s in operating.network.sources if s.kind == "battery"]
    return {
        bare(b.element): tuple(a.state.name for a in plugged if _charges(a, f"parts/{socket}", b))
        for b in batteries
    }


def _charges(answer: StateAnswer, socket: str, battery: Source) -> bool:
    """Whether a socket charges a battery, itself or by a charger or converter that it feeds."""
    network, now = answer.network, answer.healthy
    if charging(now, socket, battery) & 1:
        return True
    return any(
        charging(now, s.element, battery) & serves(network, now, socket, s.inlet) & 1
        for s in network.sources
        if s.inlet is not None
    )


def parasitic_drains(operating: OperatingPoints, paths: Paths, state: str) -> tuple[Drain, ...]:
    """What drains each battery in a state. Raises NotAssessable with what is missing."""
    answer = operating.states.answer(state)
    given, shares, blocked = _given(operating, answer)
    found = []
    for source in operating.network.sources:
        if source.kind != "battery":
            continue
        capacity = operating.design.part(bare(source.element), p.Battery).capacity
        leaks = tuple(_leaks(operating, paths, answer, source.element))
        on = tuple(
            Draw(e, DrainKind.LOAD, what, 0.0, 0.0, taken=taken)
            for e, (what, taken) in shares.items()
            if any(answer.healthy.fed[source.element][n] for n in _inlets(operating, e))
        )
        # what a blocking diode leaks in the solved circuit is counted by its own figure
        solved = given.get(source.element, 0.0) - sum(blocked.get(d.element, 0.0) for d in leaks if d.leaks)
        found.append(Drain(bare(source.element), state, capacity, max(0.0, solved), (*on, *leaks)))
    return tuple(found)


def _inlets(operating: OperatingPoints, element: str) -> tuple[int, ...]:
    users = (*operating.network.consumers, *operating.network.coils)
    return next(user.inlets for user in users if user.element == element)


def _given(
    operating: OperatingPoints, answer: StateAnswer
) -> tuple[Mapping[str, float], Mapping[str, tuple[str, float]], Mapping[str, float]]:
    """Amperes that each battery gives to loads and coils, what each of these takes, in words and in
    amperes, and what each diode passes backwards; a load with a standby current takes that."""
    parts = operating.design.parts
    users = (*operating.network.consumers, *operating.network.coils)
    working = {**answer.healthy.powered, **answer.healthy.energised}
    on = [user.element for user in users if working[user.element]]
    if not on:
        return {}, {}, {}
    drawn(
        operating,
        {e: 1 for e in on if getattr(parts[bare(e)], "standby", 0.0) is None},
    )
    from reviewer.analysis.operating_point.points import Figures

    standby = {
        e: parts[bare(e)].standby
        for e in on
        if isinstance(parts[bare(e)], p.Consumer) and parts[bare(e)].standby is not None
    }
    points = operating.operating_points(answer.state.name, Figures(loads=standby, sensing=False), 1)
    points.require_found()
    if missing := {bare(e): key for e, key in points.undrawn.items() if e in on}:
        raise NotAssessable(gaps(missing))
    taken = {e: _amps(points, e) for e in on}
    words = {
        e: (f"{bare(e)} takes {drain_current(amps)}{' in standby' if e in standby else ''}", amps)
        for e, amps in taken.items()
    }
    given = {s.element: float(points.amps(s.element)[0]) for s in operating.network.sources}
    blocked = {e: max(0.0, -float(points.link_amps(i)[0])) for i, e in operating.network.diodes}
    return given, words, blocked


def _amps(points, element: str) -> float:
    return abs(float((points.coil_amps if element in points.built.coils else points.amps)(element)[0]))


def _leaks(operating: OperatingPoints, paths: Paths, answer: StateAnswer, source: str) -> Iterator[Draw]:
    """Diodes that hold off what is dead, and inputs of instruments that sense what is live.

    A diode across a coil or an inductive load has no volts across it while the load is off.
    """
    fed, network = answer.healthy.fed[source], operating.network
    for link, element in network.diodes:
        part = operating.design.part(bare(element), p.Diode)
        # the side without a source pulls its anode down
        if (
            not paths.suppresses(bare(element))
            and bare(element) not in paths.suppressors
            and fed[network.links[link].b]
            and not answer.healthy.live(network.links[link].a)
        ):
            yield _ranged(
                element,
                DrainKind.LEAKAGE,
                f"{bare(element)} leaks",
                part.leakage,
                "schottky-leakage",
                f"`leakage` of {bare(element)}",
                (element, "leakage"),
            )
    volts = operating.design.aircraft.volts
    for name in operating.design.of_kind(p.Instrument):
        for key, signal in operating.design.parts[name].inputs.items():
            node = network.index.get(f"{name}.{signal.signal}")
            if node is not None and fed[node] and signal.reads in (None, "voltage"):
                known = volts / signal.resistance if signal.resistance else None
                yield _ranged(
                    f"parts/{name}",
                    DrainKind.SENSE_LEAD,
                    f"input {key} of {name} senses",
                    known,
                    "sense-lead",
                    f"`resistance` of input {key} of {name}",
                    (f"parts/{name}/inputs/{key}", "resistance"),
                )


def _ranged(
    element: str,
    kind: DrainKind,
    what: str,
    known: float | None,
    name: str,
    key: str,
    lacks: tuple[str, str],
) -> Draw:
    if known is not None:
        return Draw(element, kind, what, known, known)
    typical = practice("amperes", name)
    return Draw(element, kind, what, typical.low, typical.high, key, lacks=lacks)
