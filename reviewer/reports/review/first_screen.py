"""The first screen of a review: what the design is, the verdict, the causes, what was not assessed.

The gravest causes stand in three lines, others in one, the rest by their names; no hazardous or catastrophic
cause is only counted unless these alone exceed the screen, and then the verdict says so.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reviewer.model.name_lists import and_list
from reviewer.model.review import Cause, Consequence, HazardClass, Review, RuleError
from reviewer.reports import wording
from reviewer.reports.layout import lines_of
from reviewer.reports.review.cause_lines import INDENT, CauseLines
from reviewer.reports.review.fitted import fitted
from reviewer.reports.review.questions_text import question_words
from reviewer.reports.wording import counted, shown

#: verdicts that turn within the ranges of estimates, in full
TURNED = 3
#: lines of a screen, and of questions past the concept stage
LINES, QUESTIONS = 40, 3
NOT_ASSESSED = "NOT ASSESSED."
#: how many reasons stand on the first screen where no data of the file would give an answer
_FEW_LACKS = 3
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
    Consequence.TO_BE_CORRECTED: ("is to be corrected", "are to be corrected"),
}
ESTIMATES = "ESTIMATES."
_HEADINGS = (*(consequence.word.upper() for consequence in Consequence), NOT_ASSESSED)
#: letters of an error of a rule
_ERROR = 160
#: functions that the verdict names, and other causes behind which more is found
_FUNCTIONS, _HIDING = 2, 3
NOT_READY = {"concept": "NOT SOUND AS DRAWN.", "as-built": "NOT IN ORDER AS BUILT."}


def first_screen(review: Review, width: int = 100, most: int = LINES) -> list[str]:
    """At most ``most`` lines, none wider than ``width`` unless one word is."""
    causes = CauseLines(review.numbered, width)
    foot = [*_estimates(review, width), *_foot(review, width)]
    questions = len(review.questions) if review.stage == "concept" else QUESTIONS
    head = [*_head(review, width), *_verdict(review, False, width)]
    margins = lines_of(shown(review.margins), width)
    causes.lay_out(most - len(head) - len(margins) - len(foot) - 1)
    head += [] if causes.crowded else margins
    while True:
        gaps = list(_not_assessed(review, width, questions))
        causes.lay_out(most - len(head) - len(gaps) - len(foot) - 1)
        if questions == 0 or not causes.crowded:
            break
        questions -= 1
    unsaid = bool(review.questions) and not gaps
    if causes.exceeded or unsaid:  # the verdict says so, which may take a line
        head = [*_head(review, width), *_verdict(review, causes.exceeded, width, unsaid)]
        causes.lay_out(most - len(head) - len(gaps) - len(foot) - 1)
    return _spaced([*head, *causes.lines(), *gaps, "", *foot], most)[:most]


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


def _head(review: Review, width: int) -> Iterator[str]:
    counts = ((review.parts, "part"), (review.wires, "wire"), (len(review.states), "state"))
    size = ", ".join(counted(number, noun) for number, noun in counts)
    size += f" ({len(review.made)} of them made)" if review.made else ""
    nouns = zip(review.later, ("part", "wire"), strict=True)
    later = " and ".join(counted(number, noun) for number, noun in nouns if number)
    left_out = f"; {later} fitted later, not reviewed" if later else ""
    words = f"{shown(review.aircraft)}: {size}, {shown(review.stage)} stage{left_out}"
    yield from fitted(words, width, 2, 0)


def verdict_of(review: Review) -> str:
    """The verdict in a sentence: what the causes come to, or that there is none."""
    causes = [cause for cause in review.causes if cause.standing]
    if causes:
        grave = max(cause.hazard for cause in causes) > HazardClass.MINOR
        word = NOT_READY.get(review.stage, "NOT READY TO WIRE.") if grave else "MINOR FINDINGS."
        return f"{word} {', '.join(_counts(causes))}."
    conceded = len(review.causes)
    none = f"No finding beyond {counted(conceded, 'conceded cause')}." if conceded else "No finding."
    return f"{none} This is not an approval of the design."


def _verdict(review: Review, exceeded: bool, width: int, unsaid: bool = False) -> Iterator[str]:
    yield from lines_of(" ".join(_verdict_words(review, exceeded, unsaid)), width)


def _verdict_words(review: Review, exceeded: bool, unsaid: bool) -> Iterator[str]:
    """``unsaid`` where the screen has no room for the data to add."""
    if review.rule_errors:
        yield from _rule_errors(review.rule_errors)
    yield verdict_of(review)
    yield from _behind(review)
    if exceeded:
        yield "Not all hazardous causes fit here: see --all."
    if review.unmatched:
        one = len(review.unmatched) == 1
        yield f"{len(review.unmatched)} concession{' matches' if one else 's match'} no finding (--all)."
    yield _assessed(review, unsaid)
    if review.dropped_trials:
        number = len({error.trial for error in review.dropped_trials})
        trials = f"{counted(number, 'trial repair')} ended in a rule error"
        yield f"{trials}, so that one repair may stand as several causes (--all)."


def _behind(review: Review) -> Iterator[str]:
    """How many findings come to light only as causes are repaired, and which causes these are: where they
    are many beside the causes that are listed, as in an aircraft whose buses have no power."""
    hiding = [(number, cause) for number, cause in review.numbered if cause.standing and cause.hidden]
    found = {finding.identity for _, cause in hiding for finding in cause.hidden}
    if 2 * len(found) > sum(bool(cause.standing) for cause in review.causes):
        most_first = sorted(hiding, key=lambda one: (-len(one[1].hidden), one[0]))
        numbers = [str(number) for number, _ in most_first[:_HIDING]]
        numbers += ["others"] if len(hiding) > _HIDING else []
        causes = f"cause{'s' * (len(hiding) > 1)} {and_list(numbers)}"
        more = f"{counted(len(found), 'more finding')} show{'s' * (len(found) == 1)}"
        yield f"{more} only with {causes} repaired (--cause {numbers[0]})."


def _rule_errors(errors: Sequence[RuleError]) -> Iterator[str]:
    """The first error, with file and line, and how many items and other errors there are."""
    first, more = errors[0], len(errors) - 1
    said, opened, where = shown(first.error).rpartition(" (")
    said = said if len(said) <= _ERROR else f"{said[:_ERROR]}…"
    items = "list its items" if first.subjects == ("",) else f"judge {counted(len(first.subjects), 'item')}"
    yield f"RULE ERROR: {first.rule} could not {items}: {said}{opened}{where}."
    if more:
        yield f"{counted(more, 'more rule error')} (--all)."


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
    return and_list(named, "or") if few else "a critical function"


def _assessed(review: Review, unsaid: bool) -> str:
    gaps = review.gaps
    if not gaps:
        return "Every item was assessed." if not review.breakdowns else ""
    rules = len({g.rule for g in gaps})
    return (
        f"{counted(len(gaps), 'item')} of {counted(rules, 'rule')} {'was' if len(gaps) == 1 else 'were'} "
        f"not assessed{' (--missing)' if unsaid else ''}, which does not mean acceptable."
    )


def _not_assessed(review: Review, width: int, questions: int) -> Iterator[str]:
    """Data to add, the gravest first."""
    asked = review.questions[:questions]
    if not asked:
        if review.gaps and not review.questions and review.stage != "concept":
            yield f"{NOT_ASSESSED} There is nothing to add to the file; an answer needs"
            for needs in list(dict.fromkeys(gap.needs for gap in review.gaps))[:_FEW_LACKS]:
                yield from fitted(f"{shown(needs)}.", width, 3, INDENT)
        return
    yield f"{NOT_ASSESSED} Data to add, gravest first (--missing has text for pasting):"
    for question in asked:
        most = 2 if question.kind == "states" else 1  # in words
        yield from fitted(question_words(question, review, width - INDENT), width, most, INDENT, INDENT + 2)
    if left := len(review.questions) - len(asked):
        yield f"    and {counted(left, 'more question')}"


def _estimates(review: Review, width: int) -> Iterator[str]:
    """That figures are estimates, and the gravest verdicts that turn within their ranges."""
    tried = review.estimates
    if not tried.estimates:
        return
    yield from fitted(f"{ESTIMATES} {shown(tried.beginning)}", width, 2, 0, INDENT)
    for turned in tried.turned[:TURNED]:
        whole = f"{shown(turned.words)} ({turned.hazard})"
        if len(turned.estimates) > 1 and len(lines_of(whole, width, INDENT)) > 2:
            whole = f"{shown(turned.brief)} ({turned.hazard})"
        yield from fitted(whole, width, 2, INDENT)
    if left := len(tried.turned) - TURNED:
        yield from [f"    and {counted(left, 'more verdict')} (--all)"] if left > 0 else []


def _foot(review: Review, width: int) -> Iterator[str]:
    command = f"reviewer review {shown(review.file)}"
    one, every = f"Evidence of a cause: {command} --cause 1; of all: --all.", f"In full: {command} --all."
    yield from lines_of(one if review.causes else every, width)
    yield from lines_of(wording.SHORT_CAUTION, width)
