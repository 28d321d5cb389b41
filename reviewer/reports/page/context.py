"""What the templates of the page are filled with."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from operator import itemgetter
from typing import Any

from reviewer import __version__
from reviewer.model.review import Consequence, Gap, Review
from reviewer.network.graph import bare
from reviewer.questions.latent_failures import LatentElement
from reviewer.reports import wording
from reviewer.reports.effects import words as effect_words
from reviewer.reports.handoff.schedules import (
    endurance_tables,
    latent_table,
    load_tables,
    wiring_tables,
    working_tables,
)
from reviewer.reports.handoff.schedules.all_tables import not_computed, solved_schedules
from reviewer.reports.handoff.schedules.schedule import Schedule
from reviewer.reports.handoff.solved import SolvedDesign
from reviewer.reports.page.chart import discharge_chart, load_chart
from reviewer.reports.page.effect_rows import effect_rows, without_effect
from reviewer.reports.page.pack import letters
from reviewer.reports.page.printed_effects import MOST_ROWS, PRINTED_NAMES, printed_effects
from reviewer.reports.page.printed_rows import MOST_ITEMS, alike_causes
from reviewer.reports.page.rule_notes import rule_notes
from reviewer.reports.review.first_screen import verdict_of
from reviewer.reports.review.questions_text import question_words
from reviewer.reports.title_rows import title_line, title_rows

#: sections of solved schedules that stand beside the failure effects; the others are of loads and batteries
_OF_FAILURES = (latent_table.KEY,)
#: schedules that print says to be elsewhere: wide, long, and read beside a meter or in a spreadsheet
_UNPRINTED = ("currents", "voltages", "operating-assumptions")
#: columns of the wire list that a person needs who buys or runs the wires: the folder has them
_OFF_THE_PAGE = (
    *("terminal, from end", "terminal, to end"),
    *("through", "specification", "colour", "conductor", "insulation", "pair"),
    *("resistance", "maximum resistance in its test", "by"),
)
#: columns of the wire list that a peer needs after protection and sources, which are in sight before them
_LAST = ("bundle", "zone", "insulation rating, C", "shield grounded at", "note")
#: letters of a question on the page, more than any has
_WHOLE = 1000
_IN_THE_FOLDER = "What they are bought by, and who runs them, stands in wire-list.csv of a handoff folder."


def context(solved: SolvedDesign) -> dict[str, Any]:
    """The values by name, charts as markup."""
    design, answers = solved.design, solved.answers
    effects = answers.effects.effects if answers.effects else ()
    rows = effect_rows(design, effects)
    lettered = letters(solved)

    def by_letter(sources: Sequence[str]) -> str:
        """The letters of the schematic for some sources."""
        return "\u00b7".join(lettered.get(f"parts/{name}", name) for name in sources)

    return {
        "version": __version__,
        "digest": solved.file.sha256,
        "design": design,
        "title_rows": title_rows(design.aircraft),
        "title_line": title_line(design.aircraft),
        "cautions": wording.CAUTIONS,
        "silence": _silence(solved.review),
        "not_computed": not_computed(solved),
        "sources": [(letter, bare(s), design.parts[bare(s)].kind) for s, letter in lettered.items()],
        "states": answers.states,
        "switches": working_tables.switch_states(design, answers.powered, by_letter),
        "by_letter": ("switch-states", "wire-list"),
        "effects": rows,
        "most_functions": PRINTED_NAMES,
        "indication_note": effect_words.INDICATION,
        "tried": len(effects),
        "quiet": without_effect(effects),
        "kinds": sorted({row.kind for row in rows}),
        "printed_effects": printed_effects(design, effects),
        "most_rows": MOST_ROWS,
        "most_items": MOST_ITEMS,
        "unprinted": _UNPRINTED,
        "wiring": [
            wiring_tables.wire_list(design, answers.wiring, by_letter)
            .without(_OFF_THE_PAGE, _IN_THE_FOLDER)
            .ending(_LAST),
            solved.protection,
            wiring_tables.ground_map(design, solved.network, answers.wiring),
        ],
        "declared": load_tables.declared_loads(design, solved.network, answers.loads),
        **_findings(solved),
        **_schedules(solved),
        **_cards(solved),
    }


def _silence(review: Review) -> str:
    """What it means where nothing is said of an item."""
    left = review.gaps or review.breakdowns
    return wording.UNASSESSED_CAUTION if left else "Every item was assessed."


def _findings(solved: SolvedDesign) -> dict[str, Any]:
    review = solved.review
    standing = [f for f in review.findings if not f.conceded]
    causes = [(number, cause) for number, cause in review.numbered if cause.standing]
    gathered, again = alike_causes(causes)
    by_consequence = [
        (c.word.capitalize(), [one for one in causes if one[1].consequence is c])
        for c in sorted(Consequence, reverse=True)
    ]
    return {
        "review": review,
        "verdict": verdict_of(review),
        "missing": _missing(review.gaps),
        "data_to_add": [question_words(q, review, _WHOLE) for q in review.questions],
        "asked_later": wording.ASKED_LATER if review.stage == "concept" else "",
        "hardest": wording.worst_words(review.gaps) if review.gaps else "",
        "causes": causes,
        "gathered": gathered,
        "again": again,
        "by_consequence": [(word, found) for word, found in by_consequence if found],
        "notes": rule_notes(review),
        "counts": wording.hazard_counts(standing),
        "conceded": [f for f in review.findings if f.conceded],
        "tallies": wording.tallies(review),
    }


def _missing(gaps: Sequence[Gap]) -> list[tuple[str, list[wording.Missing]]]:
    """The missing data by rule, the rule with the highest hazard class first."""
    found: dict[str, list[wording.Missing]] = {}
    for entry in wording.missing(gaps):
        found.setdefault(entry.rule, []).append(entry)
    return list(found.items())


def _schedules(solved: SolvedDesign) -> dict[str, Any]:
    """The solved schedules.

    The table of latent failures has the critical ones; the others are listed below it.
    """
    from markupsafe import Markup

    answers = solved.answers
    latent = answers.latent or ()
    critical = latent_table.latent([e for e in latent if e.critical])
    tables: list[Schedule] = [
        critical if table.key == latent_table.KEY and critical else table
        for table in solved_schedules(solved)
    ]
    return {
        "failing": [t for t in tables if t.key in _OF_FAILURES],
        "extra": [t for t in tables if t.key not in _OF_FAILURES],
        "latent_key": latent_table.KEY,
        "harmless": _by_failure([e for e in latent if not e.critical]),
        "endurance_key": endurance_tables.KEY,
        "endurance": Markup(discharge_chart(answers.curves)),
        "phases": answers.loads,
        "chart": Markup(load_chart(answers.loads)) if answers.loads else "",
    }


def _by_failure(elements: Sequence[LatentElement]) -> list[tuple[str, list[str]]]:
    """The names of some elements by their latent failures."""
    found: dict[str, list[str]] = {}
    for element in elements:
        found.setdefault("; ".join(element.failures), []).append(element.name)
    return list(found.items())


def _cards(solved: SolvedDesign) -> dict[str, Any]:
    tests, power_up = solved.test_cards, solved.power_up_cards
    stages = [
        (stage, [(name, list(steps)) for name, steps in groupby(rows, itemgetter(1))])
        for stage, rows in groupby(power_up.rows if power_up else (), itemgetter(0))
    ]
    return {
        "cards": tests,
        "by_card": [(name, list(steps)) for name, steps in groupby(tests.rows, itemgetter(0))],
        "power_up": power_up,
        "power_up_count": len(solved.answers.power_up),
        "power_up_cards": stages,
    }
