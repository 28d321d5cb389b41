"""The bibliography: what each clause that is cited rests on, and how a citation says it."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

#: what a citation ends in, by what its clause rests on
_ENDING = {
    "verified": "",
    "practice": "",
    "secondary": " (from a text that restates it)",
    "memory": " (from memory)",
    "not verified": " (not verified)",
}


#: what the title of a section says that a later amendment has removed
_SUPERSEDED = "before amendment 23-64"


@cache
def sources() -> dict[str, dict[str, Any]]:
    """The entries of sources.toml by key."""
    return tomllib.loads(Path(__file__).with_name("sources.toml").read_text(encoding="utf-8"))


def source_title(key: str) -> str:
    """Title and edition of a source by its key in sources.toml; of a section that is no longer in force
    also the one that its subject is in now. Raises KeyError."""
    entry = sources()[key]
    title, edition = str(entry["title"]), str(entry["edition"])
    if "successor" in entry:
        now = ", from memory" if entry["successor-status"] == "memory" else ""
        return title.replace(_SUPERSEDED, f"{edition}, {_SUPERSEDED}; now {entry['successor']}{now}")
    return title if edition == "-" or edition in title else f"{title} ({edition})"


def clauses(citation: str) -> tuple[str, ...]:
    """The clauses that a citation begins with: ``"11-48 and Table 11-3, what they say"``."""
    return tuple(citation.partition(", ")[0].split(" and "))


def clause_status(key: str, clause: str) -> str:
    """What one clause of a source rests on: ``"verified"``, ``"secondary"``, ``"memory"``,
    ``"practice"``, or ``"not verified"`` for a clause that sources.toml does not list. Raises
    KeyError for a source that is not there."""
    entry = sources()[key]
    listed = (mark for mark in ("memory", "secondary", "verified") if clause in entry.get(mark, ()))
    return next(listed, entry.get("status", "not verified"))


def cited(key: str, citation: str) -> str:
    """The words of a citation, with what the weakest of its clauses rests on. Raises KeyError."""
    found = {clause_status(key, clause) for clause in clauses(citation)}
    return citation + next(_ENDING[mark] for mark in reversed(_ENDING) if mark in found)
