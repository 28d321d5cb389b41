"""The failure effects as comma-separated values (RFC 4180) and as versioned JSON."""

from __future__ import annotations

from typing import Final

from reviewer.model.design import Design
from reviewer.model.review import HazardClass
from reviewer.network.graph import bare
from reviewer.questions.effects import Effect, EffectsTable, RemainingRedundancy
from reviewer.questions.naming import kind_of
from reviewer.reports.csv import csv_of
from reviewer.reports.documents.effects_document import (
    EffectsDocument,
    FailureEntry,
    LostFunction,
    RemainingEntry,
)
from reviewer.reports.effects import words as words
from reviewer.reports.review.json import beginning, dumped
from reviewer.reports.sneak_words import sneak_sentences
from reviewer.reports.wording import shown

FORMAT: Final = "circuit-effects/1"
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
    """One row for each failure under a row of :data:`COLUMNS`."""
    return csv_of(COLUMNS, (cells(design, effect) for effect in table.effects))


def cells(design: Design, effect: Effect) -> tuple[str, ...]:
    """One row under :data:`COLUMNS`."""
    failure = effect.failure
    return (
        shown(bare(failure.element)),
        kind_of(design, failure.element),
        shown(label_of(design, failure.element)),
        effect.key,
        shown(effect.words),
        words.local_effect(effect),
        words.functions_lost(design, effect),
        effect.hazard.word if effect.hazard is not None else "",
        words.indication(design, effect),
        words.redundancy(design, effect),
    )


def label_of(design: Design, element: str) -> str:
    """What is written on a part or wire, or ""."""
    piece = {"parts": design.parts, "wires": design.wires}.get(element.partition("/")[0], {}).get(
        bare(element)
    )
    return getattr(piece, "label", None) or ""


def effects_json(file: str, design: Design, table: EffectsTable) -> str:
    """The whole table; ``schemas/effects.schema.json`` describes it."""
    missing = [] if design.functions else [words.NO_FUNCTIONS]
    missing += [] if design.watch.monitors or design.watch.checks else [words.NO_WATCH]
    document: EffectsDocument = {
        "format": FORMAT,
        **beginning(file, design),
        "state": table.state,
        "switches": dict(table.switches),
        "functions": {name: function.loss for name, function in design.functions.items()},
        "functions_off": list(table.off),
        "sneak_currents": [*sneak_sentences(table.sneaks), *words.beside_words(table.sneaks)],
        "limitations": list(words.LIMITS),
        "missing_data": missing,
        "failures": [_failure(design, effect) for effect in table.effects],
    }
    return dumped(document)


def _failure(design: Design, effect: Effect) -> FailureEntry:
    failure, signs = effect.failure, effect.signs
    return {
        "element": failure.element,
        "kind": kind_of(design, failure.element),
        "label": label_of(design, failure.element),
        "mode": effect.key,
        "terminal": effect.at,
        "failure": effect.words,
        "local_effect": {
            "sentence": words.local_effect(effect),
            "alternators_full_field": [f"parts/{one.alternator}" for one in effect.full_field],
            "sources_lost": list(effect.sources),
            "fields_on": list(effect.fields_on),
            "sources_unloaded": list(effect.unloaded),
            "batteries_uncharged": list(effect.uncharged),
            "sources_overloaded": list(effect.overloaded),
            "protection_opened": list(effect.protection),
            "relays_dropped_out": list(effect.dropped_out),
            "relays_energised": list(effect.energised),
            "switches_moved": {bare(switch): at for switch, at in effect.moved},
            "buses_dead": list(effect.buses),
            "loads_dead": list(effect.loads),
            "loads_low": list(effect.low),
            "loads_newly_powered": list(effect.newly_powered),
            "magnetos_silenced": list(effect.silenced),
            "magnetos_hot": list(effect.hot),
        },
        "functions_lost": [_lost(effect, name, hazard) for name, hazard in effect.functions],
        "hazard": effect.hazard.word if effect.hazard is not None else None,
        "indication": {
            "monitors": list(signs.monitors),
            "dark": list(signs.dark),
            "checks_before_flight": list(signs.checks),
            "not_solved": [*signs.unsolved, *signs.unsolved_checks],
        },
        "remaining_redundancy": [_remaining(one) for one in effect.remaining if one.reduced],
        "unsettled": effect.unsettled,
    }


def _lost(effect: Effect, function: str, hazard: HazardClass) -> LostFunction:
    lost: LostFunction = {"function": function, "hazard": hazard.word}
    if (seconds := dict(effect.lost_after).get(function)) is not None:
        lost["after"] = seconds
    return lost


def _remaining(one: RemainingRedundancy) -> RemainingEntry:
    return {
        "function": one.function,
        "needed": one.needed,
        "of": list(one.of),
        "channels": list(one.channels),
        "next_failures": len(one.next_failures),
    }
