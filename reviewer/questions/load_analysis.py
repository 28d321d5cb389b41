"""The electrical load analysis: currents in each phase, as declared and as solved."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.devices import idle_amps
from reviewer.model import parts as p
from reviewer.model.record import record
from reviewer.network.graph import bare

if TYPE_CHECKING:
    from reviewer.analysis.conduction.states import StateAnswer
    from reviewer.analysis.facts import Facts


@record
class SolvedCurrents:
    """Currents of an operating point, A.

    ``loads`` is what sources give less what goes into batteries: loads, coils and fields take it. What
    a bus feeds, as a converter, is no source of its own: what it takes is in it, not what it gives.
    Batteries in series are one.
    ``charging`` goes into batteries, ``discharging`` comes out of them.
    """

    loads: float
    charging: float
    discharging: float


@record
class PhaseCurrents:
    """The currents of one phase, A.

    ``loads`` are those that work, the largest first, and ``unknown`` those without a current in the
    file; ``rated`` is the sum of the ratings of the alternators that run and ``output`` what they
    can give, at idle where the engine idles, with chargers and external power. ``solved`` is None
    where the operating point could not be solved.
    """

    phase: str
    state: str
    loads: tuple[tuple[str, float], ...]
    unknown: tuple[str, ...]
    rated: float
    output: float
    solved: SolvedCurrents | None

    @property
    def declared(self) -> float:
        """The sum of the currents that the file gives, A."""
        return sum(amperes for _, amperes in self.loads)

    @property
    def drawn(self) -> float:
        """What the loads take, A: as solved, or as the file gives it."""
        return self.declared if self.solved is None else self.solved.loads

    @property
    def charging(self) -> float:
        """What goes into batteries, A; 0 where it could not be solved."""
        return self.solved.charging if self.solved else 0.0


def phase_currents(facts: Facts) -> tuple[PhaseCurrents, ...]:
    """The currents of each phase; () where no phase or no current is declared."""
    operation = facts.design.operation
    if operation is None or not operation.phases:
        return ()
    found = []
    for phase, declared in operation.phases.items():
        answer = facts.states.answer(declared.state)
        loads, unknown = _declared(facts, phase, answer)
        running = [
            facts.design.part(n, p.Alternator)
            for n in facts.design.of_kind(p.Alternator)
            if answer.healthy.alive[f"parts/{n}"]
        ]
        output = sum(idle_amps(a) if answer.state.at_idle else a.most or 0.0 for a in running)
        output += sum(_most_of_others(facts, answer))
        rated = sum(a.rating or 0.0 for a in running)
        solved = _solved(facts, phase, declared.state)
        found.append(PhaseCurrents(phase, declared.state, loads, unknown, rated, output, solved))
    return tuple(found) if any(f.loads for f in found) else ()


def _declared(
    facts: Facts, phase: str, answer: StateAnswer
) -> tuple[tuple[tuple[str, float], ...], tuple[str, ...]]:
    """The powered loads with their currents, the largest first, and those without a current."""
    loads, unknown = [], []
    for consumer in facts.network.consumers:
        if not answer.healthy.powered[consumer.element]:
            continue
        name = bare(consumer.element)
        current = facts.design.parts[name].current
        amperes = current if isinstance(current, float) or current is None else current.get(phase)
        if amperes is None:
            unknown.append(name)
        elif amperes:
            loads.append((name, amperes))
    return tuple(sorted(loads, key=lambda pair: -pair[1])), tuple(unknown)


def _most_of_others(facts: Facts, answer: StateAnswer) -> Iterator[float]:
    """Amperes that each source that no bus feeds can give, beside batteries and alternators."""
    for source in facts.network.sources:
        part = facts.design.parts[bare(source.element)]
        if source.inlet is None and answer.healthy.alive[source.element]:
            if isinstance(part, p.Charger):
                yield part.current_limit or 0.0
            elif isinstance(part, p.ExternalPower):
                yield part.rating or 0.0


def _solved(facts: Facts, phase: str, state: str) -> SolvedCurrents | None:
    try:
        given = facts.points.operating_point(state, phase).given
    except NotAssessable:
        return None
    fed = {s.element for s in facts.network.sources if s.inlet is not None or s.stands_on_another}
    given = {element: amps for element, amps in given.items() if element not in fed}
    batteries = [a for s, a in given.items() if isinstance(facts.design.parts[bare(s)], p.Battery)]
    return SolvedCurrents(
        sum(given.values()), sum(max(0.0, -a) for a in batteries), sum(max(0.0, a) for a in batteries)
    )
