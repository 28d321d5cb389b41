"""Citations: every one names a source with an edition, where it was read, and clauses whose mark is known."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from reviewer.reports.reference_page import reference_page
from reviewer.tables.bibliography import cited, clause_status, clauses, source_title, sources
from reviewer.tables.lookup import all_tables
from tests.rule_cases import RULES

ROOT = Path(__file__).parent.parent.parent
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
    title = source_title(key)
    assert title.startswith(entry["title"].partition(" (before")[0])
    assert entry["edition"] in title or (key, entry["edition"]) == ("practice", "-")
    if key == "practice":
        assert entry["status"] == "practice" and not set(MARKS) & set(entry)
        return
    listed = [clause for mark in MARKS for clause in entry.get(mark, ())]
    assert listed and len(listed) == len(set(listed)), "a clause has one mark"
    assert re.search(r"\w\.[a-z]{2,}\b|\d{3}-\d{5}", entry["read"]), "an address or the number of a document"
    assert not VAGUE.search(f"{entry['title']} {entry['edition']} {entry['read']}")


def test_a_section_of_14_cfr_says_whether_it_stood_before_amendment_23_64_and_which_one_followed_it() -> None:
    sections = {key: int(key.rpartition("-")[2]) for key in sources() if key.startswith("cfr-23-")}
    assert sum(number < 2000 for number in sections.values()) == 8
    for key, number in sections.items():
        entry = sources()[key]
        if number >= 2000:
            assert "(amendment 23-64)" in source_title(key) and "successor" not in entry
            continue
        assert re.fullmatch(r"23\.2[1-6]\d\d", entry["successor"])
        sure = {"memory": ", from memory", "secondary": ""}[entry["successor-status"]]
        words = f"({entry['edition']}, before amendment 23-64; now {entry['successor']}{sure})"
        assert words in source_title(key) and "removed" not in entry["edition"]


@pytest.mark.parametrize(
    "citation", {c.title: c for r in RULES.values() for c in r.citations}.values(), ids=str
)
def test_each_citation_that_is_printed_names_its_edition_or_that_nothing_is_published(citation) -> None:
    entry = sources()[citation.key]
    if citation.key == "practice":
        assert citation.title == "Common practice (no published source)"
    else:
        assert entry["edition"] in citation.title and re.search(
            r"\d{4}|9/8/98|undated|amendment|number", entry["edition"]
        )


def test_what_no_source_prints_is_called_so_in_the_same_words_everywhere() -> None:
    """What reaches a reader: strings of the code that are no docstrings, notes and titles of the tables."""
    strange = []
    for path in [*(ROOT / "reviewer").rglob("*.py"), *(ROOT / "rules").rglob("*.py")]:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        docs = {
            id(n.body[0].value)
            for n in ast.walk(tree)
            if hasattr(n, "body") and isinstance(n.body, list) and n.body and isinstance(n.body[0], ast.Expr)
        }
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
                said = re.findall(r"common practice(?! ?\(?,? ?\(?no published source\)?)", node.value, re.I)
                strange += [f"{path.name}, line {node.lineno}"] if said else []
    assert strange == []


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


def test_the_page_of_references_has_every_citation_with_its_edition_and_what_it_rests_on() -> None:
    """``explain references``: what a rule prints of a clause stands there under the same title, marked the same."""
    page = " ".join(reference_page(list(RULES.values())).split())
    blocks = dict(zip(titles := list(dict.fromkeys(TITLES)), parted(page, titles), strict=True))
    for rule in RULES.values():
        for one in rule.citations:
            block = blocks[one.title]
            assert rule.name in block
            for clause in clauses(one.clause) if one.key != "practice" else ():
                status = WORDS[clause_status(one.key, clause)]
                assert f"{clause}: {status}" in block, (rule.name, clause)
    assert sum("before amendment 23-64; now 23." in title for title in titles) == 8


WORDS = {"verified": "verified", "secondary": "from a text that restates it", "memory": "from memory"}
TITLES = [c.title for key in sources() for r in RULES.values() for c in r.citations if c.key == key]


def parted(page: str, titles: list[str]) -> list[str]:
    """The text under each title, up to the next title of a source."""
    every = sorted({source_title(key) for key in sources()}, key=page.find)
    starts = [page.find(title) for title in every]
    ends = [*starts[1:], len(page)]
    found = {title: page[a:b] for title, a, b in zip(every, starts, ends, strict=True) if a >= 0}
    return [found[title] for title in titles]
