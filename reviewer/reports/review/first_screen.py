"""The first screen of a review: what the design is, the verdict, the causes, what was not assessed.

The gravest causes stand in three lines, others in one, the rest by their names; no hazardous or catastrophic
cause is only counted unless these alone exceed the screen, and then the verdict says so.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from reviewer.model.record import record
from reviewer.model.review import Cause, Consequence, Finding, HazardClass, Review
from reviewer.reports import wording
from reviewer.reports.layout import lines_of
from reviewer.reports.review.fitted import fitted
from reviewer.reports.review.questions_text import question_words
from reviewer.reports.wording import counted, shown

#: verdicts that turn within the ranges of guesses, in full
TURNED = 3
#: lines of a screen, of the causes in full on it, and of questions at the concept stage
LINES, IN_FULL, QUESTIONS = 40, 8, 10
NOT_ASSESSED = "NOT ASSESSED."
#: letters before the text of a cause: its number and a space
_INDENT = 4
#: what the verdict says of some causes of a consequence; of one, of several
VERDICT = {
    Consequence.LOST_AT_ONE_FAILURE: (
        "means loss of {} by a single failure",
        "mean loss of {} by a single failure",
    ),
    Consequence.CAN_BURN: ("can burn", "can burn"),
    Consequence.ON_WHEN_NOT_WANTED: (
        "leaves something on",
        "leave something on",
    ),
    Consequence.NOT_THERE_WHEN_WANTED: (
        "leaves a source, load or warning missing when it is wanted",
        "leave a source, load or warning missing when it is wanted",
    ),
    Consequence.RUNS_SHORT: ("runs short", "run short"),
    Consequence.TO_PUT_IN_ORDER: ("is to be put in order", "are to be put in order"),
}
GUESSES = "GUESSES."
_HEADINGS = (*(consequence.word.upper() for consequence in Consequence), NOT_ASSESSED)
#: functions that the verdict names
_FUNCTIONS = 2
NOT_READY = {"concept": "NOT SOUND AS DRAWN.", "as-built": "NOT IN ORDER AS BUILT."}


@record
class _Layout:
    """How many lines each cause has, by its number from 0: three, one, or none."""

    lines: dict[int, int]
    #: consequences of which the names of those that are only counted take two lines
    wide: frozenset[Consequence] = frozenset()
    #: hazardous causes are left out because they alone exceed the screen
    exceeded: bool = False


def first_screen(review: Review, width: int = 100, most: int = LINES) -> list[str]:
    """At most ``most`` lines, none wider than ``width`` unless one word is."""
    standing = [(n, cause) for n, cause in enumerate(review.causes) if cause.standing]
    foot = [*_guesses(review, width), *_foot(review, width)]
    questions = QUESTIONS if review.stage == "concept" else 3
    while True:
        gaps = list(_not_assessed(review, width, questions))
        head = [*_head(review, width), *_verdict(review, False, width)]
        layout = _laid_out(standing, most - len(head) - len(gaps) - len(foot) - 1, width)
        if questions == 0 or not _crowded(standing, layout):
            break
        questions -= 1
    if layout.exceeded:
        head = [*_head(review, width), *_verdict(review, True, width)]
    body = list(_causes(standing, layout, width))
    return _spaced([*head, *body, *gaps, "", *foot], most)[:most]


def _spaced(lines: list[str], most: int) -> list[str]:
    """With an empty line over each heading, where there is room for all of them."""
    headings = [i for i, line in enumerate(lines) if line.startswith(_HEADINGS)]
    if len(lines) + len(headings) > most:
        return lines
    return [text for i, line in enumerate(lines) for text in (["", line] if i in headings else [line])]


def opening(review: Review, width: int) -> Iterator[str]:
    """What the design is, and the verdict."""
    yield from _head(review, width)
    yield from _verdict(review, False, width)


def _crowded(standing: Sequence[tuple[int, Cause]], layout: _Layout) -> bool:
    """Whether a cause has no line of its own, which comes before questions."""
    return any(not layout.lines[number] for number, _ in standing)


def _head(review: Review, width: int) -> Iterator[str]:
    counts = ((review.parts, "part"), (review.wires, "wire"), (len(review.states), "state"))
    size = ", ".join(counted(number, noun) for number, noun in counts)
    size += f" ({len(review.made)} of them made)" if review.made else ""
    yield from fitted(f"{shown(review.aircraft)}: {size}, {shown(review.stage)} stage", width, 2, 0)


def verdict_of(review: Review) -> str:
    """The verdict in a sentence: what the causes come to, or that there is none."""
    causes = [cause for cause in review.causes if cause.standing]
    if causes:
        grave = max(cause.hazard for cause in causes) > HazardClass.MINOR
        word = NOT_READY.get(review.stage, "NOT READY TO WIRE.") if grave else "MINOR FINDINGS."
        return f"{word} {', '.join(_counts(causes))}."
    conceded = len(review.causes)
    none = f"No finding beyond {counted(conceded, 'conceded cause')}." if conceded else "No finding."
    return f"{none} This is no approval of the design."


def _verdict(review: Review, exceeded: bool, width: int) -> Iterator[str]:
    yield from lines_of(" ".join(_verdict_words(review, exceeded)), width)


def _verdict_words(review: Review, exceeded: bool) -> Iterator[str]:
    if review.breakdowns:
        rules = counted(len({b.rule for b in review.breakdowns}), "rule")
        yield f"RULE ERROR: {rules} failed, and nothing is known about what they judge (--all)."
    yield verdict_of(review)
    if exceeded:
        yield "Not all hazardous causes fit here: see --all."
    if review.unmatched:
        one = len(review.unmatched) == 1
        yield f"{len(review.unmatched)} concession{' matches' if one else 's match'} no finding (--all)."
    yield _assessed(review)


def _counts(causes: Sequence[Cause]) -> Iterator[str]:
    """``4 causes mean loss of engine by a single failure``, ``3 can burn`` and so on."""
    noun = " cause"
    for consequence in sorted(Consequence, reverse=True):
        own = [cause for cause in causes if cause.consequence is consequence]
        if own:
            several = len(own) > 1
            words = VERDICT[consequence][several].format(_functions(own))
            yield f"{len(own)}{noun}{'s' if noun and several else ''} {words}"
            noun = ""


def _functions(causes: Sequence[Cause]) -> str:
    """The functions that causes lose, by the first one that the findings of their worst class name."""
    lost = [
        [f for one in cause.standing if one.hazard is cause.hazard for f in one.evidence.functions[:1]]
        for cause in causes
    ]
    named = list(dict.fromkeys(shown(f) for own in lost for f in own))
    few = len(named) <= _FUNCTIONS and all(lost)
    return wording.and_list(named, "or") if few else "a critical function"


def _assessed(review: Review) -> str:
    gaps = review.gaps
    if not gaps:
        return "Every item was assessed." if not review.breakdowns else ""
    rules = len({g.rule for g in gaps})
    return (
        f"{counted(len(gaps), 'item')} of {counted(rules, 'rule')} {'was' if len(gaps) == 1 else 'were'} "
        "not assessed, which does not mean acceptable."
    )


def _laid_out(standing: Sequence[tuple[int, Cause]], room: int, width: int) -> _Layout:
    """The most lines that the causes may have, the gravest served first."""
    lines = dict.fromkeys((number for number, _ in standing), 0)
    gravest = sorted(standing, key=lambda entry: (-entry[1].hazard, -entry[1].consequence, entry[0]))
    exceeded = False
    for number, cause in gravest:
        if cause.hazard >= HazardClass.HAZARDOUS:
            lines[number] = 1
            if _height(standing, _Layout(lines), width) > room:
                lines[number], exceeded = 0, True
    for number, _ in gravest[:IN_FULL]:
        _grown(standing, lines, number, 3, room, width)
    for number, _ in standing:
        if not lines[number]:
            _grown(standing, lines, number, 1, room, width)
    layout = _Layout(lines, exceeded=exceeded)
    for consequence in sorted(Consequence, reverse=True):
        wider = _Layout(lines, layout.wide | {consequence}, exceeded)
        if _height(standing, wider, width) <= room:
            layout = wider
    return layout


def _grown(
    standing: Sequence[tuple[int, Cause]], lines: dict[int, int], number: int, to: int, room: int, width: int
) -> None:
    """Give a cause more lines if there is room."""
    before = lines[number]
    lines[number] = to
    if _height(standing, _Layout(lines), width) > room:
        lines[number] = before


def _height(standing: Sequence[tuple[int, Cause]], layout: _Layout, width: int) -> int:
    return sum(1 for _ in _causes(standing, layout, width))


def _causes(standing: Sequence[tuple[int, Cause]], layout: _Layout, width: int) -> Iterator[str]:
    for consequence in sorted(Consequence, reverse=True):
        own = [(number, cause) for number, cause in standing if cause.consequence is consequence]
        told = [(number, cause) for number, cause in own if layout.lines[number]]
        rest = [(number, cause) for number, cause in own if not layout.lines[number]]
        if not own:
            continue
        heading = f"{consequence.word.upper()} ({_classes(own)})"
        if told:
            yield from lines_of(heading, width)
        for number, cause in told:
            yield from _cause(number, cause, layout.lines[number], width)
        if rest:
            names = ", ".join(f"{number + 1} {_subject(cause.headline)}" for number, cause in rest)
            many = 2 if consequence in layout.wide else 1
            if told:
                yield from fitted(f"and {len(rest)} more: {names}", width, many, _INDENT)
            else:
                yield from fitted(f"{heading} {names}", width, many, 0, _INDENT)


def _classes(causes: Sequence[tuple[int, Cause]]) -> str:
    """The class of each cause, which are sorted by it: ``1 to 3 catastrophic, 4 hazardous``."""
    words = []
    for hazard, alike in groupby(causes, key=lambda entry: entry[1].hazard):
        numbers = [number + 1 for number, _ in alike]
        between = " and " if len(numbers) == 2 else " to "
        span = between.join(str(n) for n in dict.fromkeys((numbers[0], numbers[-1])))
        words.append(f"{span} {hazard.word}")
    return ", ".join(words)


def _subject(finding: Finding) -> str:
    return shown(finding.subject.rpartition("/")[2])


def _cause(number: int, cause: Cause, most: int, width: int) -> list[str]:
    """What is wrong, what else it does or the rest of the sentence, and what puts it right."""
    told = cause.headline
    sentence = shown(said(told))
    if most == 1:
        return _numbered(number, fitted(sentence, width, 1, _INDENT))
    repair = lines_of(f"-> {shown(cause.repair)}", width, _INDENT, _INDENT + 3) if cause.repair else []
    lines = fitted(sentence, width, 2, _INDENT)
    first = fitted(sentence, width, 1, _INDENT)
    if len(lines) + len(repair) > most and first[0].endswith("."):  # the whole repair says more
        lines = first
    others = [f for f in cause.standing if f is not told]
    if len(lines) == 1 and others and len(repair) < most - 1:
        other = next((f for f in others if f.rule != told.rule), others[0])
        more = f" And {counted(len(others) - 1, 'more finding')}." if others[1:] else ""
        also = fitted(f"Also: {shown(other.sentence)}", width - len(more), 1, _INDENT)
        lines += [f"{also[0]}{more}"]
    if len(lines) + len(repair) > most:
        repair = fitted(f"-> {shown(cause.repair)}", width, most - len(lines), _INDENT, _INDENT + 3)
    return _numbered(number, [*lines, *repair])


def said(finding: Finding) -> str:
    """Its sentence, and before it, where no line can cut it off, that its figures rest on guesses."""
    return f"On guesses: {finding.sentence}" if finding.guesses else finding.sentence


def _numbered(number: int, lines: list[str]) -> list[str]:
    return [f"{number + 1:>{_INDENT - 1}} {lines[0].lstrip()}", *lines[1:]]


def _not_assessed(review: Review, width: int, questions: int) -> Iterator[str]:
    """What to write, what unlocks most first."""
    asked = review.questions[:questions]
    if not asked:
        return
    yield f"{NOT_ASSESSED} To write, what most rules lack first (--missing has text for pasting):"
    for question in asked:
        yield from fitted(question_words(question, review, width - _INDENT), width, 1, _INDENT)
    if left := len(review.questions) - len(asked):
        yield f"    and {counted(left, 'more question')}"


def _guesses(review: Review, width: int) -> Iterator[str]:
    """That figures are guesses, and the gravest verdicts that turn within their ranges."""
    tried = review.guesses
    if not tried.guesses:
        return
    yield from fitted(f"{GUESSES} {shown(tried.beginning)}", width, 2, 0, _INDENT)
    for turned in tried.turned[:TURNED]:
        yield from fitted(f"{shown(turned.words)} ({turned.hazard})", width, 2, _INDENT)
    if left := len(tried.turned) - TURNED:
        yield from [f"    and {counted(left, 'more verdict')} (--all)"] if left > 0 else []


def _foot(review: Review, width: int) -> Iterator[str]:
    tells = "--cause 1 tells its evidence; --all, the rest" if review.causes else "--all tells more"
    yield from lines_of(f"reviewer review {shown(review.file)} {tells}.", width)
    yield from lines_of(wording.SHORT_CAUTION, width)
