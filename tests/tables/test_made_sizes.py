"""Sizes that are made: what a remedy names can be bought."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from reviewer.tables.lookup import all_tables, table
from reviewer.tables.made_sizes import made_at_least, made_at_most, made_between, made_words

CASES = Path(__file__).parents[1] / "rules"


@pytest.mark.parametrize(
    ("kind", "value", "up", "down"),
    [
        ("amperes", 9.5, 10.0, 7.5),
        ("amperes", 10.0, 10.0, 10.0),
        ("amperes", 0.4, 1.0, None),
        ("amperes", 201.0, None, 200.0),
        ("contacts", 6.9, 10.0, 5.0),
        ("resistors", 28.9, 50.0, 25.0),
        ("capacitors", 16.2, 25.0, 16.0),
        ("shunts", 14.6, 20.0, None),
        ("bars", 6.9, 10.0, 5.0),
        ("alternators", 68.3, 70.0, 60.0),
    ],
)
def test_a_size_is_the_next_that_is_made(
    kind: str, value: float, up: float | None, down: float | None
) -> None:
    assert (made_at_least(kind, value), made_at_most(kind, value)) == (up, down)


def test_sizes_within_a_range_are_all_of_it() -> None:
    assert made_between("amperes", 60.0, 75.0) == (60.0, 70.0)
    assert made_between("amperes", 10.5, 13.0) == ()


def test_words_beyond_the_largest_size_are_what_is_needed() -> None:
    assert (made_words("amperes", 9.5), made_words("amperes", 250.0)) == ("10 A", "250 A")


def test_a_row_is_its_size_and_its_origin_is_common_practice() -> None:
    ours = [t for t in all_tables() if t.origin.key.startswith("made_sizes/")]
    assert len(ours) == 7
    for one in ours:
        assert one.origin.status == "practice"
        assert all(float(row) == values[0] for row, values in one.rows.items())


def test_a_remedy_that_rates_protection_names_a_size_that_is_made() -> None:
    made = {f"{size:g}" for size, _ in table("made_sizes", "amperes").points()}
    named = re.compile(r"(?:Fit \S+|fit a fuse) of ([\d.]+) A or (?:more, with\s+wire|less\s+as)")
    texts = [path.read_text(encoding="utf-8") for path in CASES.rglob("traps.txt")]
    found = [size for text in texts for size in named.findall(text)]
    assert len(found) > 2
    assert set(found) <= made
