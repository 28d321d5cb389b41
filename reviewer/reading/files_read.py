"""Which files this process has read: no report goes over one of them."""

from __future__ import annotations

import os
from pathlib import Path

_read: dict[Path, None] = {}


def note_read(path: str | Path) -> None:
    """Keep in mind that a file was read."""
    _read[Path(os.path.abspath(path))] = None


def files_read() -> tuple[Path, ...]:
    """What was read, in that order."""
    return tuple(_read)
