"""Changes of the code that no test can notice, each with its reason: ``equivalent_changes.yaml``.

An entry names the file, the text of the changed line, the change in the words of :class:`tests.code_changes.Change`, and the reason. It holds as
long as file, line and change are what they were; tests/test_mutation.py fails on one that fits no change.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from pathlib import Path

import yaml

from tests.code_changes import Change

ROOT = Path(__file__).parent.parent
LIST = Path(__file__).with_name("equivalent_changes.yaml")


@cache
def listed() -> dict[tuple[str, str, str], str]:
    """File, line and change of every entry -> its reason."""
    read = yaml.safe_load(LIST.read_text(encoding="utf-8"))
    return {
        (file, line, change): because
        for because, files in read.items()
        for file, lines in files.items()
        for line, some in lines.items()
        for change in some
    }


@cache
def _lines(path: Path) -> list[str]:
    return [line.strip() for line in (ROOT / path).read_text(encoding="utf-8").splitlines()]


def key(change: Change) -> tuple[str, str, str]:
    """File, line and words of a change, as an entry has them."""
    return change.path.as_posix(), _lines(change.path)[change.line - 1], change.what


def known_equivalents(changes: Iterable[Change]) -> set[Change]:
    """Those of some changes that are known to change nothing that can be seen."""
    return {change for change in changes if key(change) in listed()}
