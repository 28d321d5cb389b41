"""A comparison for a terminal: the verdict, both designs side by side, then the details."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from reviewer.model.review import Finding, Gap
from reviewer.questions.behaviour import Changed, CutChange
from reviewer.questions.compare import Comparison, PartChange, Sides
from reviewer.reports import wording
from reviewer.reports.compare.side_by_side_rows import side_by_side_rows
from reviewer.reports.compare.verdict import by_state, verdict
from reviewer.reports.layout import caution_lines, headed
from reviewer.reports.layout import lines_of as wrapped
from reviewer.reports.wording import shown

_MOST = 12


def comparison_text(comparison: Comparison, width: int = 100) -> str:
    """The whole comparison as text.

    Of a long list of cut sets the rest are counted; the JSON has all.
    """
    lines = [*_all(comparison, width)]
    lines.append("")
    lines += caution_lines(width)
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _all(c: Comparison, width: int) -> Iterator[str]:
    yield from headed(f"{shown(c.new.file)} against {shown(c.old.file)}", width)
    yield from verdict(c, width)
    yield from _heading("Side by side")
    yield from _side_by_side(c, width)
    findings, gaps = c.findings, c.gaps
    yield from _heading(f"Findings: {_numbers(findings)}")
    for word, found in (("gone", findings.gone), ("new", findings.new)):
        # two that read alike differ in their path alone
        for lines, times in Counter(tuple(_finding(word, finding, width)) for finding in found).items():
            yield from lines
            if times > 1:
                yield f"      {times} findings, by different paths"
    for before, after in findings.changed:
        yield from _changed(before, after, width)
    yield from _heading(f"Missing data: {_numbers(gaps)}")
    lacking: dict[tuple[str, str, str], list[str]] = {}
    for word, some in (("gone", gaps.gone), ("new", gaps.new), ("changed", [g for _, g in gaps.changed])):
        for gap in some:
            lacking.setdefault((word, gap.rule, gap.needs), []).append(wording.subject_words(gap.subject))
    for (word, rule, needs), items in lacking.items():
        need = "needs" if len(items) == 1 else "need"
        yield from wrapped(f"{word}: {rule}: {', '.join(items)} {need} {shown(needs)}", width, 2, 4)
    yield from _behaviour(c, width)
    yield from _heading(f"Parts and wires that differ: {len(c.parts)}")
    for part in c.parts:
        yield from wrapped(_part(part), width, 2, 4)


def _side_by_side(c: Comparison, width: int) -> Iterator[str]:
    """The figures of both designs in columns; readings that are the same in both are left out."""
    rows = [r for r in side_by_side_rows(*c.alternatives) if not r[0].startswith("readings") or r[2] != r[3]]
    names = [shown(what) for _, what, _, _ in rows]
    wide = min(max(map(len, names), default=0) + 2, width // 3)
    column = (width - wide - 6) // 2
    yield f"  {'':{wide}}  {'old':{column}}{'new'}".rstrip()
    last = ""
    for (group, _, old, new), name in zip(rows, names, strict=True):
        if group != last:
            yield from wrapped(shown(group), width, 2, 4)
            last = group
        if len(name) <= wide - 2 and max(len(old), len(new)) < column:
            yield f"    {name:{wide - 2}}  {shown(old):{column}}{shown(new)}"
        else:
            yield from wrapped(f"{name}: {shown(old)} -> {shown(new)}", width, 4, 6)


def _numbers(sides: Sides[Finding] | Sides[Gap]) -> str:
    new, gone, changed = (len(side) for side in (sides.new, sides.gone, sides.changed))
    return f"{gone} gone, {new} new, {changed} changed, {sides.unchanged} unchanged"


def _finding(word: str, finding: Finding, width: int) -> Iterator[str]:
    conceded = ", conceded" if finding.conceded else ""
    yield from wrapped(f"{word}, {finding.hazard.word}{conceded}: {shown(finding.sentence)}", width, 2, 4)
    state = f", in {shown(finding.state)}" if finding.state else ""
    yield from wrapped(
        f"{finding.rule}: {wording.place_words(finding.subject, finding.field, None)}{state}", width, 6, 8
    )


def _changed(before: Finding, after: Finding, width: int) -> Iterator[str]:
    yield from _finding("changed", after, width)
    evidence = (
        ("was", before.sentence, after.sentence),
        ("failure was", before.failure, after.failure),
        ("class was", before.hazard.word, after.hazard.word),
        *_details(dict(before.numbers), dict(after.numbers)),
    )
    for word, one, two in evidence:
        if one != two:
            yield from wrapped(f"{word}: {shown(one) or 'none'}", width, 6, 8)
    if bool(before.conceded) != bool(after.conceded):
        yield from wrapped(
            "was conceded and is no longer" if before.conceded else "was not conceded", width, 6, 8
        )


def _details(before: Mapping[str, str], after: Mapping[str, str]) -> Iterator[tuple[str, str, str]]:
    """The details that differ: of a list of names what is new and what is gone, of anything else both."""
    for what in dict.fromkeys((*before, *after)):
        one, two = before.get(what, ""), after.get(what, "")
        was, now = (text.split(", ") if text else [] for text in (one, two))
        if max(len(was), len(now)) > 1 and not any(" " in name for name in (*was, *now)):
            gone, new = [n for n in was if n not in now], [n for n in now if n not in was]
            yield f"{what}, gone", ", ".join(gone), "" if gone else ", ".join(gone)
            yield f"{what}, new", ", ".join(new), "" if new else ", ".join(new)
        else:
            yield f"{what}, now {two or 'none'}; was", one, two


def _behaviour(c: Comparison, width: int) -> Iterator[str]:
    b = c.behaviour
    yield from _heading(
        "Changes in behaviour"
        if not b.same
        else "No change in behaviour in the states that both files declare"
    )
    for word, names in (("state that is gone", b.states_gone), ("new state", b.states_new)):
        for name in names:
            yield from wrapped(f"{word}: {shown(name)}", width, 2, 4)
    for was, state in b.states_renamed:
        yield from wrapped(f"renamed state: {shown(was)} -> {shown(state)}", width, 2, 4)
    for change in (*b.functions, *b.endurance):
        yield from wrapped(_words(change), width, 2, 4)
    for same, states in by_state((*b.settings, *b.feeds, *b.figures)):
        yield from wrapped(f"{_words(same)} (in {', '.join(map(shown, states))})", width, 2, 4)
    for cut in b.cuts:
        yield from _cut(cut, width)
    for sentence in b.untried:
        yield from wrapped(sentence, width, 2, 4)


def _words(change: Changed) -> str:
    return f"{change.what} {shown(change.name)}: {shown(change.before)} -> {shown(change.after)}"


def _cut(cut: CutChange, width: int) -> Iterator[str]:
    counts = [
        f"{number} {'single' if n == 1 else 'double'} {word}"
        for word, cuts in (("gone", cut.gone), ("new", cut.new))
        for n in (1, 2)
        if (number := sum(len(c) == n for c in cuts))
    ]
    yield from wrapped(
        f"failures that cause loss of {shown(cut.function)} in {shown(cut.state)}: {', '.join(counts)}",
        width,
        2,
        4,
    )
    for word, cuts in (("gone", cut.gone), ("new", cut.new)):
        for failures in cuts[:_MOST]:
            yield from wrapped(f"{word}: {' and '.join(map(shown, failures))}", width, 6, 8)
        if len(cuts) > _MOST:
            yield from wrapped(f"and {len(cuts) - _MOST} more {word}", width, 6, 8)


def _part(part: PartChange) -> str:
    keys = "; ".join(
        f"{key}: {shown(before) or 'not given'} -> {shown(after) or 'not given'}"
        for key, before, after in part.keys
    )
    name = shown(part.name)
    if part.change == "renamed":
        name, _, keys = keys.removeprefix("name: ").partition("; ")
    about = keys or shown(part.what)
    return f"{part.change} {part.kind} {name}" + (f": {about}" if about else "")


def _heading(title: str) -> Iterator[str]:
    yield ""
    yield title
