"""A bench for operating points: the small system of the rules' tests with shunts in three leads, and edits of it."""

from __future__ import annotations

from pathlib import Path

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text

BASE = (Path(__file__).parents[2] / "rules" / "bases" / "bench.yaml").read_text(encoding="utf-8")
#: the output of the alternator enters its shunt at line, current from the battery enters its own at line, that to the audio panel too
SHUNTS = {
    "W8: {from: alternator-limiter.load, to: alternator.output,": "W8: {from: alternator-limiter.load, to: alternator-shunt.load,",
    "  W9: {": "  W8A: {from: alternator-shunt.line, to: alternator.output, gauge: 6 AWG, length: 0.1 m}\n  W9: {",
    "W1: {from: main-battery.positive,": "W1: {from: battery-shunt.load,",
    "  W2: {": "  W1A: {from: main-battery.positive, to: battery-shunt.line, gauge: 4 AWG, length: 0.1 m}\n  W2: {",
    "W51: {from: audio-breaker.load,": "W51: {from: audio-shunt.load,",
    "  W52: {": "  W51A: {from: audio-breaker.load, to: audio-shunt.line, gauge: 22 AWG, length: 0.1 m}\n  W52: {",
    "  mic-jack:": "  alternator-shunt: {kind: shunt, rating: 60 A}\n  battery-shunt: {kind: shunt, rating: 60 A}\n"
    "  audio-shunt: {kind: shunt, rating: 5 A}\n  mic-jack:",
    "    reserve-volts: {shows: voltage,": "    alternator-amps: {shows: current, senses: alternator-shunt}\n"
    "    battery-amps: {shows: current, senses: battery-shunt}\n    audio-amps: {shows: current, senses: audio-shunt}\n"
    "    main-live: {shows: live, senses: main-bus.feed}\n    main-volts: {shows: voltage, senses: main-battery.positive}\n"
    "    bus-volts: {shows: voltage, senses: main-bus.feed, displayed-on: audio-panel}\n    reserve-volts: {shows: voltage,",
    "    parked: {": "    alternator-off: {like: cruise, use: abnormal, switches: {alternator-switch: down}}\n"
    "    stopped: {like: cruise, use: ground, engine: stopped}\n    parked: {",
}  # fmt: skip


def bench(*edits: tuple[str, str]) -> Facts:
    """The bench after some replacements of text, each of which must change it."""
    text = BASE
    for old, new in (*SHUNTS.items(), *edits):
        assert old in text, old
        text = text.replace(old, new, 1)
    return Facts(read_text(text, "bench.yaml"))
