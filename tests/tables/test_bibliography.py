"""Citations: every one names a source with an edition, where it was read, and clauses whose mark is known."""

from __future__ import annotations

import re

import pytest

from reviewer.tables.bibliography import cited, clause_status, clauses, source_title, sources
from reviewer.tables.lookup import all_tables
from tests.rule_cases import RULES

MARKS = ("verified", "secondary", "memory")
CITED = [
    (rule.name, c.key, re.sub(r" \((from memory|not verified|from a text .*?)\)$", "", c.clause), c.clause)
    for rule in RULES.values()
    for c in rule.citations
]
TABLES = [t.origin for t in all_tables() if t.origin.source != "practice"]
#: what cannot be looked up in a library
VAGUE = re.compile(
    r"magazine|maker'?s'?|public (text|page|copy|transcription)|data sheets|national rendering", re.I
)


@pytest.mark.parametrize("key", sources())
def test_a_source_has_a_title_an_edition_a_mark_and_a_place_where_it_was_read(key: str) -> None:
    entry = sources()[key]
    assert entry["title"] == source_title(key) and entry["edition"]
    if key == "practice":
        assert entry["status"] == "practice" and not set(MARKS) & set(entry)
        return
    listed = [clause for mark in MARKS for clause in entry.get(mark, ())]
    assert listed and len(listed) == len(set(listed)), "a clause has one mark"
    assert re.search(r"\w\.[a-z]{2,}\b|\d{3}-\d{5}", entry["read"]), "an address or the number of a document"
    assert not VAGUE.search(f"{entry['title']} {entry['edition']} {entry['read']}")


def test_a_section_of_14_cfr_says_whether_it_stood_before_amendment_23_64() -> None:
    for key in (key for key in sources() if key.startswith("cfr-23-")):
        before = int(key.rpartition("-")[2]) < 2000
        assert ("(before amendment 23-64)" if before else "(amendment 23-64)") in source_title(key)


@pytest.mark.parametrize(("rule", "key", "words", "shown"), CITED)
def test_a_rule_cites_clauses_that_are_marked_and_says_what_is_not_verified(
    rule: str, key: str, words: str, shown: str
) -> None:
    assert words and not VAGUE.search(words)
    if key == "practice":
        assert shown == words and not re.search(r"[A-Z]{3}\d\d[A-Z]+\d{3}|have (stopped|raised)", words)
        return
    head, comma, said = words.partition(", ")
    assert comma and said, "what the clause says stands beside it"
    marks = {clause_status(key, clause) for clause in clauses(words)}
    assert marks <= set(MARKS), f"{head} is not in sources.toml"
    assert shown.endswith("(from memory)") == ("memory" in marks)


@pytest.mark.parametrize("origin", TABLES, ids=lambda origin: origin.key)
def test_a_table_is_as_sure_as_the_clauses_that_it_was_read_in(origin) -> None:
    assert not VAGUE.search(f"{origin.edition} {origin.note}")
    marks = {clause_status(origin.source, clause) for clause in clauses(origin.clause)}
    assert marks == {origin.status}


def test_every_clause_of_the_bibliography_is_cited() -> None:
    used = {(key, clause) for _, key, words, _ in CITED for clause in clauses(words)}
    used |= {(o.source, clause) for o in TABLES for clause in clauses(o.clause)}
    listed = {(k, clause) for k, entry in sources().items() for m in MARKS for clause in entry.get(m, ())}
    assert listed - used == set()


def test_the_weakest_clause_marks_a_citation_and_one_that_is_not_listed_is_not_verified() -> None:
    assert cited("ac-43-13-1b", "11-48 and Table 11-3, words") == "11-48 and Table 11-3, words"
    assert cited("ac-43-13-1b", "11-48 and 11-51, words") == "11-48 and 11-51, words (from memory)"
    assert cited("ac-43-13-1b", "11-69, words") == "11-69, words (from a text that restates it)"
    assert cited("ac-43-13-1b", "11-48 and 99-9") == "11-48 and 99-9 (not verified)"
    assert cited("practice", "any words") == "any words"
    for ask in (source_title, lambda key: cited(key, "1")):
        with pytest.raises(KeyError):
            ask("no-such-source")
