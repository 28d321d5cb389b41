"""A review for a terminal: rule errors, missing data, findings, outcome of the rules."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from reviewer.model.review import Breakdown, Finding, Outcome, Review, rule_errors
from reviewer.reports import wording
from reviewer.reports.layout import NARROWEST, caution_lines, headed, labelled, lines_of
from reviewer.reports.review.cause_text import cause_list
from reviewer.reports.review.first_screen import first_screen, opening
from reviewer.reports.review.questions_text import question_words
from reviewer.reports.wording import counted, shown

FOLD_FROM = 4


def as_text(
    reviews: Sequence[Review], width: int = 100, satisfied: bool = False, unread: Sequence[str] = ()
) -> str:
    """All reviews in full, one below the other, and the cautions once at the end.

    The verdict and the causes come first, then each finding, then missing data; with ``satisfied``
    also the names of the rules that are met or do not apply.

    No line is wider than ``width`` unless one word is.
    """
    width = max(width, NARROWEST)
    lines: list[str] = []
    for review in reviews:
        lines += [*_review(review, width, satisfied), ""]
    if len(reviews) + len(unread) > 1:
        lines += [*summary(reviews, width, unread), ""]
    lines += caution_lines(width)
    return "\n".join(line.rstrip() for line in lines) + "\n"


def screen_of(review: Review, width: int = 100) -> str:
    """The first screen of one review."""
    return "\n".join(first_screen(review, max(width, NARROWEST)))


def screens_of(reviews: Sequence[tuple[Review, str]], width: int = 100, unread: Sequence[str] = ()) -> str:
    """Reviews with their first screens; of several, each under its file, and a line that names those with
    findings at the end, and the ``unread`` files that could not be reviewed."""
    width = max(width, NARROWEST)
    lines: list[str] = []
    for review, screen in reviews:
        lines += [*headed(shown(review.file), width)] if len(reviews) > 1 else []
        lines += [*screen.split("\n"), *([""] if len(reviews) > 1 else [])]
    if len(reviews) + len(unread) > 1:
        only = [review for review, _ in reviews]
        lines += [*([""] if len(reviews) == 1 else []), *summary(only, width, unread)]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def summary(reviews: Sequence[Review], width: int, unread: Sequence[str] = ()) -> list[str]:
    """``3 files reviewed, 1 not. Not reviewed: c.yaml. With findings: a.yaml. Without findings, but not
    fully assessed: b.yaml.``"""
    found = [r for r in reviews if any(not f.conceded for f in r.findings)]
    partly = [r for r in reviews if r not in found and (r.gaps or r.breakdowns)]
    text = f"{counted(len(reviews), 'file')} reviewed{f', {len(unread)} not' if unread else ''}."
    if unread:
        text += f" Not reviewed: {', '.join(map(shown, unread))}."
    for words, those in (("With findings", found), ("Without findings, but not fully assessed", partly)):
        if those:
            text += f" {words}: {', '.join(shown(r.file) for r in those)}."
    none = "No file that was reviewed" if unread else "No file"
    return lines_of(text if found else f"{text} {none} has a finding, which is not an approval.", width)


def _review(review: Review, width: int, satisfied: bool) -> Iterator[str]:
    yield from headed(shown(review.file), width)
    yield from opening(review, width)
    yield from _breakdowns(review, width)
    yield from cause_list(review, width)
    yield from _findings(review, width)
    yield from _estimates(review, width)
    yield from _not_assessed(review, width)
    if review.unmatched:
        yield from _heading(f"Concessions that match no finding: {len(review.unmatched)}")
        for concession in review.unmatched:
            yield from lines_of(
                f"{concession.rule}: {wording.place_words(concession.subject, concession.state or '', None)}",
                width,
                2,
            )
            if concession.extent:
                yield from labelled("extent", shown(concession.extent), width)
            yield from labelled("reason", wording.concession_words(concession), width)
    for title, sentences in (("Limitations", review.limits), ("Basis", review.basis)):
        if sentences:
            yield from _heading(title)
            for sentence in sentences:
                yield from lines_of(f"- {shown(sentence)}", width, 2, 4)
    yield from _filled_in(review, width)
    if review.states:
        yield from _heading("States reviewed, with switch positions")
        for name, switches in zip(review.states, review.positions, strict=True):
            like = () if name == review.states[0] else review.positions[0]
            words = wording.positions_words(switches, like, review.states[0])
            how = dict(review.made).get(name)
            made = f" (made: {shown(how)})" if how else ""
            yield from lines_of(f"- {shown(name)}: {words}{made}", width, 2, 4)
    yield from _tallies(review, width, satisfied)


def _breakdowns(review: Review, width: int) -> Iterator[str]:
    unknown = "A defect of the rule, not of the design. Nothing is known about these items."
    yield from _failed("Rule error", review.breakdowns, unknown, width)
    dropped = "A defect of the rule, not of the design. The findings stand; these trials were dropped."
    yield from _failed("Rule error in a trial", review.dropped_trials, dropped, width)


def _failed(title: str, breakdowns: Sequence[Breakdown], words: str, width: int) -> Iterator[str]:
    if not breakdowns:
        return
    rules = len({b.rule for b in breakdowns})
    yield from _heading(f"{title}: {counted(len(breakdowns), 'item')} of {counted(rules, 'rule')}")
    yield from lines_of(words, width, 2)
    for error in rule_errors(breakdowns):
        yield from lines_of(f"- {error.rule}: {shown(error.error)}", width, 2, 4)
        yield from lines_of(", ".join(map(wording.subject_words, error.subjects)), width, 6)
        if error.trial:
            yield from lines_of(f"Tried: {shown(error.trial)}", width, 6)


def _filled_in(review: Review, width: int) -> Iterator[str]:
    """What was filled in by default, how often, and why it is that."""
    if not review.filled_in:
        return
    number = sum(len(one.items) for one in review.filled_in)
    yield from _heading(f"Filled in by default: {counted(number, 'value')}")
    for one in review.filled_in:
        told = f"- {shown(one.what)}: {shown(one.value)}, {len(one.items)} times. {shown(one.why)}"
        yield from lines_of(told.replace(", 1 times.", ", once."), width, 2, 4)


def _estimates(review: Review, width: int) -> Iterator[str]:
    """The figures that are estimates, those that decide most, and each verdict that turns."""
    tried = review.estimates
    if not tried.estimates:
        return
    yield from _heading(f"Estimates: {counted(len(tried.estimates), 'figure')}")
    yield from lines_of(shown(tried.beginning), width, 2)
    if tried.deciding:
        most = ", ".join(f"{name} {counted(n, 'verdict')}" for name, n in tried.deciding)
        yield from lines_of(f"Those that decide most: {shown(most)}.", width, 2)
    for turned in tried.turned:
        yield from lines_of(f"- {shown(turned.words)} ({turned.hazard})", width, 2, 4)
    yield from lines_of(f"All of them: {shown(', '.join(tried.estimates))}.", width, 2)


def _not_assessed(review: Review, width: int) -> Iterator[str]:
    gaps = review.gaps
    if not gaps:
        yield from _heading("Missing data: none")
        return
    rules = len({g.rule for g in gaps})
    yield from _heading(
        f"Missing data: {counted(len(gaps), 'item')} of {counted(rules, 'rule')} not assessed"
    )
    yield from lines_of(f"{wording.worst_words(gaps)} {wording.UNASSESSED_CAUTION}", width, 2)
    for question in review.questions:
        yield from lines_of(f"- {question_words(question, review, width - 4)}", width, 2, 4)
    yield ""
    yield from _needed(review, width)


def _needed(review: Review, width: int) -> Iterator[str]:
    rule = ""
    for entry in wording.missing(review.gaps):
        if entry.rule != rule:
            yield from lines_of(f"{entry.rule} ({entry.hazard.word})", width, 2)
            rule = entry.rule
        number = f" ({len(entry.subjects)})" if len(entry.subjects) > 1 else ""
        yield from lines_of(f"- needs {shown(entry.needs)}", width, 4, 6)
        yield from lines_of(
            f"for {', '.join(map(wording.subject_words, entry.subjects))}{number}", width, 6, 8
        )


def _findings(review: Review, width: int) -> Iterator[str]:
    conceded = [f for f in review.findings if f.conceded]
    standing = [f for f in review.findings if not f.conceded]
    if not standing:
        yield from _heading("No finding beyond those conceded." if conceded else "No finding.")
        yield from lines_of(wording.UNASSESSED_CAUTION, width, 2)
    for hazard in sorted({f.hazard for f in standing}, reverse=True):
        same = [f for f in standing if f.hazard is hazard]
        yield from _heading(f"{hazard.word.capitalize()}: {counted(len(same), 'finding')}")
        for position, group in enumerate(_groups(same)):
            yield from [""] if position else []
            yield from _group(group, width)
    if conceded:
        yield from _heading(f"Conceded: {counted(len(conceded), 'finding')}")
        for position, finding in enumerate(conceded):
            yield from [""] if position else []
            yield from _group([finding], width)


def finding_lines(finding: Finding, width: int) -> Iterator[str]:
    """One finding with all of its evidence."""
    yield from _group([finding], width)


def _groups(findings: Sequence[Finding]) -> list[list[Finding]]:
    """Findings of one rule, state and remedy together; a group too small to fold stays apart."""
    groups: dict[Any, list[Finding]] = {}
    for finding in findings:
        groups.setdefault(
            (finding.rule, finding.state, finding.switches, finding.remedy, finding.citations), []
        ).append(finding)
    result = []
    for group in groups.values():
        result += [group] if len(group) >= FOLD_FROM else [[finding] for finding in group]
    return result


def _group(findings: Sequence[Finding], width: int) -> Iterator[str]:
    alone = len(findings) == 1
    for finding in findings:
        place = wording.place_words(finding.subject, finding.field, finding.place)
        own = list(_own(finding, alone))
        if alone or own:
            yield from lines_of(
                f"{'' if alone else '- '}{shown(finding.sentence)}", width, 2, 2 if alone else 4
            )
            own += [*(_common(finding) if alone else []), ("location", place)]
            for label, text in own:
                yield from labelled(label, text, width)
        else:
            yield from lines_of(f"- {shown(finding.sentence)} ({place})", width, 2, 4)
    if not alone:
        yield from lines_of(f"For all {len(findings)}:", width, 2)
        for label, text in [*_state(findings[0]), *_common(findings[0])]:
            yield from labelled(label, text, width)


def _own(finding: Finding, alone: bool) -> Iterator[tuple[str, str]]:
    """The evidence of one finding alone."""
    if alone:
        yield from _state(finding)
    for label, text in (
        ("extent", shown(finding.extent)),
        ("failure", shown(finding.failure)),
        ("path", wording.path_words(finding.path)),
        ("detail", wording.number_words(finding.numbers)),
        ("estimates", shown(finding.estimates)),
    ):
        if text:
            yield label, text


def _state(finding: Finding) -> Iterator[tuple[str, str]]:
    if finding.state:
        yield "state", shown(finding.state)


def _common(finding: Finding) -> Iterator[tuple[str, str]]:
    """The evidence that the findings of a group share."""
    for citation in finding.citations:
        yield "reference", wording.citation_words(citation)
    if finding.remedy:
        yield "remedy", shown(finding.remedy)
    yield "rule", finding.rule
    if finding.conceded:
        yield "hazard", finding.hazard.word
        yield "conceded", wording.concession_words(finding.conceded)


def _tallies(review: Review, width: int, satisfied: bool) -> Iterator[str]:
    conceded = [f for f in review.findings if f.conceded]
    items = sum(a.examined for a in review.assessments)
    yield from _heading(
        f"Outcome: {counted(len(review.assessments), 'rule')}, {counted(items, 'item')} checked"
    )
    for tally in wording.tallies(review):
        end = f"{counted(len(tally.rules), 'rule')}, {counted(tally.subjects, 'item')}"
        listed = satisfied or tally.outcome in (Outcome.RULE_ERROR, Outcome.MISSING_DATA)
        named = tally.rules and listed and tally.outcome is not Outcome.NOT_MET
        names = f": {', '.join(tally.rules)}" if named else ""
        yield from lines_of(f"{tally.outcome.value:<16}{end}{names}", width, 2, 18)
    standing = wording.hazard_counts(f for f in review.findings if not f.conceded)
    yield from lines_of(
        f"{'findings':<16}{standing}" + (f"; conceded: {len(conceded)}" if conceded else ""), width, 2, 18
    )


def _heading(title: str) -> Iterator[str]:
    yield ""
    yield title
