"""Reviews of several files, in processes side by side, in the order of the files."""

from __future__ import annotations

import contextlib
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


def reviews_side_by_side(
    paths: Sequence[Path], jobs: int, rules: Sequence[Rule], rules_from: Sequence[Path], trials: bool
) -> Iterator[Review | Unreadable]:
    """The review of each file, or what is wrong with it, in the order of the files.

    Each process reviews one file after the other. One that is ended from outside ends the command.
    """
    # a fork has the rules already; other systems do not bear one beside their own threads
    forks = sys.platform == "linux"
    context: Any = multiprocessing.get_context("fork" if forks else "spawn")
    at_work: dict[Connection, Any] = {}
    busy: dict[Connection, int] = {}
    found: dict[int, Review | Unreadable] = {}
    left = iter(range(len(paths)))

    def give(connection: Connection) -> None:
        if (number := next(left, None)) is not None:
            connection.send(paths[number])
            busy[connection] = number

    try:
        for _ in range(jobs):
            here, there = context.Pipe()
            inherited = (*at_work, here) if forks else ()
            asked = (there, inherited, rules if forks else None, tuple(rules_from), trials)
            at_work[here] = context.Process(target=_review, args=asked, daemon=True)
            at_work[here].start()
            there.close()
            give(here)
        for number in range(len(paths)):
            while number not in found:
                for connection in wait(list(busy)):
                    assert isinstance(connection, Connection)
                    own = busy.pop(connection)
                    found[own] = _received(connection, paths[own])
                    give(connection)
            yield found.pop(number)
    finally:
        for process in at_work.values():
            process.kill()
            process.join()


def _received(connection: Connection, path: Path) -> Review | Unreadable:
    try:
        found: Review | Unreadable = connection.recv()
    except (EOFError, OSError):
        fail(f"The process that reviewed {path} was ended from outside; nothing is reported.", BROKEN)
    return found


def _review(
    connection: Connection,
    inherited: Sequence[Connection],
    rules: Sequence[Rule] | None,
    rules_from: tuple[Path, ...],
    trials: bool,
) -> None:
    """Review the files that come in until the other end is closed; a stop ends it without a word."""
    import gc

    from reviewer.reading import Unreadable
    from reviewer.session import review_file

    for name in ("SIGINT", "SIGTERM", "SIGHUP"):
        if (number := getattr(signal, name, None)) is not None:
            signal.signal(number, _leave)
    for other in inherited:  # else the end of the command would not close them
        other.close()
    gc.enable()  # it may review many files
    rules = rules or rules_of(rules_from)
    with contextlib.suppress(EOFError, OSError):
        while True:
            path = connection.recv()
            try:
                with rules_print_aside():
                    found: Review | Unreadable = review_file(path, rules, trials=trials)
            except Unreadable as error:
                found = error
            connection.send(found)


def _leave(number: int, frame: object) -> None:
    os._exit(STOPPED + number)
