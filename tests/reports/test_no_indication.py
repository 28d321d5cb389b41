"""What stands under `indication` where no monitor and no check before flight shows a failure: the sentence of `effects`, `fail`, page and schedule."""

from __future__ import annotations

from pathlib import Path

import pytest

from reviewer.analysis.facts import Facts
from reviewer.questions.effects import effects_of
from reviewer.reading import read_text
from reviewer.reports.effects.words import indication

BENCH = (Path(__file__).parents[1] / "answers" / "bench.design.yaml").read_text(encoding="utf-8")
BATTERY = ("audio-panel: {kind: instrument,", "audio-panel: {kind: instrument, internal-battery: 40 min,")
INTERCOM = ("functions:\n", "functions:\n  intercom: {any: 1, of: [audio-panel], loss: major}\n")
PAIR = ("functions:\n", "functions:\n  talk: {any: 1, of: [audio-panel, engine-monitor], loss: major}\n")
LAMP = (
    ("  W53:", "  W150: {from: main-bus.lamp, to: cabin-lamp.supply}\n  W151: {from: cabin-lamp.return, to: main-ground.cabin}\n  W53:"),
    ("  audio-panel: {", "  cabin-lamp: {kind: load, type: lamp, current: 0.2 A}\n  audio-panel: {"),
)  # fmt: skip


@pytest.mark.parametrize(
    ("edits", "failed", "said"),
    [
        ((), "audio-breaker", "none but audio-panel itself"),
        ((PAIR,), "audio-breaker", "none but audio-panel itself"),
        ((BATTERY,), "audio-breaker", "none"),
        ((INTERCOM,), "audio-breaker", "none but the loss itself"),
        ((BATTERY, INTERCOM), "audio-breaker", "none but the loss itself after 40 min"),
        (LAMP, "W150", "none"),
        ((), "sense-fuse", "reserve-volts; before flight: sources-alone"),
        ((), "mic-jack", "none"),
    ],
)
def test_what_only_use_shows_is_told_from_what_nothing_shows(
    edits: tuple[tuple[str, str], ...], failed: str, said: str
) -> None:
    """An instrument that stops is noticed, one on its own battery and a lamp of no function need not be."""
    text = BENCH
    for old, new in edits:
        assert old in text
        text = text.replace(old, new, 1)
    facts = Facts(read_text(text, "bench.yaml"))
    effects = effects_of(facts, "cruise").effects
    found = [e for e in effects if e.failure.element.endswith(f"/{failed}") and e.key == "open"]
    assert [indication(facts.design, effect) for effect in found] == [said]
