"""How long names and texts of a file may be: a name a line of a list, a text a page, a terminal two names and a point."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import TypeAdapter, ValidationError

from reviewer.model.fields import Name, TerminalName, TerminalRef, Text


def read(kind: Any, text: str) -> bool:
    """Whether a text is taken."""
    try:
        return bool(TypeAdapter(kind).validate_python(text) == text)
    except ValidationError:
        return False


@pytest.mark.parametrize(("kind", "most"), [(Name, 200), (TerminalName, 200), (Text, 2000)])
def test_from_one_letter_to_the_most(kind: Any, most: int) -> None:
    assert [read(kind, "x" * count) for count in (0, 1, most, most + 1)] == [False, True, True, False]


def test_a_terminal_is_a_part_a_point_and_its_terminal() -> None:
    longest = "p" * 200 + "." + "t" * 200
    assert read(TerminalRef, "b.p") and read(TerminalRef, longest)
    assert not any(read(TerminalRef, text) for text in (".p", "b.", "b", "a.b.c", longest + "t"))
