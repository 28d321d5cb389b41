"""Checklists as comma-separated values (RFC 4180) and as versioned JSON."""

from __future__ import annotations

from collections.abc import Iterator
from math import isinf
from typing import Final

from reviewer.model.design import Design
from reviewer.network.graph import bare
from reviewer.questions.checklist_cards import ChecklistCard, Checklists, LimitedFunction
from reviewer.reports.checklists import words
from reviewer.reports.csv import csv_of
from reviewer.reports.diagnosis.table import cause_entry
from reviewer.reports.diagnosis.words import cause_words, seen_words
from reviewer.reports.documents.checklists_document import (
    CardStepEntry,
    ChecklistEntry,
    ChecklistsDocument,
    LimitedEntry,
)
from reviewer.reports.review.json import beginning, dumped, number

FORMAT: Final = "circuit-checklists/1"
COLUMNS = ("card", "class", "indication", "item", "number", "text")
INDEX_COLUMNS = ("kind", "indication", "cards", "why none")
#: a table has whole lists
_ALL = 10_000


def card_rows(design: Design, answer: Checklists) -> Iterator[tuple[str | int, ...]]:
    """A row for each line of each card, the causes in full."""
    for n, card in enumerate(answer.cards, 1):
        begin = n, words.class_word(card).lower(), words.heading(design, card)
        seen = words.indication_words(design, card)
        yield *begin, "seen", "", seen
        for line in words.card_lines(design, card, _ALL):
            text = "; ".join(map(cause_words, card.causes)) if line.head == "MEANS" else line.text
            yield *begin, line.head.lower(), line.number or "", text


def index_rows(design: Design, answer: Checklists) -> Iterator[tuple[str, ...]]:
    """A row for each indication, with the numbers of its cards or why it has none."""
    for one in answer.indications:
        cards = ", ".join(map(str, one.cards))
        yield one.sign.look.value, words.indication_words(design, one), cards, one.why


def checklists_csv(design: Design, answer: Checklists) -> str:
    """The rows of the cards under a row of :data:`COLUMNS`; then a row for each indication."""
    index = (
        (
            "",
            "index",
            indication,
            kind,
            "",
            f"{'cards' if ',' in cards else 'card'} {cards}" if cards else why,
        )
        for kind, indication, cards, why in index_rows(design, answer)
    )
    return csv_of(COLUMNS, (*card_rows(design, answer), *index))


def checklists_json(file: str, design: Design, answer: Checklists) -> str:
    """The whole answer; ``schemas/checklists.schema.json`` describes it."""
    document: ChecklistsDocument = {
        "format": FORMAT,
        **beginning(file, design),
        "state": answer.state,
        "switches": dict(answer.switches),
        "cards": [_card(design, n, card) for n, card in enumerate(answer.cards, 1)],
        "indications": [
            {
                "look": one.sign.look.value,
                "name": one.sign.name,
                "seen": words.indication_words(design, one),
                "cards": list(one.cards),
                "why_none": one.why,
            }
            for one in answer.indications
        ],
        "failures_without_indication": answer.silent,
        "defers": words.DEFERS,
        "notes": list(words.NOTES),
    }
    return dumped(document)


def _card(design: Design, number_of_card: int, card: ChecklistCard) -> ChecklistEntry:
    return {
        "number": number_of_card,
        "emergency": card.emergency,
        "title": words.heading(design, card),
        "look": card.sign.look.value,
        "name": card.sign.name,
        "seen": seen_words(design, card.sign, card.seen),
        "also": [{"name": sign.name, "seen": seen_words(design, sign, seen)} for sign, seen in card.also],
        "causes": [cause_entry(cause) for cause in card.causes],
        "lost": [{"function": name, "hazard": hazard.word} for name, hazard in card.lost_at_once],
        "runs": [bare(e) for e in card.unwanted],
        "steps": [_step(step.action, step.moves, step) for step in card.steps],
        "resets": [
            {
                "protection": one.protector,
                "opens_again": one.retrips,
                "once": one.once,
                "action": one.action,
                "restores": list(one.restores),
            }
            for one in card.resets
        ],
        "shed": list(card.shed),
        "do_not": [
            {
                "move": dict(one.moves),
                "loses": list(one.loses),
                "ties": [[bare(a), bare(b)] for a, b in one.ties],
                "leaves_on_batteries": list(one.on_batteries),
                "turns_off": [bare(e) for e in one.turns_off],
                "after_every_cause": one.always,
            }
            for one in card.prohibited
        ],
        "limited": [_limited(one) for one in card.limited],
        "not_limited": list(card.unlimited),
        "rests_on": [
            {"function": function, "channels": list(channels)} for function, channels in card.rests_on
        ],
        "overloaded": card.overloaded,
        "alarm_sure": not card.unalarmed,
        "left_lost": list(card.left),
        "missing_data": card.needs,
        "lines": [
            {"head": line.head, "number": line.number, "text": line.text}
            for line in words.card_lines(design, card)
        ],
    }


def _step(action: str, moves: tuple[tuple[str, str], ...], step: words.ChosenStep) -> CardStepEntry:
    return {
        "action": "" if step.by_hand else action,
        "moves": [{"name": name, "position": at} for name, at in moves],
        "restores": list(step.restores),
        "may_restore": list(step.may_restore),
        "stops": [bare(e) for e in step.stops],
        "may_stop": [bare(e) for e in step.may_stop],
        "loses": list(step.costs),
    }


def _limited(one: LimitedFunction) -> LimitedEntry:
    return {
        "function": one.function,
        "seconds_if_nothing_is_done": _seconds(one.unattended),
        "seconds_with_the_card": None if one.attended is None else _seconds(one.attended),
        "computed": one.attended is not None,
        "later": [
            {
                "actions": move.actions,
                "seconds": number(move.seconds),
                "stops": move.stops,
                "monitor": move.monitor,
                "reads": None if move.volts is None else number(move.volts),
            }
            for move in one.later
        ],
    }


def _seconds(value: float) -> float | None:
    return None if isinf(value) else number(value)
