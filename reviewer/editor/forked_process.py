"""Processes that review one version of a text each, forked from one that has everything loaded."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from threading import Lock
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


def end(process: BaseProcess) -> None:
    """End a process; whoever waits at its connection finds it closed."""
    process.kill()
    with _ONE_AT_A_TIME:
        process.join(5)
