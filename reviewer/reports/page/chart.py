"""Charts as inline SVG, each with a table beside it that says the same."""

from __future__ import annotations

import html
from collections.abc import Sequence

from reviewer.reports.schedules.loads import PhaseLoad
from reviewer.reports.wording import shown


def load_chart(phases: Sequence[PhaseLoad]) -> str:
    """A bar for each phase: what is taken, and what goes into batteries; a line at what its alternators can give. All figures are in the labels and in the
    table too. A bar more than twice as long as what else is drawn, as of a starter, is broken off."""
    ends = [max(f.drawn + f.charging, f.limit) for f in phases]
    second = max(sorted(ends)[:-1], default=max(ends)) or max(ends)
    most = max(ends) if max(ends) <= 2 * second else 1.25 * second
    left, width, step = 150, 440, 38
    scale = width / (most or 1.0)
    body = []
    for i, phase in enumerate(phases):
        y = 12 + i * step
        taken, whole = min(phase.drawn, most) * scale, min(phase.drawn + phase.charging, most) * scale
        body.append(f'<text class="axis" x="{left - 8}" y="{y + 14}" text-anchor="end">{html.escape(_clip(shown(phase.phase)))}</text>')
        body.append(f'<rect class="amps" x="{left}" y="{y}" width="{taken:.1f}" height="20"/>')
        body.append(f'<rect class="charging" x="{left + taken:.1f}" y="{y}" width="{max(0.0, whole - taken):.1f}" height="20"/>')
        if phase.drawn + phase.charging > most:
            x = left + width - 40
            body.append(f'<path class="break" d="M{x} {y + 24}l8 -28M{x + 8} {y + 24}l8 -28"/>')
        words = f"{phase.drawn:.1f} A" + (f" and {phase.charging:.1f} A into batteries" if phase.charging >= 0.05 else "")
        end = max(whole, phase.limit * scale if phase.limit <= most else 0.0)
        body.append(f'<text class="value" x="{left + end + 8:.1f}" y="{y + 9}">{words}</text>')
        source = f"alternators can give {phase.limit:g} A" if phase.limit else "from batteries alone"
        body.append(f'<text class="value" x="{left + end + 8:.1f}" y="{y + 22}">{source}</text>')
        if phase.limit:
            body.append(f'<path class="rated" d="M{left + phase.limit * scale:.1f} {y - 4}V{y + 24}"/>')
    height = 24 + len(phases) * step
    told = "; ".join(f"{f.phase} {f.drawn:.1f} A" for f in phases)
    label = html.escape(shown(f"Current in each phase: {told}"), quote=True)
    return f'<svg class="chart" role="img" aria-label="{label}" viewBox="0 0 {left + width + 230} {height}">{"".join(body)}</svg>'


def _clip(text: str) -> str:
    return text if len(text) <= 20 else text[:19] + "…"
