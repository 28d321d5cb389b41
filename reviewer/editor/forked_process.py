"""Processes that review one version of a text each, forked from one that has everything loaded."""

from __future__ import annotations

import multiprocessing
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from threading import Lock, current_thread, main_thread
from typing import Any

#: where a system has no process to fork from, a new one
_METHOD = "forkserver" if "forkserver" in multiprocessing.get_all_start_methods() else "spawn"
_CONTEXT: Any = multiprocessing.get_context(_METHOD)
if _METHOD == "forkserver":
    _CONTEXT.set_forkserver_preload(["reviewer.editor.ready"])
#: a start looks through all processes, of which none may go meanwhile
_ONE_AT_A_TIME = Lock()


def make_ready() -> None:
    """Begin to load what every process needs, without waiting for it."""
    if _METHOD == "forkserver":
        from multiprocessing import forkserver

        forkserver.ensure_running()


def begun(work: Callable[..., None], *arguments: Any) -> tuple[Connection, BaseProcess]:
    """Begin some work in a process; ``work`` is called with the other end of the connection first."""
    here, there = _CONTEXT.Pipe()
    process = _CONTEXT.Process(target=work, args=(there, *arguments), daemon=True)
    with _ONE_AT_A_TIME:
        process.start()
    there.close()
    return here, process


@contextmanager
def stops_wait() -> Iterator[None]:
    """A stop that comes meanwhile takes effect afterwards: a process that is being begun would go on
    without anybody who knows of it."""
    came: list[int] = []
    before: dict[int, Any] = {}
    if current_thread() is main_thread():  # a stop is raised in no other
        known = (getattr(signal, name, None) for name in ("SIGINT", "SIGTERM", "SIGHUP"))
        before = {number: signal.getsignal(number) for number in known if number is not None}
    raised = {number: handler for number, handler in before.items() if callable(handler)}
    for number in raised:
        signal.signal(number, lambda number, frame: came.append(number))
    try:
        yield
    finally:
        for number, handler in raised.items():
            signal.signal(number, handler)
        for number in came[:1]:
            signal.raise_signal(number)


def end(process: BaseProcess) -> None:
    """End a process; whoever waits at its connection finds it closed."""
    process.kill()
    with _ONE_AT_A_TIME:
        process.join(5)
