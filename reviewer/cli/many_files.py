"""Reviews of several files, each in a process of its own, in the order of the files."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
from collections.abc import Iterator, Sequence
from multiprocessing.connection import Connection, wait
from pathlib import Path
from typing import TYPE_CHECKING, Any

from reviewer.cli.output import BROKEN, fail, rules_of, rules_print_aside
from reviewer.cli.stopping import STOPPED

if TYPE_CHECKING:
    from reviewer.model.review import Review
    from reviewer.reading import Unreadable
    from reviewer.rulebook.rule import Rule


#: files that one process reviews where nobody asks for more
FEW = 4


def processes(jobs: int | None, files: int) -> int:
    """How many processes review some files: as asked, else one for each processor where there are more
    than :data:`FEW`; never more than files."""
    if jobs is None and files <= FEW:
        return 1
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return max(1, min(jobs or cores, files))


def reviews_side_by_side(
    paths: Sequence[Path], jobs: int, rules: Sequence[Rule], rules_from: Sequence[Path], trials: bool
) -> Iterator[Review | Unreadable]:
    """The review of each file, or what is wrong with it, in the order of the files.

    A process that is ended from outside ends the command.
    """
    # a fork has all loaded already, the rules too; other systems do not bear one beside their own threads
    forks = sys.platform == "linux"
    context: Any = multiprocessing.get_context("fork" if forks else "spawn")
    loaded = rules if forks else None
    at_work: dict[Connection, tuple[int, Any]] = {}
    found: dict[int, Review | Unreadable] = {}
    begun = 0
    try:
        for number in range(len(paths)):
            while number not in found:
                while begun < len(paths) and len(at_work) < jobs:
                    here, there = context.Pipe(duplex=False)
                    asked = (there, paths[begun], loaded, tuple(rules_from), trials)
                    process = context.Process(target=_review, args=asked, daemon=True)
                    process.start()
                    there.close()
                    at_work[here] = begun, process
                    begun += 1
                for connection in wait(list(at_work)):
                    assert isinstance(connection, Connection)
                    own, process = at_work.pop(connection)
                    found[own] = _received(connection, paths[own])
                    process.join()
            yield found.pop(number)
    finally:
        for _, process in at_work.values():
            process.kill()


def _received(connection: Connection, path: Path) -> Review | Unreadable:
    try:
        found: Review | Unreadable = connection.recv()
    except (EOFError, OSError):
        fail(f"The process that reviewed {path} was ended from outside; nothing is reported.", BROKEN)
    finally:
        connection.close()
    return found


def _review(
    connection: Connection,
    path: Path,
    rules: Sequence[Rule] | None,
    rules_from: tuple[Path, ...],
    trials: bool,
) -> None:
    """Review one file; a stop ends it without a word."""
    from reviewer.reading import Unreadable
    from reviewer.session import review_file

    for name in ("SIGINT", "SIGTERM", "SIGHUP"):
        if (number := getattr(signal, name, None)) is not None:
            signal.signal(number, _leave)
    try:
        with rules_print_aside():
            connection.send(review_file(path, rules or rules_of(rules_from), trials=trials))
    except Unreadable as error:
        connection.send(error)


def _leave(number: int, frame: object) -> None:
    os._exit(STOPPED + number)
