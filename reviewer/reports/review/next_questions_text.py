"""The next questions about a file as text: what is asked, why, what may be written, and where."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reviewer.model.name_lists import and_list
from reviewer.model.review import Review
from reviewer.reports import wording
from reviewer.reports.format_pages import what_of
from reviewer.reports.format_words import Schema
from reviewer.reports.layout import headed, lines_of
from reviewer.reports.wording import counted, shown
from reviewer.rulebook.next_questions import NextQuestion, Paste

#: rules that are named, and places that are shown, of one question
_RULES, _PLACES = 3, 6
#: the definitions of what is no part and no group of its own name
_DEFINED = {"all wires": "CommonWire", "input": "SignalInput", "output": "UnitOutput", "zone": "Zone"}


def next_questions_text(
    review: Review, questions: Sequence[NextQuestion], schema: Schema, most: int, width: int = 100
) -> str:
    """The first ``most`` questions, with how many more there are."""
    lines = list(headed(shown(review.file), width))
    if not questions:
        lines += ["No data are missing."]
    else:
        later = f" {wording.ASKED_LATER}" if review.stage == "concept" else ""
        lines += lines_of(
            f"{counted(len(questions), 'question')}, first those whose answers decide the most; each "
            f"text fits the file as it stands. {wording.UNASSESSED_CAUTION}{later}",
            width,
        )
    for number, question in enumerate(questions[:most], 1):
        lines += ["", *question_text(question, number, len(questions), review, schema, width)]
        lines += paste_text(question.pastes[:_PLACES], "", width)
        if more := len(question.pastes) - _PLACES:
            lines += [f"    and {more} more"] if more > 0 else []
    if (more := len(questions) - most) > 0:
        lines += ["", f"and {counted(more, 'more question')}; --all has every one."]
    lines += ["", *lines_of(wording.SHORT_CAUTION, width)]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def question_text(
    question: NextQuestion, number: int, count: int, review: Review, schema: Schema, width: int
) -> Iterator[str]:
    """What is asked, what it means and what may be written, and which rules wait for it."""
    yield from lines_of(f"{number} of {count}: {_asked(question)}", width)
    if about := meaning(question, schema):
        yield from lines_of(about, width, 4)
    titles = {a.rule: a.title for a in review.assessments}
    rules, items = counted(len(question.rules), "rule"), counted(question.waiting, "item")
    verb = "wait" if question.waiting > 1 else "waits"
    yield from lines_of(
        f"Why: {items} of {rules} {verb} for it, the worst of class {question.hazard.word}:", width, 4
    )
    for rule in question.rules[:_RULES]:
        yield from lines_of(f"- {titles.get(rule, rule)} ({rule})", width, 6, 8)
    if (more := len(question.rules) - _RULES) > 0:
        yield f"      - and {more} more"


def paste_text(pastes: Sequence[Paste], value: str, width: int) -> Iterator[str]:
    """Where each text goes, and the text with a value, or with its place left open."""
    for paste in pastes:
        place = shown(paste.place)
        yield from lines_of(f"{place[:1].upper()}{place[1:]}:", width, 4)
        yield from (f"        {shown(line)}" for line in paste.written(value) if line)


def meaning(question: NextQuestion, schema: Schema) -> str:
    """What a key means and what may stand there; "" where the schema does not have it."""
    definitions = schema["$defs"]
    if question.kind == "states":
        return ""
    if question.kind == "section":
        owner = schema
    else:
        names = (f"part-{question.kind}", question.kind, _DEFINED.get(question.kind, ""))
        owner = next((definitions[name] for name in names if name in definitions), {})
    own = owner.get("properties", {}).get(question.key)
    return what_of(own, schema) if own else ""


def _asked(question: NextQuestion) -> str:
    if question.kind == "section":
        return f"the section `{question.key}`"
    if question.kind == "states":
        return question.key
    if question.kind == "all wires":
        return f"`{question.key}` of all wires"
    names = [shown(name_of(item)) for item in question.items]
    shown_names = names if len(names) <= _PLACES else [*names[:_PLACES], f"{len(names) - _PLACES} more"]
    return f"`{question.key}` of {and_list(shown_names)}"


def name_of(item: str) -> str:
    """``radio``; of what a part has, ``volts of display``."""
    steps = item.split("/")
    return f"{steps[-1]} of {steps[1]}" if steps[0] == "parts" and len(steps) > 2 else steps[-1]
