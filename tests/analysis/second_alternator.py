"""A second alternator at the main bus of the bench, behind a current limiter of its own."""

from __future__ import annotations

from tests.edits import Edits


def second_alternator(rating: str, set_point: str) -> Edits:
    """The edits that add ``second``, which needs no field."""
    alternator = {
        "kind": "alternator",
        "excitation": "permanent-magnet",
        "rating": rating,
        "set-point": set_point,
    }
    return {
        "parts/second": alternator,
        "parts/second-limiter": {"kind": "limiter", "rating": "60 A", "label": "SECOND"},
        "wires/W90": _thick("main-bus.second", "second-limiter.line", "0.1 m"),
        "wires/W91": _thick("second-limiter.load", "second.output", "1.4 m"),
        "wires/W92": _thick("second.ground", "engine.second", "0.2 m"),
    }


def _thick(start: str, end: str, length: str) -> dict[str, str]:
    return {"from": start, "to": end, "gauge": "6 AWG", "length": length}
