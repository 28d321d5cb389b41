"""Columns are named as a spreadsheet program names them."""

from __future__ import annotations

import pytest

from reviewer.model.places import index_of, letters_of


@pytest.mark.parametrize(
    ("index", "letters"), [(0, "A"), (25, "Z"), (26, "AA"), (51, "AZ"), (52, "BA"), (701, "ZZ"), (702, "AAA")]
)
def test_the_letters_of_a_column(index: int, letters: str) -> None:
    assert letters_of(index) == letters and index_of(letters) == index
