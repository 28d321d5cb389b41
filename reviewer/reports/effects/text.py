"""The failure effects for a terminal: worst losses first, failures of one effect together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reviewer.model.design import Design
from reviewer.model.review import HazardClass
from reviewer.questions.effects import Effect, EffectsTable
from reviewer.reports.effects import words as words
from reviewer.reports.layout import NARROWEST, caution_lines, headed, labelled, lines_of
from reviewer.reports.sneak_words import sneak_sentences
from reviewer.reports.wording import counted, in_state, shown


def effects_text(file: str, design: Design, table: EffectsTable, width: int = 100) -> str:
    """The whole table, the cautions at the end."""
    width = max(width, NARROWEST)
    lines = headed(f"{shown(file)}: failure effects in {shown(table.state)}", width)
    elements = {e.failure.element for e in table.effects}
    lines += lines_of(
        f"{counted(len(table.effects), 'single failure')} of "
        f"{counted(len(elements), 'part, wire or bundle', 'parts, wires and bundles')}.",
        width,
    )
    lines += lines_of(f"State: {in_state(table.state, table.switches)}.", width)
    lines += lines_of(words.off_words(table.off), width) if table.off else []
    for sentence in (*sneak_sentences(table.sneaks), *words.beside_words(table.sneaks)):
        lines += lines_of(sentence, width)
    for note in _notes(design):
        lines += lines_of(note, width)
    for title, rows in _sections(design, table.effects):
        lines += ["", f"{title}: {counted(len(rows), 'failure')}"]
        for same in words.alike(design, rows):
            lines += _rows(design, same, width)
    lines += ["", "Limitations"]
    for sentence in words.LIMITS:
        lines += lines_of(f"- {sentence}", width, 2, 4)
    return "\n".join([*lines, "", *caution_lines(width)]) + "\n"


def _notes(design: Design) -> Iterator[str]:
    if not design.functions:
        yield f"Functions lost and remaining redundancy: {words.NO_FUNCTIONS}."
    if not design.watch.monitors and not design.watch.checks:
        yield f"Indication: {words.NO_WATCH}."
    else:
        yield words.INDICATION


def _sections(design: Design, effects: Sequence[Effect]) -> Iterator[tuple[str, list[Effect]]]:
    for hazard in sorted(HazardClass, reverse=True):
        rows = [e for e in effects if e.hazard is hazard]
        if rows:
            yield f"Loss of a function, {hazard.word}", rows
    rest = [e for e in effects if e.hazard is None]
    indicated = [
        e
        for e in rest
        if e.signs.monitors or e.signs.dark or e.signs.checks or words.stopped_in_use(design, e)
    ]
    silent = [e for e in rest if e not in indicated]
    lost = "No function is lost" if design.functions else "Loss of functions not assessed"
    watched = bool(design.watch.monitors or design.watch.checks)
    for title, rows in (
        (lost, indicated),
        (f"{lost}; nothing indicates it" if watched else lost, silent),
    ):
        if rows:
            yield title, rows


#: the labels of :func:`words.effect_cells`
_LABELS = ("local effect", "functions lost", "indication", "redundancy")


def _rows(design: Design, same: Sequence[Effect], width: int) -> Iterator[str]:
    yield from lines_of(f"- {words.failures_words(same)}", width, 2, 4)
    for label, text in zip(_LABELS, words.effect_cells(design, same[0]), strict=True):
        yield from labelled(label, text, width)
