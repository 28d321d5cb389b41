"""The page: one self-contained file with the findings, the diagram of every solved state and failure, tables and cards."""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Sequence
from dataclasses import replace
from importlib import resources
from itertools import groupby
from typing import Any

from reviewer import __version__
from reviewer.analysis.conduction.failure_modes import STAYS
from reviewer.model.review import Finding, Gap, HazardClass
from reviewer.network.graph import bare
from reviewer.questions.effects import Effect
from reviewer.questions.fail import kind_of
from reviewer.reports import wording
from reviewer.reports.effects import words as words
from reviewer.reports.handoff.schedules import cards, working_tables
from reviewer.reports.handoff.schedules.load_tables import phase_loads
from reviewer.reports.handoff.schedules.solved_answers import NOTHING_CRITICAL
from reviewer.reports.handoff.schedules.table import Cell, Table
from reviewer.reports.handoff.solved import Solved
from reviewer.reports.page.chart import endurance_chart, load_chart
from reviewer.reports.page.pack import letters, page_data

#: findings from which on a list of their sentences stands before them
GLANCE_FROM = 8
_SCRIPTS = ("bits.js", "diagram.js", "tables.js")
_STYLES = ("page.css", "diagram.css", "print.css")


def as_page(solved: Solved) -> str:
    """The page as one HTML text. Nothing in it asks the network for anything; the same design and version give the same bytes."""
    import jinja2
    from markupsafe import Markup

    style, script = _joined("style", _STYLES), _joined("script", _SCRIPTS)
    loader = jinja2.FunctionLoader(lambda name: _text("templates", name))
    environment = jinja2.Environment(
        loader=loader,
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_visible,
        keep_trailing_newline=True,
    )
    environment.filters.update(
        bare=bare,
        citation=wording.citation_words,
        numbers=wording.number_words,
        counted=wording.counted,
        accepted=wording.concession_words,
    )
    environment.filters["coded"] = _coded
    environment.globals["anchor"] = anchor
    return environment.get_template("page.html.j2").render(
        **_context(solved), style=Markup(style), script=Markup(script), policy=_policy(style, script), data=Markup(_json(page_data(solved))), drawing=_drawing(solved)
    )  # fmt: skip


def anchor(finding: Finding) -> str:
    """The address of a finding in the page."""
    return "finding-" + finding.identity[:12]


def _coded(text: Any) -> Any:
    """A text as markup, what stands in it between back quotes set as code; a number as it is."""
    from markupsafe import Markup, escape

    if not isinstance(text, str):
        return text
    pieces = wording.shown(text).split("`")
    if len(pieces) % 2 == 0:
        return escape(wording.shown(text))
    return Markup("").join(
        Markup("<code>{}</code>").format(piece) if i % 2 else escape(piece) for i, piece in enumerate(pieces)
    )


def _visible(value: Any) -> Any:
    """What the template puts out: every foreign text with its hidden characters written as escapes."""
    return wording.shown(value) if type(value) is str else "" if value is None else value


def _text(folder: str, name: str) -> str:
    return (
        resources.files("reviewer.reports.page").joinpath(folder).joinpath(name).read_text(encoding="utf-8")
    )


def _joined(folder: str, names: Sequence[str]) -> str:
    return "\n" + "\n".join(_text(folder, name) for name in names)


def _policy(style: str, script: str) -> str:
    """What a browser may do with the page: run this script, use this style, and nothing else."""
    hashes = [
        f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
        for text in (script, style)
    ]
    return f"default-src 'none'; script-src {hashes[0]}; style-src {hashes[1]}; img-src data:; base-uri 'none'; form-action 'none'"


def _json(data: dict[str, Any]) -> str:
    """JSON that cannot end the element that it stands in."""
    text = json.dumps(data, ensure_ascii=True, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _drawing(solved: Solved) -> dict[str, Any]:
    from markupsafe import Markup

    drawing = solved.drawing
    return {
        "svg": Markup(drawing.svg),
        "width": round(drawing.width),
        "height": round(drawing.height),
        "sheets": _sheets(drawing.breaks, drawing.height, drawing.width),
    }


def _sheets(breaks: Sequence[float], height: float, width: float) -> list[tuple[int, int]]:
    """(top, height) of the pieces in which the diagram is printed: as many shelves on a page as leave the letters a size that can be read."""
    most = width * 1.22  # what stays of a page of A4 or letter size under its heading
    pieces: list[tuple[int, int]] = []
    begin, last = 0.0, 0.0
    for edge in [*breaks[1:], height]:
        if edge - begin > most and last > begin:
            pieces.append((int(begin), int(last - begin)))
            begin = last
        last = edge
    pieces.append((int(begin), int(height - begin) + 1))
    return pieces


def _context(solved: Solved) -> dict[str, Any]:
    from markupsafe import Markup

    review, facts = solved.review, solved.facts
    standing = [f for f in review.findings if not f.conceded]
    classes = [(h.word, [f for f in standing if f.hazard is h]) for h in sorted(HazardClass, reverse=True)]
    phases = phase_loads(facts)
    made = cards.test_cards(facts, solved.effects)
    every = solved.effects.effects if solved.effects else ()
    rows = _grouped(solved, [e for e in every if not e.nothing])
    return {
        "version": __version__,
        "digest": solved.digest,
        "review": review,
        "design": facts.design,
        "cautions": wording.CAUTIONS,
        "silence": wording.SILENCE,
        "missing": _wanted(review.gaps),
        "listed_last": wording.listed_last(review.gaps),
        "hardest": wording.hardest_words(review.gaps) if review.gaps else "",
        "not_computed": solved.answers.missing,
        "extra": [_without_harmless(table) for table in solved.answers.tables],
        "harmless": _harmless(solved.answers.tables),
        "classes": [(word, found) for word, found in classes if found],
        "glance": len(standing) >= GLANCE_FROM,
        "counts": wording.hazard_counts(standing),
        "conceded": [f for f in review.findings if f.conceded],
        "tallies": wording.tallies(review),
        "sources": [
            (letter, bare(s), facts.design.parts[bare(s)].kind) for s, letter in letters(solved).items()
        ],
        "switches": working_tables.switch_states(facts),
        "effects": rows,
        "tried": len(every),
        "quiet": _quiet(every),
        "kinds": sorted({row["kind"] for row in rows}),
        "cards": made,
        "by_card": [(name, list(steps)) for name, steps in groupby(made.rows, lambda row: row[0])],
        "phases": phases,
        "chart": _chart(phases),
        "endurance": Markup(endurance_chart(solved.answers.budget.lasting)) if solved.answers.budget else "",
        "states": [a.state for a in facts.states.answers()] if facts.design.operation else [],
        "anyway": facts.design.concessions,
    }


def _wanted(gaps: Sequence[Gap]) -> list[tuple[str, list[wording.Missing]]]:
    """What is missing, by rule, the rule with the hardest class first."""
    found: dict[str, list[wording.Missing]] = {}
    for entry in wording.missing(gaps):
        found.setdefault(entry.rule, []).append(entry)
    return list(found.items())


def _harmless(tables: Sequence[Table]) -> list[tuple[str, list[Cell]]]:
    """The hidden failures after which no single one more takes a critical function, by how they fail, with the elements."""
    found: dict[str, list[Cell]] = {}
    for table in tables:
        for row in table.rows if table.key == "hidden-failures" else ():
            if row[-1] == NOTHING_CRITICAL:
                found.setdefault(str(row[2]), []).append(row[0])
    return list(found.items())


def _without_harmless(table: Table) -> Table:
    if table.key != "hidden-failures":
        return table
    return replace(table, rows=tuple(row for row in table.rows if row[-1] != NOTHING_CRITICAL))


def _chart(phases: Any) -> Any:
    from markupsafe import Markup

    return Markup(load_chart(phases)) if phases else ""


def _grouped(solved: Solved, effects: Sequence[Effect]) -> list[dict[str, Any]]:
    """The failures that change something; those of one kind of part and of one way to fail that do the same stand in one row, each with its words."""
    design = solved.design
    found: dict[tuple[Any, ...], dict[str, Any]] = {}
    for effect in effects:
        failure = effect.failure
        mode = effect.words if failure.mode == STAYS else failure.mode
        row = {
            "kind": kind_of(design, failure.element),
            "mode": mode,
            "local": words.local_effect(effect),
            "functions": tuple((name, hazard.word) for name, hazard in effect.functions),
            "indication": words.indication(design, effect),
            "left": _left(effect),
        }
        key = tuple(row.values())
        hazard = effect.hazard.word if effect.hazard is not None else ""
        found.setdefault(key, {**row, "hazard": hazard, "which": []})["which"].append(
            (bare(failure.element), effect.words)
        )
    for row in found.values():
        row["which"] = _told_apart(row["which"])
    return list(found.values())


def _told_apart(which: Sequence[Sequence[str]]) -> list[tuple[str, str, str]]:
    """Elements with the words of their failures, and what each is called beside the others: one that comes twice by the terminal at which it fails."""
    called = [name for name, _ in which]
    return [
        (name, words, words.rpartition(" at ")[2] if called.count(name) > 1 and " at " in words else name)
        for name, words in which
    ]


def _left(effect: Effect) -> str:
    """The functions that have less behind them than before: channels that work of those there are, and how many single failures would now take them."""
    told = []
    for left in effect.remaining:
        if left.reduced:
            further = f" ({len(left.next_failures)})" if left.next_failures else ""
            told.append(f"{left.function} {len(left.channels)} of {len(left.of)}{further}")
    return ", ".join(told) or "as before"


def _quiet(effects: Sequence[Effect]) -> list[tuple[str, list[str]]]:
    """Failures that change nothing, by what fails."""
    found: dict[str, list[str]] = {}
    for effect in effects:
        if effect.nothing:
            kind = effect.words if effect.failure.mode == STAYS else effect.words.partition(" at ")[0]
            found.setdefault(kind, []).append(bare(effect.failure.element))
    return [(kind, list(dict.fromkeys(names))) for kind, names in found.items()]
