"""The sentences that all reports share, and how text from a design file is shown."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence

from reviewer.model.design import Concession
from reviewer.model.record import record
from reviewer.model.review import (
    Citation,
    Finding,
    Gap,
    HazardClass,
    Outcome,
    Place,
    Review,
    RuleError,
    Step,
)

CAUTIONS: tuple[str, ...] = (
    "This review is a second opinion on a design. The aircraft was not inspected.",
    "The regulations that apply where the aircraft flies, and the judgement of those licensed to practise "
    "there, decide.",
    "A design without findings can still be wrong: only the data in the file were reviewed, by these rules "
    "only.",
)

#: the same in two lines, where a screen has few
SHORT_CAUTION = (
    "A second opinion on a drawing. Regulations and licensed practice decide. A design without findings can "
    "still be wrong."
)

#: how full the batteries are in what is solved, by every answer
BATTERY_CHARGE = (
    "In the air the batteries are as full as normal flight leaves them, on the ground as the file says, else "
    "full."
)

#: what sign a current has
AMMETERS = "An ammeter reads positive from the line to the load of its shunt."

UNASSESSED_CAUTION = "Not assessed does not mean acceptable."
#: what a concept is not asked for
ASKED_LATER = (
    "At the concept stage ten at most are asked for. From the detailed stage on: gauges, lengths and "
    "materials of wires, and values that rules of class minor need."
)

MEANINGS: dict[Outcome, str] = {
    Outcome.RULE_ERROR: "the rule itself failed; a defect of the rule, not of the design",
    Outcome.NOT_MET: "at least one item does not have the property",
    Outcome.MISSING_DATA: "data are missing, and no item was found without the property",
    Outcome.MET: "every item has the property, or the finding is conceded",
    Outcome.NOT_APPLICABLE: "the design has no item for the rule",
}


@record
class Tally:
    """The rules of one outcome, and how many items they checked."""

    outcome: Outcome
    rules: tuple[str, ...]
    subjects: int


@record
class Missing:
    """Gaps of one rule with the same missing data."""

    rule: str
    hazard: HazardClass
    needs: str
    subjects: tuple[str, ...]


def shown(text: str) -> str:
    """The text with escapes for characters that cannot be seen or that move the cursor."""
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() or unicodedata.category(c) == "Zs" else escaped(c) for c in text)


def escaped(character: str) -> str:
    """One character as ``\\x1b``, ``\\u202e`` or ``\\U000e0001``."""
    code = ord(character)
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def counted(number: int, noun: str, plural: str = "") -> str:
    """``1 wire``, ``2 wires``."""
    return f"{number} {noun if number == 1 else plural or noun + 's'}"


def element_words(element: str) -> str:
    """The name of a part, wire or bundle that is given by its pointer."""
    return shown(element.partition("/")[2])


def tallies(review: Review) -> tuple[Tally, ...]:
    """One tally for each outcome, in the order of Outcome, those with no rule included."""
    return tuple(
        Tally(outcome, tuple(a.rule for a in ended), sum(a.examined for a in ended))
        for outcome in Outcome
        for ended in [[a for a in review.assessments if a.outcome is outcome]]
    )


def hazard_counts(findings: Iterable[Finding]) -> str:
    """``1 catastrophic, 2 major``, worst first, or "none"."""
    hazards = [f.hazard for f in findings]
    return ", ".join(f"{hazards.count(h)} {h.word}" for h in sorted(set(hazards), reverse=True)) or "none"


def worst_words(gaps: Sequence[Gap]) -> str:
    """``10 of them hazardous.``: how many of the gaps have the worst class among them."""
    worst = max(g.hazard for g in gaps)
    return f"{sum(g.hazard is worst for g in gaps)} of them {worst.word}."


def missing(gaps: Sequence[Gap]) -> tuple[Missing, ...]:
    """Gaps folded: those of one rule with the same missing data make one entry, in their order.

    Where the missing data name the item itself, they count as the same data of each item.
    """
    folded: dict[tuple[str, str], list[Gap]] = {}
    for gap in gaps:
        folded.setdefault((gap.rule, _needs_of_each(gap)), []).append(gap)
    return tuple(
        Missing(
            rule,
            max(g.hazard for g in same),
            same[0].needs if len(same) == 1 else needs,
            tuple(g.subject for g in same),
        )
        for (rule, needs), same in folded.items()
    )


def _needs_of_each(gap: Gap) -> str:
    name = gap.subject.partition("/")[2]
    return re.sub(rf"(?<![\w./-]){re.escape(name)}(?![\w/-])", "each", gap.needs) if name else gap.needs


def subject_words(subject: str) -> str:
    """The item, or what stands for it where a rule could not even list its items."""
    return shown(subject) or "every item of the rule"


def rule_error_words(error: RuleError, named: int = 3) -> str:
    """An error of a rule with its file and line, and the first items on which it came."""
    items, rest = error.subjects[:named], len(error.subjects) - named
    more = f" and {rest} more" if rest > 0 else ""
    where = f" At {', '.join(map(subject_words, items))}{more}." if items else ""
    tried = f" Tried: {shown(error.trial)}" if error.trial else ""
    return f"{error.rule}: {shown(error.error)}.{where}{tried}"


def file_of(file: str, place: Place | None) -> str:
    """The file in which a place of the design ``file`` is: itself, or a table beside it."""
    if place is None or place.cell is None:
        return file
    folder, slash, _ = file.rpartition("/")
    return f"{folder}{slash}{place.cell.table}"


def place_words(subject: str, field: str, place: Place | None) -> str:
    """``parts/main-bus, rating, line 12``."""
    return ", ".join(
        [
            subject_words(subject),
            *([shown(field)] if field else []),
            *([shown(place.words)] if place else []),
        ]
    )


def positions_words(
    switches: Sequence[tuple[str, str]], like: Sequence[tuple[str, str]] = (), name: str = ""
) -> str:
    """``master on, source-select main``.

    After a state ``name`` with the positions ``like``, only what differs from it.
    """
    base = dict(like)
    changed = [(switch, position) for switch, position in switches if base.get(switch) != position]
    if like and len(changed) * 2 > len(switches):
        like, changed = (), list(switches)
    words = ", ".join(f"{shown(switch)} {shown(position)}" for switch, position in changed)
    if not like:
        return words or "no switches"
    return f"as {shown(name)}" + (f", but {words}" if words else "")


def in_state(state: str, switches: Sequence[tuple[str, str]]) -> str:
    """``cruise (master on, source-select main)``."""
    return f"{shown(state)} ({positions_words(switches)})" if switches else shown(state)


def number_words(numbers: Sequence[tuple[str, str]]) -> str:
    """``unprotected conductor: 0.40 m, limit 0.15 m``; other pairs are set apart by semicolons."""
    text = ""
    for what, value in numbers:
        if text and what == "limit":
            text += f", limit {shown(value)}"
        else:
            text += f"{'; ' if text else ''}{shown(what)}: {shown(value)}"
    return text


def path_words(path: Sequence[Step]) -> str:
    """``main-battery -> W1 -> main-bus``; JSON and SARIF also say what each step does."""
    return " -> ".join(shown(s.part) for s in path)


def citation_words(citation: Citation) -> str:
    """The title and the clause."""
    return shown(citation.title) + (f", {shown(citation.clause)}" if citation.clause else "")


def concession_words(concession: Concession) -> str:
    """The reason of a concession, who accepted it and when."""
    return f"{shown(concession.reason)} Accepted by {shown(concession.by)} on {concession.date.isoformat()}."
