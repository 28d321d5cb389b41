"""The currents that the design file declares for its loads, phase by phase, as a schedule."""

from __future__ import annotations

from collections.abc import Sequence

from reviewer.model.design import Design
from reviewer.network.graph import Network, bare
from reviewer.questions.load_analysis import PhaseCurrents
from reviewer.reports.handoff.schedules.schedule import Cell, Schedule, number

_ABOUT = (
    "The currents of the design file for the loads that have power in the state of each phase; 0 where a "
    "load is off. No operating point is solved for this table."
)


def declared_loads(design: Design, network: Network, phases: Sequence[PhaseCurrents]) -> Schedule | None:
    """Each load with its current in each phase, then the sums.

    None where no phase or no current is declared.
    """
    if not phases:
        return None
    by_phase = [dict(f.loads) for f in phases]
    rows: list[tuple[Cell, ...]] = []
    for consumer in network.consumers:
        name = bare(consumer.element)
        part = design.parts[name]
        cells = [
            "not declared" if name in f.unknown else number(amps.get(name, 0.0))
            for f, amps in zip(phases, by_phase, strict=True)
        ]
        rows.append((name, getattr(part, "type", None) or part.kind, number(part.peak), *cells))
    rows.append(("total declared", "", "", *(number(f.declared) for f in phases)))
    rows.append(("rating of the running alternators", "", "", *(number(f.rated) for f in phases)))
    columns = ("load", "kind", "peak, A", *(f"{f.phase} ({f.state}), A" for f in phases))
    return Schedule("declared-loads", "Declared loads by phase", _ABOUT, columns, tuple(rows))
