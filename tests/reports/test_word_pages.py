"""Words of the trade that are no words of the file: each leads to pages that there are."""

from __future__ import annotations

import json

import pytest

from reviewer import resources
from reviewer.reading.meant import KINDS
from reviewer.reports.format_pages import topics
from reviewer.reports.word_pages import WORDS, word_page
from tests.rule_cases import RULES

TOPICS = topics(json.loads(resources.design_schema()))


def page(word: str) -> str:
    return word_page(word, TOPICS, list(RULES.values()))


def test_every_page_that_a_word_leads_to_is_one() -> None:
    known = {*TOPICS, *RULES}
    wanted = {topic for _, see in WORDS.values() for topic in see}
    assert sorted(wanted - known) == []
    assert sorted({kind.partition(",")[0] for kinds in KINDS.values() for kind in kinds} - known) == []


def test_no_word_stands_twice_or_hides_a_page() -> None:
    assert sorted(set(WORDS) & set(KINDS)) == []
    assert sorted(set(WORDS) & {*TOPICS, *RULES}) == []


@pytest.mark.parametrize(
    ("word", "leads"),
    [
        ("input", "inputs"),
        ("pin", "pins"),
        ("position", "positions"),
        ("estimate", "estimates"),
        ("amps", "current"),
        ("awg", "gauge"),
        ("Battery Bus", "bus"),
        ("essential_bus", "assemblies"),
        ("crowbar", "trip-acts-on"),
        ("solenoid", "contactor"),
        ("trip", "trip-acts-on"),
    ],
)
def test_a_word_leads_to_what_is_written_in_a_file(word: str, leads: str) -> None:
    assert f"    reviewer explain {leads}\n" in page(word)


@pytest.mark.parametrize("word", ["", "the", "a", "alternater", "qwerty"])
def test_a_word_of_which_nothing_is_known_has_no_page(word: str) -> None:
    assert page(word) == ""


def test_a_cause_and_a_hazard_are_said_what_they_are() -> None:
    assert "--cause 1` has the evidence" in page("cause") and "Read more" not in page("cause")
    assert "minor, no safety effect" in page("hazard")
