"""The map in DEVELOPERS.md names what there is: folders and modules of the package, rooms, folders of tests."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
MAP = TEXT[TEXT.index("## The map") : TEXT.index("## Words")]


def folders(where: Path) -> set[str]:
    """The folders that hold a file of their own, without caches."""
    return {p.name for p in where.iterdir() if p.is_dir() and p.name[0] not in "_." and any(p.glob("*.*"))}


@pytest.mark.parametrize("where", ["reviewer", "reviewer/analysis", "tests"])
def test_each_folder_stands_in_the_map(where: str) -> None:
    mirror = folders(ROOT / "reviewer") | {"page"} if where == "tests" else set()
    missing = [n for n in sorted(folders(ROOT / where) - mirror) if not re.search(rf"\b{n}\b", MAP)]
    assert missing == []


def test_each_entry_of_the_map_is_there() -> None:
    entries = re.findall(r"^ {6}([\w.]+/?) ", MAP, re.M)
    assert len(entries) > 12
    assert [e for e in entries if not (ROOT / "reviewer" / e).exists()] == []
    modules = {p.name for p in (ROOT / "reviewer").glob("*.py") if p.name[0] != "_"}
    assert {m for m in modules if m not in MAP} == set()
    rooms = re.findall(r"^ {4}([a-z_]+(?: \| [a-z_]+)*) {2,}", MAP[MAP.index("The rooms of") :], re.M)
    named = {room for line in rooms for room in line.split(" | ")}
    assert named == folders(ROOT / "reviewer" / "analysis") | {"facts", "not_assessable"}


def test_each_command_of_the_tests_that_is_named_is_there() -> None:
    commands = set(re.findall(r"python -m (tests(?:\.\w+)+)", TEXT))
    assert len(commands) > 5
    for name in commands:
        place = ROOT / name.replace(".", "/")
        assert place.with_suffix(".py").is_file() or (place / "__main__.py").is_file(), name
