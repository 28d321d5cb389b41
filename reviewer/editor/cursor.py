"""What is being written at a place of a text, whether the text is whole or not."""

from __future__ import annotations

import re
from collections.abc import Iterator

from reviewer.editor.written_names import lines_in
from reviewer.model.record import record
from reviewer.reading.yaml_events import places_so_far

#: a word that no design has: it is put in the place of the one at the cursor
_MARK = "\ue000"
_BEFORE = re.compile(r"[^\s,\[\]{}\"'>();]*$")
_AFTER = re.compile(r"[^\s,\[\]{}\"'>();:]*")


@record
class Cursor:
    """A word that is being written: ``typed`` is what stands of it before the cursor.

    ``steps`` lead to the group or list in which it stands; as a value it is that of ``key``, which is
    "" where a key is written. ``there`` are the keys that the group has; ``before`` is what stands on
    the line before the word.
    """

    typed: str
    steps: tuple[str, ...]
    key: str
    there: tuple[str, ...]
    before: str
    #: kind of the part in which it stands, "" elsewhere
    kind: str = ""
    #: the word with what stands of it after the cursor
    whole: str = ""


def cursor_at(text: str, line: int, column: int) -> Cursor | None:
    """What is written at a line and column of a text, both from 0 in characters; None outside of the
    structure, as in a comment."""
    lines = lines_in(text)
    if line >= len(lines):
        return None
    own = lines[line]
    column = min(column, len(own))
    found = _BEFORE.search(own[:column])
    assert found is not None
    typed, start = found[0], found.start()
    if re.search(r"(^|\s)#", own[:start]):
        return None
    after = _AFTER.match(own, column)
    end = after.end() if after else column
    word = own[start:end]
    for marked in _with_mark(own, start, end):
        values, keys = places_so_far("\n".join([*lines[:line], marked, *lines[line + 1 :]]))
        pointer = next((p for p in keys if _MARK in p.rpartition("/")[2]), "")
        if pointer:
            return _placed(lines, keys, values, pointer, typed, word, own[:start], key=True)
        place = (line + 1, marked.index(_MARK) + 1)
        pointer = next((p for p, at in values.items() if at <= place and _covers(at, place, marked)), "")
        pointer = pointer or _path_at(values, place)
        if pointer:
            return _placed(lines, keys, values, pointer, typed, word, own[:start], key=False)
    return None


def _with_mark(own: str, start: int, end: int) -> Iterator[str]:
    """The line with the mark as what it may become: a key, or a value."""
    before, rest = own[:start], own[end:]
    as_value = f"{before}{_MARK}{rest}"
    if rest.lstrip("\"' ").startswith(":"):
        yield as_value  # a key that is being changed
        return
    as_key = f"{before}{_MARK}: 0{rest}"
    opened = max(before.rfind("["), before.rfind("]")), max(before.rfind("{"), before.rfind("}"))
    in_list = before[opened[0] : opened[0] + 1] == "[" and opened[0] > opened[1]
    begins = before.strip() in ("", '"') or (before.rstrip(' "').endswith(("{", ",")) and not in_list)
    yield from (as_key, as_value) if begins else (as_value, as_key)


def _covers(at: tuple[int, int], place: tuple[int, int], marked: str) -> bool:
    """Whether a value begins at the mark, or is text on its line with the mark in it."""
    if at[0] != place[0]:
        return False
    between = marked[at[1] - 1 : place[1] - 1]
    return at == place or (not between.startswith(("{", "[")) and ": " not in between)


def _path_at(values: dict[str, tuple[int, int]], place: tuple[int, int]) -> str:
    """The path of a circuit that goes on over lines to a place; "" where none does."""
    last = max(((at, p) for p, at in values.items() if at <= place), default=(place, ""))[1]
    return last if last.startswith("circuits/") else ""


def _placed(
    lines: list[str],
    keys: dict[str, tuple[int, int]],
    values: dict[str, tuple[int, int]],
    pointer: str,
    typed: str,
    word: str,
    before: str,
    *,
    key: bool,
) -> Cursor:
    steps = tuple(step.replace("~1", "/").replace("~0", "~") for step in pointer.split("/"))
    group = pointer.rpartition("/")[0]
    there = tuple(p.rpartition("/")[2] for p in keys if p.rpartition("/")[0] == group and _MARK not in p)
    own_key = "" if key else next((s for s in reversed(steps) if not s.isdigit()), "")
    kind = ""
    if len(steps) > 1 and steps[0] == "parts" and (at := values.get(f"parts/{pointer.split('/')[1]}/kind")):
        found = re.match(r"[\"']?([\w-]*)", lines[at[0] - 1][at[1] - 1 :])
        kind = found[1] if found and _MARK not in found[1] else ""
    return Cursor(typed, steps[:-1], own_key, there, before, kind, word)
