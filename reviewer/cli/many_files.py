"""Reviews of several files, in processes side by side, in the order of the files."""

from __future__ import annotations

import contextlib
import gc
import multiprocessing
import os
import signal
import sys
from collections.abc import Iterator, Sequence
from multiprocessing.connection import Connection, wait
from pathlib import Path
from typing import TYPE_CHECKING, Any

from reviewer.cli.output import BROKEN, fail, rules_of
from reviewer.cli.stopping import STOPPED
from reviewer.editor.forked_process import stops_wait

if TYPE_CHECKING:
    from reviewer.cli.one_review import Reviewed
    from reviewer.rulebook.rule import Rule

#: objects that reviews leave behind before a process looks which may go; never while it reviews a file,
#: where that costs more than it frees
LEFT = 1_000_000


def reviews_side_by_side(
    files: Sequence[tuple[Path, Sequence[str]]],
    jobs: int,
    rules: Sequence[Rule],
    rules_from: Sequence[Path],
    trials: bool,
    form: str,
) -> Iterator[Reviewed]:
    """What :func:`reviewer.cli.one_review.reviewed` has of each file and its names, in their order.

    Each process reviews one file after the other. One that is ended from outside ends the command.
    """
    # a fork has the rules already; other systems do not bear one beside their own threads
    forks = sys.platform == "linux"
    context: Any = multiprocessing.get_context("fork" if forks else "spawn")
    at_work: dict[Connection, Any] = {}
    busy: dict[Connection, int] = {}
    found: dict[int, Reviewed] = {}
    left = iter(range(len(files)))

    def give(connection: Connection) -> None:
        if (number := next(left, None)) is not None:
            connection.send(files[number])
            busy[connection] = number

    if forks:
        gc.freeze()  # what is loaded stays, and no process looks through it for what may go
    try:
        for _ in range(jobs):
            here, there = context.Pipe()
            inherited = (*at_work, here) if forks else ()
            asked = (there, inherited, rules if forks else None, tuple(rules_from), trials, form)
            process = context.Process(target=_review, args=asked, daemon=True)
            with stops_wait():
                process.start()
                at_work[here] = process
            there.close()
            give(here)
        for number in range(len(files)):
            while number not in found:
                for connection in wait(list(busy)):
                    assert isinstance(connection, Connection)
                    own = busy.pop(connection)
                    found[own] = _received(connection, files[own][0])
                    give(connection)
            yield found.pop(number)
    finally:
        for process in at_work.values():
            process.kill()
            process.join()


def _received(connection: Connection, path: Path) -> Reviewed:
    try:
        found: Reviewed = connection.recv()
    except (EOFError, OSError):
        fail(f"The process that reviewed {path} was ended from outside; nothing is reported.", BROKEN)
    return found


def _review(
    connection: Connection,
    inherited: Sequence[Connection],
    rules: Sequence[Rule] | None,
    rules_from: tuple[Path, ...],
    trials: bool,
    form: str,
) -> None:
    """Review the files that come in until the other end is closed; a stop ends it without a word."""
    from reviewer.cli.one_review import reviewed

    for name in ("SIGINT", "SIGTERM", "SIGHUP"):
        if (number := getattr(signal, name, None)) is not None:
            signal.signal(number, _leave)
    for other in inherited:  # else the end of the command would not close them
        other.close()
    rules = rules or rules_of(rules_from)
    with contextlib.suppress(EOFError, OSError):
        while True:
            path, names = connection.recv()
            connection.send(reviewed(path, names, rules, trials, form))
            if gc.get_count()[0] > LEFT:
                gc.collect()


def _leave(number: int, frame: object) -> None:
    os._exit(STOPPED + number)
