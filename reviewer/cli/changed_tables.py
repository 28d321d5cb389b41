"""What is named in place of a design file: a table -> the design files beside it that name it; a folder ->
those in it."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Sequence
from pathlib import Path

from reviewer.cli.output import UNREADABLE, fail

_DESIGN = re.compile(r"\.(circuit|design)\.(ya?ml|json)$")
_TABLES = (".csv", ".tsv", ".xlsx")


def designs_of(files: Sequence[Path], pass_over: bool) -> list[Path]:
    """The files with each table and each folder replaced by its designs that are not there yet.

    A folder without designs ends the command where it is alone; so does a table that no design names,
    unless it is to be passed over.
    """
    found: list[Path] = []
    for path in files:
        if os.path.isdir(path):
            inside = _inside(path)
            if not inside and len(files) > 1:
                found.append(path)  # it is reported as a file that cannot be read, beside the others
                continue
            if not inside:
                said = "has no file named `*.design.yaml` or as that with `.circuit`, `.yml`, `.json`"
                fail(f"The folder {path} {said}; name a design file.", UNREADABLE)
            found += [design for design in inside if design not in found and design not in files]
            continue
        if path.suffix.lower() not in _TABLES:
            found.append(path)
            continue
        named = list(_that_name(path))
        if not named and not pass_over:
            fail(f"{path} is a table, and no design file beside it names it; name a design file.", UNREADABLE)
        found += [design for design in named if design not in found and design not in files]
    return found


def _inside(folder: Path) -> list[Path]:
    """The design files in a folder; none where it cannot be read."""
    try:
        return sorted(p for p in folder.iterdir() if _DESIGN.search(p.name) and p.is_file())
    except OSError:
        return []


def _that_name(table: Path) -> Iterator[Path]:
    for path in _inside(table.parent):
        if _names(path, table.name):
            yield path


def _names(design: Path, table: str) -> bool:
    """Whether a design names a table; of one that cannot be read, whether its name stands in it."""
    from reviewer.reading import Unreadable, read_file
    from reviewer.reading.yaml_events import load

    try:
        content = read_file(design).content
    except Unreadable:
        return False
    try:
        data = load(content, design.name)[0]
    except Unreadable:
        return table.encode() in content
    tables = data.get("tables") if isinstance(data, dict) else None
    entries = tables if isinstance(tables, list) else []
    return any(isinstance(entry, dict) and entry.get("file") == table for entry in entries)
