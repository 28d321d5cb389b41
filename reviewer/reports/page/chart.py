"""Charts as inline SVG, each with a table beside it that has the same figures."""

from __future__ import annotations

import html
import math
from collections.abc import Iterator, Sequence

from reviewer.model.quantity_words import clock
from reviewer.questions.discharge_curves import DischargeCurve
from reviewer.questions.load_analysis import PhaseCurrents
from reviewer.reports.wording import shown

#: edges of the bars of the load analysis
_BARS_LEFT, _BARS_WIDE, _BAR_STEP = 150, 440, 38
#: edges of the plot of a discharge
_LEFT, _TOP, _WIDE, _HIGH = 64, 34, 600, 220
_DASHES = ("", "7 4", "2 4", "10 3 2 3")
#: seconds from one figure on the axis to the next
_STEPS = (60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 36000, 86400)


def load_chart(phases: Sequence[PhaseCurrents]) -> str:
    """A bar of load current and charging current for each phase, a line at the capacity.

    All figures are in the labels too. A bar more than twice as long as everything else, as of a
    starter, is broken off.
    """
    ends = [max(f.drawn + f.charging, f.output) for f in phases]
    second = max(sorted(ends)[:-1], default=max(ends)) or max(ends)
    most = max(ends) if max(ends) <= 2 * second else 1.25 * second
    body = [piece for i, phase in enumerate(phases) for piece in _bar(phase, 12 + i * _BAR_STEP, most)]
    height = 24 + len(phases) * _BAR_STEP
    currents = "; ".join(f"{f.phase} {f.drawn:.1f} A" for f in phases)
    label = html.escape(shown(f"Load current in each phase: {currents}"), quote=True)
    width = _BARS_LEFT + _BARS_WIDE + 230
    return (
        f'<svg class="chart" role="img" aria-label="{label}" viewBox="0 0 {width} {height}">{"".join(body)}'
        "</svg>"
    )


def _bar(phase: PhaseCurrents, y: int, most: float) -> Iterator[str]:
    scale = _BARS_WIDE / (most or 1.0)
    total = phase.drawn + phase.charging
    loads, both = min(phase.drawn, most) * scale, min(total, most) * scale
    name = html.escape(_clip(shown(phase.phase)))
    yield f'<text class="axis" x="{_BARS_LEFT - 8}" y="{y + 14}" text-anchor="end">{name}</text>'
    yield f'<rect class="amps" x="{_BARS_LEFT}" y="{y}" width="{loads:.1f}" height="20"/>'
    yield (
        f'<rect class="charging" x="{_BARS_LEFT + loads:.1f}" y="{y}" width="{max(0.0, both - loads):.1f}"'
        ' height="20"/>'
    )
    if total > most:
        x = _BARS_LEFT + _BARS_WIDE - 40
        yield f'<path class="break" d="M{x} {y + 24}l8 -28M{x + 8} {y + 24}l8 -28"/>'
    words = f"{phase.drawn:.1f} A" + (
        f" plus {phase.charging:.1f} A charging" if phase.charging >= 0.05 else ""
    )
    end = max(both, phase.output * scale if phase.output <= most else 0.0)
    yield f'<text class="value" x="{_BARS_LEFT + end + 8:.1f}" y="{y + 9}">{words}</text>'
    capacity = f"capacity {phase.output:g} A" if phase.output else "on battery alone"
    yield f'<text class="value" x="{_BARS_LEFT + end + 8:.1f}" y="{y + 22}">{capacity}</text>'
    if phase.output:
        yield f'<path class="rated" d="M{_BARS_LEFT + phase.output * scale:.1f} {y - 4}V{y + 24}"/>'


def discharge_chart(curves: Sequence[DischargeCurve]) -> str:
    """The state of charge of each battery in time, with required endurance and shed plan.

    "" where no battery runs down.
    """
    if not curves:
        return ""
    last = max(max(one.seconds, one.required or 0.0) for one in curves)
    step = next((s for s in _STEPS if last / s <= 10), last)
    scale = _WIDE / last
    body = list(_axes(last, step, scale))
    for i, one in enumerate(curves):
        body += _line(one, i, scale)
    endurances = "; ".join(f"{one.battery} {clock(one.seconds)}" for one in curves)
    height = _TOP + _HIGH + 50 + 20 * len(curves)
    label = html.escape(
        f"State of charge of the batteries in time. Endurance: {shown(endurances)}.", quote=True
    )
    return (
        f'<svg class="chart endurance" role="img" aria-label="{label}" viewBox="0 0 {_LEFT + _WIDE + 40}'
        f' {height}">{"".join(body)}</svg>'
    )


def _axes(last: float, step: float, scale: float) -> Iterator[str]:
    bottom = _TOP + _HIGH
    yield f'<path class="axes" d="M{_LEFT} {_TOP}V{bottom}H{_LEFT + _WIDE}"/>'
    for percent in (0, 25, 50, 75, 100):
        y = bottom - _HIGH * percent / 100
        yield (
            f'<path class="line" d="M{_LEFT} {y:.1f}h{_WIDE}"/><text class="value" x="{_LEFT - 6}"'
            f' y="{y + 4:.1f}" text-anchor="end">{percent} %</text>'
        )
    for k in range(math.floor(last / step + 1e-9) + 1):
        x = _LEFT + k * step * scale
        yield (
            f'<text class="value" x="{x:.1f}" y="{bottom + 16}" text-anchor="middle">{k * step / 60:g}</text>'
        )
    yield (
        f'<text class="value" x="{_LEFT + _WIDE}" y="{bottom + 32}" text-anchor="end">minutes after the loss'
        "</text>"
    )
    yield f'<text class="value" x="{_LEFT - 44}" y="{_TOP - 16}">state of charge</text>'


def _line(one: DischargeCurve, i: int, scale: float) -> Iterator[str]:
    """The curve of a battery, its shed points, the required endurance, and its line in the key."""
    bottom, dashes = _TOP + _HIGH, _DASHES[i % len(_DASHES)]
    points = " ".join(f"{_LEFT + s * scale:.1f},{bottom - _HIGH * charge:.1f}" for s, charge in one.points)
    dash = f' stroke-dasharray="{dashes}"' if dashes else ""
    yield f'<polyline class="charge c{i % 4}"{dash} points="{points}"/>'
    for shed in one.shed:
        words = html.escape(shown(f"{shed.action}, {clock(shed.seconds)}"))
        x, y = _LEFT + shed.seconds * scale, bottom - _HIGH * shed.charge
        yield f'<circle class="shed" cx="{x:.1f}" cy="{y:.1f}" r="4"><title>{words}</title></circle>'
    required = ""
    if one.required is not None:
        x = _LEFT + one.required * scale
        yield f'<path class="charge wanted c{i % 4}" d="M{x:.1f} {_TOP - 4}V{bottom}"/>'
        side, anchor = (4, "start") if x < _LEFT + _WIDE - 100 else (-4, "end")
        name = html.escape(_clip(shown(one.battery)))
        yield (
            f'<text class="value" x="{x + side:.1f}" y="{_TOP + 8 + 14 * i}" text-anchor="{anchor}">{name}'
            "</text>"
        )
        required = f", {clock(one.required)} required (vertical line)"
    y = bottom + 52 + 20 * i
    yield f'<path class="charge c{i % 4}"{dash} d="M{_LEFT} {y - 4}h36"/>'
    dots = f"; dots: {', '.join(one.planned)}" if one.planned else ""
    words = html.escape(shown(f"{one.battery}: {clock(one.seconds)}{required}{dots}"))
    yield f'<text class="value" x="{_LEFT + 44}" y="{y}">{words}</text>'


def _clip(text: str) -> str:
    return text if len(text) <= 20 else text[:19] + "…"
