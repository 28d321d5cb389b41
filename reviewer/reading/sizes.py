"""How large a design may be. What is larger is no light aircraft, and its review would not end."""

from __future__ import annotations

from typing import Any

from reviewer.reading.problem import Problem
from reviewer.reading.yaml_events import Places, pointer

#: group of the file -> how many entries it may have. A tourer has a hundred parts; the time of a review
#: grows with the square of parts and wires and with the states.
MOST_ENTRIES = {
    "assemblies": 500,
    "installed": 2_500,
    "circuits": 5_000,
    "parts": 2_500,
    "wires": 5_000,
    "functions": 500,
    "concessions": 5_000,
    "aircraft/zones": 200,
    "operation/states": 100,
    "operation/phases": 100,
    "operation/actions": 200,
    "operation/excluded": 200,
    "watch/monitors": 500,
    "watch/checks": 500,
}
#: entries of all lists and groups within the parts: pins, contacts, positions of switches and their pairs
MOST_WITHIN_PARTS = 50_000
#: tables of a design
MOST_TABLES = 50
#: characters of a path, and of all paths of a file: those of a tourer have 20,000
LONGEST_PATH, MOST_IN_PATHS = 5_000, 1_000_000
#: entries of all lists and groups that assemblies make; each hundred characters count as one
MOST_FROM_ASSEMBLIES = 50_000


_LONG = "a path of {:,} characters is not read; {:,} is the most"


def oversized(data: dict[str, Any], places: Places) -> list[Problem]:
    """What is said of each group of a file that has too many entries."""
    found = []
    for at, most in MOST_ENTRIES.items():
        group: Any = data
        for step in at.split("/"):
            group = group.get(step) if isinstance(group, dict) else None
        if isinstance(group, dict | list) and len(group) > most:
            found.append(_too_many(at, places, f"{len(group):,} {_words(at)}", most))
    circuits = data.get("circuits")
    lengths = (
        {n: len(p) for n, p in circuits.items() if isinstance(p, str)} if isinstance(circuits, dict) else {}
    )
    found += [
        Problem(
            *places.get(pointer("circuits", name), (1, 1)), "circuits", _LONG.format(length, LONGEST_PATH)
        )
        for name, length in lengths.items()
        if length > LONGEST_PATH
    ]
    if not found and sum(lengths.values()) > MOST_IN_PATHS:
        said = f"{sum(lengths.values()):,} characters in its circuits"
        found.append(_too_many("circuits", places, said, MOST_IN_PATHS))
    if not found and _count(data.get("parts"), MOST_WITHIN_PARTS) > MOST_WITHIN_PARTS:
        entries = f"more than {MOST_WITHIN_PARTS:,} entries in its parts"
        found.append(_too_many("parts", places, entries, MOST_WITHIN_PARTS))
    return found


def _too_many(at: str, places: Places, entries: str, most: int) -> Problem:
    spot = places.get(at) or places.get("circuits") or places.get("tables") or (1, 1)
    return Problem(*spot, at, f"a design with {entries} is not reviewed; {most:,} is the most")


def _words(at: str) -> str:
    return {"excluded": "excluded combinations"}.get(word := at.rpartition("/")[2], word)


def _count(value: Any, most: int) -> int:
    """Keys and entries of a value at all depths, counted until there are more than ``most``."""
    todo, count = [value], 0
    while todo and count <= most:
        one = todo.pop()
        if isinstance(one, dict | list):
            count += len(one)
            todo.extend(one.values() if isinstance(one, dict) else one)
    return count
