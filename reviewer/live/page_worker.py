"""The page of one version of a file, made in a process of its own that a newer version ends."""

from __future__ import annotations

import contextlib
import gc
import os
import signal
import stat
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path


@dataclass(frozen=True)
class Renewed:
    """What came of a version: the ``page`` in UTF-8, or what is wrong with the file as ``mistakes``.

    ``digest`` is that of the design; where it is the one that was shown before, the page is left out.
    ``beside`` are the names of the files beside the design that it asks for.
    """

    digest: str = ""
    page: bytes = b""
    mistakes: str = ""
    beside: tuple[str, ...] = ()


def renew(connection: Connection, path: str, shown: str, rules_from: Sequence[str], trials: bool) -> None:
    """Send one :class:`Renewed` of a file; ``shown`` is the digest of the design that is shown."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the server hears it, and ends this process
    gc.disable()  # as in a command: it is short and ends
    nothing = os.open(os.devnull, os.O_RDONLY)
    os.dup2(nothing, 0)
    sys.stdout = sys.stderr  # what a rule prints is no answer of the command
    try:
        found = _renewed(Path(path), shown, rules_from, trials)
    except Exception as error:  # whatever it is, the page must say so and the server go on
        words = f"{type(error).__name__}: {error}"
        found = Renewed(mistakes=f"This is a defect of the reviewer, not of your design: {words}\n")
    with contextlib.suppress(OSError):
        connection.send(found)


def _renewed(path: Path, shown: str, rules_from: Sequence[str], trials: bool) -> Renewed:
    from reviewer.editor import ready
    from reviewer.reading import Unreadable, design_of, read_file
    from reviewer.reports.page.html import as_page
    from reviewer.reports.review.mistakes_text import as_problems
    from reviewer.rulebook.loader import RuleNotLoadable
    from reviewer.session import solved_again

    beside: dict[str, None] = {}
    try:
        _must_be_a_file(path)
        file = read_file(path)
        beside = file.beside.asked
        design_of(file)  # with it the files beside it are read, and the digest is that of all
        if file.sha256 == shown:
            return Renewed(digest=shown, beside=tuple(beside))
        page = as_page(solved_again(file, path.name, ready.rules_with(rules_from), trials=trials))
    except Unreadable as error:
        return Renewed(mistakes=as_problems(path.name, error.problems, error.lines, 92), beside=tuple(beside))
    except RuleNotLoadable as error:
        return Renewed(mistakes=f"A rule cannot be loaded, so nothing was reviewed. {error}.\n")
    return Renewed(file.sha256, page.encode("utf-8", "backslashreplace"), "", tuple(beside))


def _must_be_a_file(path: Path) -> None:
    """Raises Unreadable where there is no plain file: a pipe would never end."""
    from reviewer.reading.problem import Unreadable, of_file

    said = ""
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            said = "it is no plain file; put the design file in its place"
    except FileNotFoundError:
        said = "the file is not there; save it again under this name"
    except OSError as error:
        said = f"the file cannot be opened: {error.strerror}"
    if said:
        raise Unreadable(str(path), [of_file(said)])
