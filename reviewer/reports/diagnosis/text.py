"""What explains symptoms, as text."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.model.design import Design
from reviewer.model.name_lists import and_list
from reviewer.questions.diagnosis import CauseGroup, Diagnosis
from reviewer.reports.diagnosis import words
from reviewer.reports.layout import caution_lines, headed, lines_of
from reviewer.reports.wording import counted, shown

#: groups and causes of a group that are printed; JSON and CSV have all
_GROUPS, _CAUSES = 6, 12


def diagnosis_text(file: str, design: Design, answer: Diagnosis, width: int = 100) -> str:
    """The symptoms, the groups of causes, and what to look at next."""
    lines = [*headed(f"{shown(file)}: what explains the symptoms in {shown(answer.state)}", width)]
    for symptom in answer.symptoms:
        if symptom.words == "as usual":
            continue
        note = " (as usual)" if symptom in answer.normal else ""
        lines += lines_of(f"{shown(words.symptom_words(design, symptom))}{note}", width, 2, 4)
    usual = sum(symptom.words == "as usual" for symptom in answer.symptoms)
    if usual:
        lines += lines_of(f"all else as usual ({counted(usual, 'sign')})", width, 2, 4)
    for sentence in words.missing_sentences(answer):
        lines += lines_of(sentence, width)
    if len(answer.normal) == len(answer.symptoms) - len(answer.unjudged):
        lines += ["", *lines_of("A sound system shows these too: there is nothing to explain.", width)]
    elif answer.groups:
        lines += ["", "WHAT EXPLAINS THEM, BEST FIRST"]
    for sentence in words.pair_sentences(answer):
        lines += lines_of(sentence, width)
    for number, group in enumerate(answer.groups[:_GROUPS], 1):
        lines += _group(design, answer, group, number, width)
    if (more := len(answer.groups) - _GROUPS) > 0:
        lines.append(f"  and {counted(more, 'more group')}, in the CSV")
    lines += _raised(answer, width)
    for sentence in words.dead_sentences(answer):
        lines += ["", *lines_of(shown(sentence), width)]
    if answer.next_looks:
        lines += ["", "WHAT TO DO NEXT, THE SAFE FIRST"]
        for look in answer.next_looks:
            said = f"{words.action_words(design, look)} {words.split_words(design, look)}."
            lines += lines_of(shown(said), width, 2, 4)
    lines.append("")
    for note in words.notes(design):
        lines += lines_of(note, width)
    lines += ["", *caution_lines(width)]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _raised(answer: Diagnosis, width: int) -> Iterator[str]:
    if answer.raised:
        yield from ("", "A RAISED RESISTANCE THAT EXPLAINS THEM, BEST FIRST")
    for raised in answer.raised[:_CAUSES]:
        yield from lines_of(f"- {shown(words.raised_words(raised))}", width, 2, 4)
    if (more := len(answer.raised) - _CAUSES) > 0:
        yield f"  and {counted(more, 'more place')}, in the CSV"


def _group(design: Design, answer: Diagnosis, group: CauseGroup, number: int, width: int) -> Iterator[str]:
    strange = len(answer.symptoms) - len(answer.normal) - len(answer.unjudged)
    alike = ", ".join(
        filter(
            None,
            (
                f"{number}. explains {len(group.explains)} of {counted(strange, 'symptom')}",
                words.alike_words(group.causes),
            ),
        )
    )
    yield from lines_of(alike, width, 2, 5)
    for cause in group.causes[:_CAUSES]:
        yield from lines_of(f"- {shown(words.cause_words(cause))}", width, 5, 7)
    if (more := len(group.causes) - _CAUSES) > 0:
        yield f"     - {counted(more, 'more cause')}, in the CSV"
    if group.against:
        yield from lines_of(
            shown("against it: " + and_list([words.symptom_words(design, s) for s in group.against])),
            width, 5, 7,
        )  # fmt: skip
    if group.shows:
        yield from lines_of(shown("would also show: " + words.shown_words(design, group.shows)), width, 5, 7)
