"""Charts as inline SVG, each with a table beside it that says the same."""

from __future__ import annotations

import html
from collections.abc import Sequence

from reviewer.reports.schedules.loads import PhaseLoad
from reviewer.reports.wording import shown


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
