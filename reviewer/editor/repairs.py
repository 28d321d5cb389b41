"""Edits that an editor offers, and the words at the places of a text."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator
from pathlib import Path

from reviewer.editor.fresh_review import Mark, Repair
from reviewer.editor.written_names import lines_in
from reviewer.reading.problem import flow
from reviewer.reading.yaml_events import places_so_far

_WORD = re.compile(r"[\"']?[^\s,\[\]{}\"'>();:]+")
_KEYS = re.compile(r"^\s*[\"']?(format|aircraft|parts|circuits|wires)[\"']?\s*:", re.MULTILINE)


def looks_like_a_design(path: Path, text: str) -> bool:
    """Whether a file is meant as a design: by its name, or by two of the sections that each has."""
    return ".design." in path.name or len(set(_KEYS.findall(text))) > 1


def word_at(lines: list[str], line: int, column: int) -> str:
    """The word that begins at a place, line and column from 1; a blank where there is none."""
    rest = lines[line - 1][column - 1 :] if line <= len(lines) else ""
    found = _WORD.match(rest)
    return found[0] if found else rest[:1] or " "


def concession_of(mark: Mark, text: str) -> Iterator[Repair]:
    """The edit that accepts a finding, with who and why left to fill in; none for other marks."""
    if mark.accept is None:
        return
    subject, state, extent = mark.accept
    keys = {"rule": mark.rule, "subject": subject, "state": state, "extent": extent}
    said = {key: flow(value) for key, value in keys.items() if value}
    said |= {"reason": "", "by": "", "date": datetime.date.today().isoformat()}
    title = f"Accept this finding of {mark.rule}, with the reason"
    values, places = places_so_far(text)
    lines = lines_in(text)
    if text.lstrip().startswith("{"):
        yield from _in_json(keys, said, title, text, values, lines)
        return
    at = values.get("concessions")
    if at is None:
        yield Repair(title, (len(lines) + 1, 1), "concessions:\n" + _entry(said, 2))
    elif lines[at[0] - 1][at[1] - 1 :].startswith("["):
        inside = ", ".join(f"{key}: {value}" for key, value in said.items())
        more = ", " if "concessions/0" in values else ""
        yield Repair(title, (at[0], at[1] + 1), f"{{{inside}}}{more}")
    else:
        indent = values["concessions/0"][1] - 3 if "concessions/0" in values else 2
        yield Repair(title, (places["concessions"][0] + 1, 1), _entry(said, indent))


def _entry(said: dict[str, str], indent: int) -> str:
    """An item of a list, its keys below each other."""
    lead = " " * max(indent, 0)
    first, *others = (f"{key}: {value}".rstrip() for key, value in said.items())
    return "".join([f"{lead}- {first}\n", *(f"{lead}  {other}\n" for other in others)])


def _in_json(
    keys: dict[str, str],
    said: dict[str, str],
    title: str,
    text: str,
    values: dict[str, tuple[int, int]],
    lines: list[str],
) -> Iterator[Repair]:
    import json

    full = {key: keys.get(key, said[key]) for key in said}
    entry = json.dumps(full, ensure_ascii=False)
    at = values.get("concessions")
    if at is not None and lines[at[0] - 1][at[1] - 1 :].startswith("["):
        more = ", " if "concessions/0" in values else ""
        yield Repair(title, (at[0], at[1] + 1), f"{entry}{more}")
    elif at is None and "" in values:
        line, column = values[""]
        yield Repair(title, (line, column + 1), f'"concessions": [{entry}], ')
