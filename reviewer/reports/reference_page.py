"""All clauses that rules and tables cite, in one list: document, edition, what each says and rests on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reviewer.reports.layout import lines_of
from reviewer.rulebook.rule import Rule
from reviewer.tables.bibliography import clause_status, clauses, source_title, sources
from reviewer.tables.lookup import all_tables

_WIDTH = 100
#: what a clause rests on, in words
_RESTS_ON = {
    "verified": "verified",
    "secondary": "from a text that restates it",
    "memory": "from memory",
    "not verified": "not verified",
    "practice": "no published source",
}
_BEGINNING = (
    "Verified: read in the source's own text, or a public transcription. From memory: found in no text. "
    "Amendment 23-64 of 14 CFR 23 removed the sections below 23.2000; such a one names the section that its "
    "subject is in now."
)


def reference_page(rules: Sequence[Rule]) -> str:
    """Each source with title, edition and where it was read, and under it each clause that is cited: what
    it rests on, what is cited of it, by which rules and tables."""
    text = ["References", "==========", "", *lines_of(_BEGINNING, _WIDTH)]
    cited: dict[str, dict[str, list[tuple[str, str]]]] = {}
    titles: dict[str, str] = {}
    for key, citation, by in _citations(rules, titles):
        of_source = cited.setdefault(key, {})
        for clause in clauses(citation) if key in sources() and "status" not in sources()[key] else ("",):
            of_source.setdefault(clause, []).append((citation, by))
    order = {key: place for place, key in enumerate(sources())}
    for key in sorted(cited, key=lambda key: (order.get(key, len(order)), key)):
        text += ["", titles[key]]
        if read := sources().get(key, {}).get("read"):
            text += lines_of(f"Read: {read}", _WIDTH, 2, 4)
        listed = [c for mark in _RESTS_ON for c in sources().get(key, {}).get(mark, ())]
        for clause in sorted(cited[key], key=lambda c: listed.index(c) if c in listed else len(listed)):
            text += _clause(key, clause, cited[key][clause])
    return "\n".join(text) + "\n"


def _citations(rules: Sequence[Rule], titles: dict[str, str]) -> Iterator[tuple[str, str, str]]:
    """(key of the source, what is cited, the rule or table that cites it); fills in the titles."""
    for rule in rules:
        for one in rule.citations:
            titles.setdefault(one.key, one.title)
            yield one.key, _bare(one.clause), rule.name
    for own in (table.origin for table in all_tables() if table.origin.source != "practice"):
        titles.setdefault(own.source, source_title(own.source))
        yield own.source, own.clause, f"table {own.key}"


def _bare(citation: str) -> str:
    """A citation without the words of what it rests on: each clause has its own here."""
    ends = (f" ({words})" for words in _RESTS_ON.values())
    return next((citation.removesuffix(end) for end in ends if citation.endswith(end)), citation)


def _clause(key: str, clause: str, uses: Sequence[tuple[str, str]]) -> Iterator[str]:
    if clause:
        yield from lines_of(f"{clause}: {_RESTS_ON[clause_status(key, clause)]}", _WIDTH, 2, 4)
    by_words: dict[str, list[str]] = {}
    for citation, by in uses:
        by_words.setdefault(citation.partition(", ")[2] if clause else citation, []).append(by)
    for words, users in by_words.items():
        users = list(dict.fromkeys(users))
        yield from lines_of(f"{words}: {', '.join(users)}" if words else ", ".join(users), _WIDTH, 4, 6)
