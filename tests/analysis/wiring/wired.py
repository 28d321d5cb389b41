"""The wired design of the tests of wires, edits of it, and the printed ohms of its wires."""

from __future__ import annotations

from pathlib import Path

from reviewer.analysis.facts import Facts
from reviewer.analysis.wiring.voltage_drop import CircuitRun
from reviewer.model.quantities import FOOT_M
from reviewer.reading import read_text

ROOT = Path(__file__).parents[3]
WIRED = (ROOT / "tests" / "rules" / "bases" / "wired.yaml").read_text(encoding="utf-8")
#: Table 11-9 of AC 43.13-1B: ohm per 1000 ft at 20 C
OHMS = {"12 AWG": 2.02, "14 AWG": 3.06, "16 AWG": 4.81, "18 AWG": 6.23, "22 AWG": 16.2}


def wired(*edits: tuple[str, str]) -> Facts:
    text = WIRED
    for old, new in edits:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return Facts(read_text(text, "wired.yaml"))


def ohms(gauge: str, metres: float) -> float:
    return OHMS[gauge] * metres / (1000 * FOOT_M)


def run(facts: Facts, load: str, state: str = "cruise") -> CircuitRun:
    return next(run for flown, run in facts.wires.steady_runs[f"parts/{load}"] if flown.state == state)
