"""What explains symptoms as comma-separated values (RFC 4180) and as versioned JSON."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from reviewer.model.design import Design
from reviewer.model.name_lists import and_list
from reviewer.model.quantity_words import quantity
from reviewer.network.graph import bare
from reviewer.questions.diagnosis import CauseGroup, Diagnosis
from reviewer.questions.failure_causes import FailureCause
from reviewer.questions.symptoms import Symptom
from reviewer.reports.csv import csv_of
from reviewer.reports.diagnosis import words
from reviewer.reports.documents.diagnosis_document import (
    CauseGroupEntry,
    DiagnosisDocument,
    FailureCauseEntry,
    SymptomEntry,
)
from reviewer.reports.review.json import beginning, dumped, number

FORMAT: Final = "circuit-diagnosis/1"
COLUMNS = (
    *("group", "cause", "between", "part", "failure", "with latent"),
    *("explains", "against", "would also show"),
)


def diagnosis_csv(design: Design, answer: Diagnosis) -> str:
    """A row for each place of each cause under a row of :data:`COLUMNS`; then one for each raised resistance
    and one for each next step."""
    return csv_of(COLUMNS, _rows(design, answer))


def _rows(design: Design, answer: Diagnosis) -> Iterator[tuple[object, ...]]:
    for n, group in enumerate(answer.groups, 1):
        explains = "; ".join(words.symptom_words(design, s) for s in group.explains)
        against = "; ".join(words.symptom_words(design, s) for s in group.against)
        shows = words.shown_words(design, group.shows)
        for k, cause in enumerate(group.causes, 1):
            between = and_list(cause.between)
            for place in cause.places:
                (element, failure), *hidden = place.words
                latent = "; ".join(f"{bare(e)} {said}" for e, said in hidden)
                yield n, k, between, bare(element), failure, latent, explains, against, shows
    every = "; ".join(words.symptom_words(design, s) for s in answer.symptoms)
    for n, raised in enumerate(answer.raised, 1):
        between = and_list(raised.between)
        ohms = f"{quantity(raised.least, 'ohm')} to {quantity(raised.most, 'ohm')} more"
        yield "resistance", n, between, and_list(raised.names), ohms, "", every, "", ""
    for look in answer.next_looks:
        action, split = words.action_words(design, look), words.split_words(design, look)
        yield "next", "", "", "", action, "", "", "", split


def diagnosis_json(file: str, design: Design, answer: Diagnosis) -> str:
    """The whole answer; ``schemas/diagnosis.schema.json`` describes it."""
    document: DiagnosisDocument = {
        "format": FORMAT,
        **beginning(file, design),
        "state": answer.state,
        "switches": dict(answer.switches),
        "symptoms": [_symptom(answer, s) for s in answer.symptoms],
        "as_usual": [_symptom(answer, s) for s in answer.normal],
        "missing_data": words.missing_sentences(answer),
        "groups": [_group(design, answer, group) for group in answer.groups],
        "raised_resistances": [
            {
                "between": list(raised.between),
                "names": list(raised.names),
                "least_ohms": number(raised.least),
                "most_ohms": number(raised.most),
            }
            for raised in answer.raised
        ],
        "pairs": answer.pairs,
        "pairs_not_tried": answer.untried,
        "next": [
            {
                "what": look.risk.value,
                "action": words.action_words(design, look),
                "name": look.sign.name,
                "state": look.sign.state or answer.state,
                "move": dict(look.moved),
                "splits": [
                    {"seen": words.seen_words(design, look.sign, seen), "places": count}
                    for seen, count in look.splits
                ],
                "left_on_average": number(look.left),
            }
            for look in answer.next_looks
        ],
        "notes": [*words.pair_sentences(answer), *words.notes(design)],
    }
    return dumped(document)


def _symptom(answer: Diagnosis, symptom: Symptom) -> SymptomEntry:
    return {
        "look": symptom.sign.look.value,
        "name": symptom.sign.name,
        "state": symptom.sign.state or answer.state,
        "words": symptom.words,
    }


def cause_entry(cause: FailureCause) -> FailureCauseEntry:
    """A cause with its places."""
    return {
        "cause": words.cause_words(cause),
        "between": [*cause.between],
        "places": [
            [{"element": element, "failure": said} for element, said in place.words] for place in cause.places
        ],
    }


def _group(design: Design, answer: Diagnosis, group: CauseGroup) -> CauseGroupEntry:
    return {
        "causes": [cause_entry(cause) for cause in group.causes],
        "explains": [_symptom(answer, s) for s in group.explains],
        "against": [_symptom(answer, s) for s in group.against],
        "would_also_show": [
            {"name": str(sign), "seen": words.seen_words(design, sign, seen)} for sign, seen in group.shows
        ],
    }
