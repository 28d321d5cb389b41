"""The table of failure effects as comma-separated values (RFC 4180), for a spreadsheet, and as versioned JSON, for other programs."""

from __future__ import annotations

from typing import Any

from reviewer.model.design import Design
from reviewer.network.graph import bare
from reviewer.questions.effects import Effect, EffectsTable, Left
from reviewer.questions.fail import kind_of
from reviewer.reports.csv import csv_of
from reviewer.reports.effects import words as words
from reviewer.reports.review.json import beginning, dumped
from reviewer.reports.wording import shown

FORMAT = "circuit-effects/1"
COLUMNS = (
    "part",
    "kind",
    "label",
    "mode",
    "failure",
    "local effect",
    "functions lost",
    "hazard class",
    "indication",
    "remaining redundancy",
)


def effects_csv(design: Design, table: EffectsTable) -> str:
    """One row a failure under a row of :data:`COLUMNS`. A cell that a spreadsheet would take for a formula begins with an apostrophe."""
    return csv_of(COLUMNS, (cells(design, effect) for effect in table.effects))


def cells(design: Design, effect: Effect) -> tuple[str, ...]:
    """One row under :data:`COLUMNS`."""
    failure = effect.failure
    return (
        shown(bare(failure.element)),
        kind_of(design, failure.element),
        shown(label_of(design, failure.element)),
        failure.mode.key,
        shown(effect.words),
        words.local_effect(effect),
        words.functions_lost(design, effect),
        effect.hazard.word if effect.hazard is not None else "",
        words.indication(design, effect),
        words.redundancy(design, effect),
    )


def label_of(design: Design, element: str) -> str:
    """What is written on a part or wire; "" where nothing is."""
    piece = {"parts": design.parts, "wires": design.wires}.get(element.partition("/")[0], {}).get(
        bare(element)
    )
    return getattr(piece, "label", None) or ""


def effects_json(file: str, design: Design, table: EffectsTable) -> str:
    """The whole table; ``schemas/effects.schema.json`` describes it."""
    notes = [] if design.functions else [words.NO_FUNCTIONS]
    notes += [] if design.watch.monitors or design.watch.checks else [words.NO_WATCH]
    return dumped(
        {
            **beginning(FORMAT, file, design),
            "state": table.state,
            "switches": dict(table.switches),
            "functions": {name: function.loss for name, function in design.functions.items()},
            "functions_off": list(table.off),
            "limits": list(words.LIMITS),
            "not_assessed": notes,
            "failures": [_failure(design, effect) for effect in table.effects],
        }
    )


def _failure(design: Design, effect: Effect) -> dict[str, Any]:
    signs = effect.signs
    return {
        "element": effect.failure.element,
        "kind": kind_of(design, effect.failure.element),
        "label": label_of(design, effect.failure.element),
        "mode": effect.failure.mode.key,
        "terminal": effect.at,
        "failure": effect.words,
        "local_effect": {
            "sentence": words.local_effect(effect),
            "sources_lost": list(effect.sources),
            "sources_idle": list(effect.idle),
            "protectors_opened": list(effect.protectors),
            "relays_let_go": list(effect.let_go),
            "relays_pulled_in": list(effect.pull_in),
            "buses_dead": list(effect.buses),
            "loads_dead": list(effect.loads),
            "loads_woken": list(effect.woken),
        },
        "functions_lost": [{"function": name, "hazard": hazard.word} for name, hazard in effect.functions],
        "hazard": effect.hazard.word if effect.hazard is not None else None,
        "indication": {
            "monitors": list(signs.monitors),
            "dark": list(signs.dark),
            "checks": list(signs.checks),
        },
        "remaining": [_left(left) for left in effect.left if left.touched],
        "unsettled": effect.hunts,
    }


def _left(left: Left) -> dict[str, Any]:
    return {
        "function": left.function,
        "needed": left.needed,
        "of": list(left.of),
        "channels": list(left.channels),
        "single_failures_that_now_take_it": len(left.takers),
    }
