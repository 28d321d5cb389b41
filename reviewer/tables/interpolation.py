"""Straight lines between printed points: the one interpolation of the project."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence


def bracket(knots: Sequence[float], x: float) -> tuple[int, float]:
    """The interval of rising ``knots`` that holds ``x``: its index and how far along it, 0 to 1; at
    the ends of the knots for an ``x`` beyond them. Two knots at least."""
    i = min(max(bisect_left(knots, x) - 1, 0), len(knots) - 2)
    return i, min(1.0, max(0.0, (x - knots[i]) / (knots[i + 1] - knots[i])))


def interpolate(points: Sequence[tuple[float, float]], x: float) -> float:
    """y at ``x`` on straight lines between (x, y) ``points`` in rising order of x. Raises
    ValueError outside."""
    if not points[0][0] <= x <= points[-1][0]:
        raise ValueError(f"{x:g} is outside {points[0][0]:g} to {points[-1][0]:g}")
    if x == points[0][0]:
        return points[0][1]
    i, along = bracket([at for at, _ in points], x)
    (_, low), (_, high) = points[i : i + 2]
    return low + (high - low) * along
