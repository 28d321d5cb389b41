"""The currents of the loads, phase by phase: as the file gives them, and what their operating point makes of them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.devices import idle_amps
from reviewer.model import parts as p
from reviewer.network.graph import bare
from reviewer.reports.handoff.schedules.table import Cell, Table, number


@dataclass(frozen=True)
class PhaseLoad:
    """The currents of one phase in A: ``loads`` that work, as the file gives them, ``capacity`` of the alternators that run, ``unknown`` loads without
    a current.

    ``solved`` is what sources give together at the operating point, less what goes into batteries (loads, coils and fields take it), None where it
    could not be solved; ``charging`` goes into batteries, ``discharging`` comes out of them, ``limit`` is what the alternators can give at idle or in flight.
    """

    phase: str
    state: str
    amperes: float
    capacity: float
    loads: tuple[tuple[str, float], ...]
    unknown: tuple[str, ...]
    solved: float | None = None
    charging: float = 0.0
    discharging: float = 0.0
    limit: float = 0.0

    @property
    def drawn(self) -> float:
        """What is taken: as solved, or as the file gives it."""
        return self.amperes if self.solved is None else self.solved


def phase_loads(facts: Facts) -> tuple[PhaseLoad, ...]:
    """The declared currents of the loads that work in the state of each phase; () where no phase or no current is declared."""
    operation = facts.design.operation
    if operation is None or not operation.phases:
        return ()
    found = []
    for phase, declared in operation.phases.items():
        answer = facts.states.answer(declared.state)
        loads, unknown = [], []
        for consumer in facts.network.consumers:
            if answer.healthy.powered[consumer.element]:
                name = bare(consumer.element)
                current = facts.design.parts[name].current
                amperes = (
                    current if isinstance(current, float) or current is None else current.get(phase, 0.0)
                )
                if amperes is None:
                    unknown.append(name)
                elif amperes:
                    loads.append((name, amperes))
        capacity = sum(
            facts.design.parts[n].rating or 0.0
            for n in facts.design.of_kind(p.Alternator)
            if answer.healthy.alive[f"parts/{n}"]
        )
        found.append(
            replace(
                PhaseLoad(
                    phase,
                    declared.state,
                    sum(a for _, a in loads),
                    capacity,
                    tuple(sorted(loads, key=lambda pair: -pair[1])),
                    tuple(unknown),
                ),
                **_solved(facts, phase, declared.state),
            )
        )
    return tuple(found) if any(f.amperes for f in found) else ()


def _solved(facts: Facts, phase: str, state: str) -> dict[str, Any]:
    """What the operating point of a phase gives."""
    design, answer = facts.design, facts.states.answer(state)
    running = [
        design.part(n, p.Alternator)
        for n in design.of_kind(p.Alternator)
        if answer.healthy.alive[f"parts/{n}"]
    ]
    limit = sum(idle_amps(a) if answer.state.use == "ground" else a.most or 0.0 for a in running)
    try:
        given = facts.points.operating_point(state, phase).given
    except NotAssessable:
        return {"limit": limit}
    into = [amps for source, amps in given.items() if isinstance(design.parts[bare(source)], p.Battery)]
    return {
        "solved": sum(given.values()),
        "charging": sum(max(0.0, -a) for a in into),
        "discharging": sum(max(0.0, a) for a in into),
        "limit": limit,
    }


def declared_loads(facts: Facts) -> Table | None:
    """Each load with its current in each phase, then the sums; None where no phase or no current is declared."""
    phases = phase_loads(facts)
    if not phases:
        return None
    by_phase = [dict(f.loads) for f in phases]
    rows: list[tuple[Cell, ...]] = []
    for consumer in facts.network.consumers:
        name = bare(consumer.element)
        part = facts.design.parts[name]
        cells = [
            "not given" if name in f.unknown else number(amps.get(name, 0.0))
            for f, amps in zip(phases, by_phase, strict=True)
        ]
        rows.append((name, getattr(part, "type", None) or part.kind, number(part.peak), *cells))
    rows.append(("sum of what is given", "", "", *(number(f.amperes) for f in phases)))
    rows.append(("rating of the alternators that run", "", "", *(number(f.capacity) for f in phases)))
    columns = ("load", "kind", "peak, A", *(f"{f.phase} ({f.state}), A" for f in phases))
    about = "The currents of the design file for the loads that have power in the state of each phase; 0 where a load is off. No volts are solved here."
    return Table("declared-loads", "Declared loads by phase", about, columns, tuple(rows))
