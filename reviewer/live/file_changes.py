"""What changes in the folder of a design: the design file, and the files beside it that it asks for."""

from __future__ import annotations

import os
from pathlib import Path
from threading import Event
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from reviewer.live.page_renewal import Renewal

#: endings of files that a design may ask for; until it is known which, each of them counts
_BESIDE = (".yaml", ".yml", ".json", ".csv", ".xlsx")
#: milliseconds in which changes are gathered, and after which the folder is looked for again
_GATHERED, _QUIET, _LOOK = 300, 60, 500
#: seconds between two looks for a folder that is gone
_AGAIN = 0.5
#: device, number, size and time of a file
Seen = tuple[int, int, int, int] | None


def seen(path: Path) -> Seen:
    """What tells one version of a file from another; None where there is none."""
    try:
        found = path.stat()
    except (OSError, ValueError):
        return None
    return found.st_dev, found.st_ino, found.st_size, found.st_mtime_ns


def follow(renewal: Renewal, before: Seen, ended: Event) -> None:
    """Report every change to the renewal until ``ended``; ``before`` is the file as it was seen first.

    Folders are watched, not files: an editor may put a new file in the place of the old one. A folder
    that goes and comes is found again.
    """
    path = renewal.path
    while not ended.is_set():
        try:
            _follow(renewal, _folders(path), before, ended)
        except (OSError, RuntimeError):  # a folder is gone, or cannot be watched
            ended.wait(_AGAIN)
        if seen(path) != before:
            before = seen(path)
            renewal.changed()


def _follow(renewal: Renewal, folders: dict[Path, Seen], before: Seen, ended: Event) -> None:
    """Until the folders are others: those of the file and of what it links to."""
    from watchfiles import watch

    path = renewal.path
    changes = watch(
        *folders,
        watch_filter=lambda _, name: _counts(name, renewal),
        debounce=_GATHERED,
        step=_QUIET,
        rust_timeout=_LOOK,
        yield_on_timeout=True,
        stop_event=ended,
        recursive=False,
        raise_interrupt=False,
        ignore_permission_denied=True,
    )
    for changed in changes:
        now = seen(path)
        if changed or now != before:  # the file may have changed before it was watched
            before = now
            renewal.changed()
        if _folders(path).keys() != folders.keys() or any(
            (seen(f) or ())[:2] != (was or ())[:2] for f, was in folders.items()
        ):
            return


def _folders(path: Path) -> dict[Path, Seen]:
    return {folder: seen(folder) for folder in (path.parent, Path(os.path.realpath(path)).parent)}


def _counts(name: str, renewal: Renewal) -> bool:
    """Whether a file that changed belongs to the design."""
    own = (renewal.path.name, os.path.basename(os.path.realpath(renewal.path)))
    changed = os.path.basename(name)
    if changed in own:
        return True
    if renewal.beside is None:
        return changed.lower().endswith(_BESIDE)
    return changed in renewal.beside or changed in {
        os.path.basename(os.path.realpath(renewal.path.parent / one)) for one in renewal.beside
    }
