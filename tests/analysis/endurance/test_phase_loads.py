"""What each phase of a flight asks of the alternator."""

from __future__ import annotations

from pathlib import Path

import pytest

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text

ROOT = Path(__file__).parents[3]


def test_what_an_alternator_gives_is_what_all_else_takes() -> None:
    facts = Facts(
        read_text((ROOT / "examples" / "tourer.design.yaml").read_text(encoding="utf-8"), "design.yaml")
    )
    for flown in facts.points.flown:
        if flown.phase in ("climb", "cruise", "taxi"):
            load = facts.endurance.phase_load(flown)
            (alternator,) = load.alternators
            # the field: 3 A at 14 V, less the drop of its breaker, switch and wires
            takes = sum(load.loads.values()) + sum(load.coils.values()) + load.into_batteries + 3.0
            assert alternator.amperes == pytest.approx(takes, abs=0.15)
            limit = 30 if flown.phase == "taxi" else 60
            assert alternator.load.output_a == limit and alternator.spare == pytest.approx(
                limit - alternator.amperes
            )
