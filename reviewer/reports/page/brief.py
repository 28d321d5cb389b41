"""The design on two sheets of paper, for those who see it for the first time: its distribution, and what
the failure of each source does, for how long the rest works, and what the crew does."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from reviewer.model.quantity_words import clock
from reviewer.questions.budget import Budget, FunctionEndurance, TimelineEvent
from reviewer.questions.effects import Effect
from reviewer.questions.fail import Recoveries
from reviewer.questions.source_briefs import SourceBrief
from reviewer.reports import wording
from reviewer.reports.budget.words import function_verdict, timeline_event, verdict, when
from reviewer.reports.effects.words import (
    NO_ACTIONS,
    NO_WATCH,
    functions_lost,
    local_effect,
    recovery_words,
)
from reviewer.reports.handoff.solved import SolvedDesign
from reviewer.reports.page.brief_diagram import distribution_diagram
from reviewer.reports.page.html import environment, joined, policy
from reviewer.reports.title_rows import title_line
from reviewer.reports.wording import counted, shown

NO_SIGN = "No monitor or display shows it in flight."
#: widths of the columns of both tables in points, and the points that a sheet has for their lines
SOURCE_WIDTHS = (85.0, 125.0, 80.0, 165.0, 170.0, 155.0)
FUNCTION_WIDTHS = (130.0, 250.0, 400.0)
_ROOM = 470.0
#: sizes of letters, and how many names of a list are printed, the fullest first
_FITS = [(size, most) for most in (12, 6, 3, 1) for size in (8.5, 8.0, 7.5, 7.0, 6.5, 6.2)]
#: width of a letter by the size of letters, on average, and what a row has beside its lines
_LETTER, _PADDING = 0.45, 2.6


@dataclass(frozen=True)
class BriefRow:
    """The cells of a row, each in lines; ``first`` where the row before is of another source, ``costs``
    where it is of a failure that costs a function."""

    cells: tuple[tuple[str, ...], ...]
    first: bool = True
    costs: bool = False


def as_brief(solved: SolvedDesign) -> str:
    """The brief as one HTML text that prints on two landscape sheets of A4.

    The same design and version give the same bytes.
    """
    from markupsafe import Markup

    size, sources, functions, left_out = _fitting(solved)
    style = f"{joined('style', ('brief.css',))}.size {{ font-size: {size:g}pt; }}\n"
    found = solved.answers.brief
    diagram = distribution_diagram(solved.design, found.distribution) if found else ""
    return (
        environment()
        .get_template("brief.html.j2")
        .render(
            policy=policy(style, ""),
            style=Markup(style),
            title=title_line(solved.design.aircraft),
            stage=solved.review.stage,
            state=found.state if found else "",
            digest=solved.file.sha256,
            verdict=_verdict(solved),
            diagram=Markup(diagram),
            sources=sources,
            source_widths=SOURCE_WIDTHS,
            functions=functions,
            function_widths=FUNCTION_WIDTHS,
            left_out=left_out,
            gaps=_some([what for what, _ in solved.answers.budget.gaps], 3) if solved.answers.budget else "",
            cautions=(*wording.CAUTIONS, wording.UNASSESSED_CAUTION),
        )
    )


def _verdict(solved: SolvedDesign) -> str:
    """How many findings the review has, and what was not assessed."""
    standing = [f for f in solved.review.findings if not f.conceded]
    found = f"{counted(len(standing), 'finding')} ({wording.hazard_counts(standing)})"
    return f"Review: {found}; {counted(len(solved.review.gaps), 'item')} not assessed."


def _fitting(solved: SolvedDesign) -> tuple[float, list[BriefRow], list[BriefRow], int]:
    """The largest letters and the longest lists with which both tables have room on one sheet.

    Where the smallest ones have none, failures of a source that cost no function share a row, and
    then the last of these rows are left out, and functions from the third on; how many comes last.
    """
    found, budget = solved.answers.brief, solved.answers.budget
    functions = [_function(one) for one in (budget.functions if budget else ())]
    for size, most in _FITS:
        sources = [row for one in (found.sources if found else ()) for row in _source(solved, one, most)]
        if _fits(sources, functions, size):
            return size, sources, functions, 0
    sources = [row for one in (found.sources if found else ()) for row in _source(solved, one, most, True)]
    rows, kept = [*sources], [*functions]
    while not _fits(rows, kept, size):
        if len(kept) > 2:
            kept.pop()
        else:
            rows.remove(next((row for row in reversed(rows) if not row.costs), rows[-1]))
    return size, rows, kept, len(sources) - len(rows) + len(functions) - len(kept)


def _fits(sources: Sequence[BriefRow], functions: Sequence[BriefRow], size: float) -> bool:
    return _height(sources, SOURCE_WIDTHS, size) + _height(functions, FUNCTION_WIDTHS, size) <= _ROOM


def _height(rows: Sequence[BriefRow], widths: Sequence[float], size: float) -> float:
    """Points that a table takes, about, with its head."""
    lines = 1
    for row in rows:
        needed = (
            sum(max(1, math.ceil(len(part) * _LETTER * size / (wide - 6))) for part in cell)
            for cell, wide in zip(row.cells, widths, strict=True)
        )
        lines += max(needed)
    return lines * 1.22 * size + (len(rows) + 1) * _PADDING + 16


def _source(solved: SolvedDesign, one: SourceBrief, most: int, shared: bool = False) -> Iterator[BriefRow]:
    """A row for each failure of a source; ``shared``: one row for all that cost no function."""
    feeds = f"{_some(one.buses, most) or 'no bus'}; {counted(one.loads, 'load')}"
    feeds += f", by it alone {_some(one.alone, most)}" if one.alone else ", none by it alone"
    quiet = [effect for effect in one.effects if not effect.functions] if shared else []
    groups = [[effect] for effect in one.effects if effect not in quiet] + [quiet] * bool(quiet)
    for number, group in enumerate(groups):
        own, after = _times(solved.answers.budget, one.name) if number == 0 else ([], [])
        yield BriefRow(
            (
                (one.name,) if number == 0 else (),
                (f"{feeds}.", *own) if number == 0 else (),
                ("; ".join(" at ".join(filter(None, (e.mode, e.at))) + e.failure.clearing for e in group),),
                (
                    f"Functions: {functions_lost(solved.design, group[0])}.",
                    *_each(group, [f"{local_effect(effect, most)}." for effect in group]),
                ),
                (*_each(group, [_shown_by(solved, effect) for effect in group]), *after),
                _crew(solved, group[0], dict(one.crew)),
            ),
            number == 0,
            bool(group[0].functions),
        )


def _each(group: Sequence[Effect], words: Sequence[str]) -> list[str]:
    """What is said of each failure of a row; once where it is the same of all."""
    if len(set(words)) == 1:
        return [words[0]]
    return [f"{effect.mode}: {said}" for effect, said in zip(group, words, strict=True)]


def _shown_by(solved: SolvedDesign, effect: Effect) -> str:
    """What shows a failure in flight."""
    if not solved.design.watch.monitors:
        return f"Indication {NO_WATCH}."
    signs = [*effect.signs.monitors, *(f"{name} goes dark" for name in effect.signs.dark)]
    return f"Shown in flight by {', '.join(map(shown, signs))}." if signs else NO_SIGN


def _some(names: Sequence[str], most: int) -> str:
    """Some names, and how many more there are."""
    words = ", ".join(map(shown, names[:most]))
    return f"{words} and {len(names) - most} more" if len(names) > most else words


def _times(budget: Budget | None, name: str) -> tuple[list[str], list[str]]:
    """How long a source lasts, if it is a battery; and how long batteries do after its loss."""
    every = budget.lasting if budget else ()
    own = [f"Alone, {when(one)}: {verdict(one)}." for one in every if one.battery == name]
    after = [
        f"{one.battery}, {when(one)}: {verdict(one)}."
        for one in every
        if one.battery != name and name in one.lost and not one.reserve
    ]
    return own, after


def _crew(solved: SolvedDesign, effect: Effect, crew: Mapping[str, Recoveries]) -> tuple[str, ...]:
    """For each function lost, the shortest declared actions that restore it."""
    if not effect.functions:
        return ("no function to restore",)
    if solved.design.operation is None or not solved.design.operation.actions:
        return (NO_ACTIONS,)
    words = []
    for function, _ in effect.functions:
        found = crew[function]
        ways = found.ways.get(effect.failure, ())
        if ways:
            words.append(f"{function}: {recovery_words(ways[0])}")
        else:
            words.append(f"{function}: {found.untried or 'no declared action restores it'}")
    return tuple(words)


def _function(one: FunctionEndurance) -> BriefRow:
    """How long a function works after the loss of all generation, and what the crew does until then."""
    moves = [
        f"{clock(entry.seconds)}: {timeline_event(entry, one.function)}"
        for entry in one.timeline
        if entry.event not in (TimelineEvent.LOSS, TimelineEvent.LOST)
    ]
    return BriefRow(
        ((f"{one.function} ({one.hazard})",), (function_verdict(one),), ("; ".join(moves) or "none",))
    )
