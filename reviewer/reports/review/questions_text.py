"""What to write for what was not assessed, as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reviewer.model.name_lists import and_list
from reviewer.model.review import Question, Review
from reviewer.reports import wording
from reviewer.reports.layout import headed, lines_of
from reviewer.reports.wording import counted, shown

#: keys and items of a question that are named, from the most on
_NAMED = ((9, 4), (4, 3), (3, 3), (3, 2), (2, 2), (2, 1), (1, 1))


def question_words(question: Question, review: Review, room: int) -> str:
    """``add `capacity`, `chemistry` and 7 more of main-battery and reserve-battery: 10 of 38 unassessed
    rules``, within ``room`` letters where names are short enough."""
    rules = len({gap.rule for gap in review.gaps})
    wait = f"{question.rules} of {counted(rules, 'unassessed rule')}"
    if question.kind == "states":  # in words, which may be long
        state, colon, rest = question.keys[0].removesuffix(".").partition(": ")
        return f"add {state} ({wait}){colon}{rest}"
    words = ""
    for keys, items in _NAMED:
        words = f"add {_keys(question, keys)}{_of(question, items)}: {wait}"
        if len(words) <= room:
            break
    return words


def _keys(question: Question, most: int) -> str:
    return _named([f"`{key}`" for key in question.keys], most)


def _named(names: Sequence[str], most: int) -> str:
    if len(names) <= most:
        return and_list(names)
    return f"{', '.join(names[:most])} and {len(names) - most} more"


def _of(question: Question, most: int) -> str:
    if question.kind == "section":
        return ", a section of the file" if not question.keys[1:] else ", sections of the file"
    if question.kind == "all wires":
        return " of all wires"
    if question.kind in ("operation", "aircraft"):
        return f" of the {question.kind}"
    return f" of {_named([_item(item) for item in question.items], most)}"


def _item(item: str) -> str:
    """``radio``; of what a part has, ``input volts of display``."""
    group, _, name = item.partition("/")
    if group != "parts" or "/" not in name:
        return shown(item.rpartition("/")[2])
    part, kind, own = name.split("/", 2)
    return f"{kind.removesuffix('s')} {shown(own)} of {shown(part)}"


def missing_text(review: Review, width: int) -> Iterator[str]:
    """Every question with text for the file, the gravest first."""
    gaps = review.gaps
    if not gaps:
        yield "No data are missing."
        return
    rules = counted(len({gap.rule for gap in gaps}), "rule")
    beginning = f"{counted(len(gaps), 'item')} of {rules} not assessed. {wording.UNASSESSED_CAUTION}"
    if not review.questions and review.stage != "concept":
        yield from lines_of(f"{beginning} There is nothing to add to the file; --all says what lacks.", width)
        return
    later = f" {wording.ASKED_LATER}" if review.stage == "concept" else ""
    if not review.questions:
        yield from lines_of(f"{beginning}{later}", width)
        return
    yield from lines_of(
        f"{beginning} Data to add, gravest first; each value is left open, with an example of its form "
        f"beside it.{later}",
        width,
    )
    for question in review.questions:
        yield ""
        yield from lines_of(question_words(question, review, 10 * width), width)
        yield ""
        yield from (f"    {shown(line)}" for line in question.snippet.split("\n"))


def missing_pages(reviews: Sequence[Review], width: int = 100) -> str:
    """What to write for each of several files."""
    lines: list[str] = []
    for review in reviews:
        lines += [*headed(shown(review.file), width), *missing_text(review, width), ""]
    lines += lines_of(wording.SHORT_CAUTION, width)
    return "\n".join(line.rstrip() for line in lines) + "\n"
