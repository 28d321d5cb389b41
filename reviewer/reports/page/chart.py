"""Charts as inline SVG, each with a table beside it that says the same."""

from __future__ import annotations

import html
import math
from collections.abc import Iterator, Sequence

from reviewer.analysis.endurance.battery_endurance import Lasting, shed_at
from reviewer.reports.budget.table import thinned
from reviewer.reports.budget.words import clock
from reviewer.reports.handoff.schedules.load_tables import PhaseLoad
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
        body.append(
            f'<text class="axis" x="{left - 8}" y="{y + 14}" text-anchor="end">{html.escape(_clip(shown(phase.phase)))}</text>'
        )
        body.append(f'<rect class="amps" x="{left}" y="{y}" width="{taken:.1f}" height="20"/>')
        body.append(
            f'<rect class="charging" x="{left + taken:.1f}" y="{y}" width="{max(0.0, whole - taken):.1f}" height="20"/>'
        )
        if phase.drawn + phase.charging > most:
            x = left + width - 40
            body.append(f'<path class="break" d="M{x} {y + 24}l8 -28M{x + 8} {y + 24}l8 -28"/>')
        words = f"{phase.drawn:.1f} A" + (
            f" and {phase.charging:.1f} A into batteries" if phase.charging >= 0.05 else ""
        )
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


#: edges of the plot of an endurance
_LEFT, _TOP, _WIDE, _HIGH = 64, 34, 600, 220
_DASHES = ("", "7 4", "2 4", "10 3 2 3")


def endurance_chart(every: Sequence[Lasting]) -> str:
    """The charge of each battery that runs down, in time, with what is wanted and when loads are shed; "" where none runs down. The table beside it has
    the figures."""
    shown_ones = [one for one in every if not math.isinf(one.seconds)]
    if not shown_ones:
        return ""
    last = max(max(one.seconds, one.wanted or 0.0) for one in shown_ones)
    step = next(
        s
        for s in (60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 36000, 86400, math.inf)
        if last / s <= 10 or math.isinf(s)
    )
    step = last if math.isinf(step) else step
    scale = _WIDE / last
    body = list(_axes(last, step, scale))
    for i, one in enumerate(shown_ones):
        body += _line(one, i, scale)
    told = "; ".join(f"{one.battery} lasts {clock(one.seconds)}" for one in shown_ones)
    height = _TOP + _HIGH + 50 + 20 * len(shown_ones)
    label = html.escape(f"Charge of the batteries in time. {shown(told)}.", quote=True)
    return f'<svg class="chart endurance" role="img" aria-label="{label}" viewBox="0 0 {_LEFT + _WIDE + 40} {height}">{"".join(body)}</svg>'


def _axes(last: float, step: float, scale: float) -> Iterator[str]:
    bottom = _TOP + _HIGH
    yield f'<path class="axes" d="M{_LEFT} {_TOP}V{bottom}H{_LEFT + _WIDE}"/>'
    for percent in (0, 25, 50, 75, 100):
        y = bottom - _HIGH * percent / 100
        yield f'<path class="line" d="M{_LEFT} {y:.1f}h{_WIDE}"/><text class="value" x="{_LEFT - 6}" y="{y + 4:.1f}" text-anchor="end">{percent} %</text>'
    for k in range(int(last / step + 1e-9) + 1):
        x = _LEFT + k * step * scale
        yield f'<text class="value" x="{x:.1f}" y="{bottom + 16}" text-anchor="middle">{k * step / 60:g}</text>'
    yield f'<text class="value" x="{_LEFT + _WIDE}" y="{bottom + 32}" text-anchor="end">minutes from the loss</text>'
    yield f'<text class="value" x="{_LEFT - 44}" y="{_TOP - 16}">charge left</text>'


def _line(one: Lasting, i: int, scale: float) -> Iterator[str]:
    bottom = _TOP + _HIGH
    points = " ".join(
        f"{_LEFT + m.seconds * scale:.1f},{bottom - _HIGH * m.charge:.1f}" for m in thinned(one)
    )
    dash = f' stroke-dasharray="{_DASHES[i % len(_DASHES)]}"' if _DASHES[i % len(_DASHES)] else ""
    yield f'<polyline class="charge c{i % 4}"{dash} points="{points}"/>'
    for action, at in shed_at(one).items():
        if at < one.seconds:
            charge = min(one.found.curve, key=lambda m: abs(m.seconds - at)).charge
            words = html.escape(shown(f"{action}, {clock(at)}"))
            yield f'<circle class="shed" cx="{_LEFT + at * scale:.1f}" cy="{bottom - _HIGH * charge:.1f}" r="4"><title>{words}</title></circle>'
    wanted = ""
    if one.wanted is not None:
        x = _LEFT + one.wanted * scale
        yield f'<path class="charge wanted c{i % 4}" d="M{x:.1f} {_TOP - 4}V{bottom}"/>'
        side, anchor = (4, "start") if x < _LEFT + _WIDE - 100 else (-4, "end")
        name = html.escape(_clip(shown(one.battery)))
        yield f'<text class="value" x="{x + side:.1f}" y="{_TOP + 8 + 14 * i}" text-anchor="{anchor}">{name}</text>'
        wanted = f", {clock(one.wanted)} wanted (upright line)"
    y = bottom + 52 + 20 * i
    yield f'<path class="charge c{i % 4}"{dash} d="M{_LEFT} {y - 4}h36"/>'
    dots = "; dots: " + ", ".join(shed_at(one)) if shed_at(one) else ""
    yield f'<text class="value" x="{_LEFT + 44}" y="{y}">{html.escape(shown(f"{one.battery}: {clock(one.seconds)}{wanted}{dots}"))}</text>'


def _clip(text: str) -> str:
    return text if len(text) <= 20 else text[:19] + "…"
