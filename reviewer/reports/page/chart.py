"""Charts as inline SVG, each with a table beside it that says the same."""

from __future__ import annotations

import html
from collections.abc import Sequence
from dataclasses import dataclass

from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.network.graph import bare
from reviewer.reports.wording import shown


@dataclass(frozen=True)
class PhaseLoad:
    """The currents of one phase in A: ``loads`` that work, as the file gives them, ``capacity`` of the alternators that run, ``unknown`` loads without
    a current."""

    phase: str
    state: str
    amperes: float
    capacity: float
    loads: tuple[tuple[str, float], ...]
    unknown: tuple[str, ...]


def phase_loads(facts: Facts) -> tuple[PhaseLoad, ...]:
    """The declared currents of the loads that work in the state of each phase; () where no phase or no current is declared."""
    operation = facts.design.operation
    if operation is None or not operation.phases:
        return ()
    found = []
    for phase, declared in operation.phases.items():
        answer = facts.answer(declared.state)
        loads, unknown = [], []
        for consumer in facts.network.consumers:
            if answer.healthy.powered[consumer.element]:
                name = bare(consumer.element)
                current = facts.design.parts[name].current
                amperes = current if isinstance(current, float) or current is None else current.get(phase, 0.0)
                if amperes is None:
                    unknown.append(name)
                elif amperes:
                    loads.append((name, amperes))
        capacity = sum(facts.design.parts[n].rating or 0.0 for n in facts.design.of_kind(p.Alternator) if answer.healthy.alive[f"parts/{n}"])
        found.append(
            PhaseLoad(phase, declared.state, sum(a for _, a in loads), capacity, tuple(sorted(loads, key=lambda pair: -pair[1])), tuple(unknown))
        )
    return tuple(found) if any(f.amperes for f in found) else ()


def load_chart(phases: Sequence[PhaseLoad]) -> str:
    """A bar for each phase, and a line at what its alternators are rated for. All figures are in the labels too."""
    most = max([f.amperes for f in phases] + [f.capacity for f in phases]) or 1.0
    left, width, step = 150, 520, 34
    body = []
    for i, phase in enumerate(phases):
        y = 12 + i * step
        long = phase.amperes / most * width
        body.append(f'<text class="axis" x="{left - 8}" y="{y + 14}" text-anchor="end">{html.escape(_clip(shown(phase.phase)))}</text>')
        body.append(f'<rect class="amps" x="{left}" y="{y}" width="{long:.1f}" height="20"/>')
        body.append(f'<text class="value" x="{left + long + 6:.1f}" y="{y + 14}">{phase.amperes:.1f} A</text>')
        if phase.capacity:
            x = left + phase.capacity / most * width
            body.append(
                f'<path class="rated" d="M{x:.1f} {y - 4}V{y + 24}"/><text class="value" x="{x + 4:.1f}" y="{y + 32}">rated {phase.capacity:g} A</text>'
            )
    height = 24 + len(phases) * step
    return (
        f'<svg class="chart" role="img" aria-label="Declared current in each phase" viewBox="0 0 {left + width + 90} {height}">{"".join(body)}</svg>'
    )


def _clip(text: str) -> str:
    return text if len(text) <= 20 else text[:19] + "…"
