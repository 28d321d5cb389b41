"""Runs the code of rules, which anybody may write: it ends by itself or at a time limit, and what
it raises is named with the line of the rule."""

from __future__ import annotations

import os
import re
import signal
import sys
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from pathlib import Path
from traceback import walk_tb
from types import FrameType, TracebackType
from typing import Any, NoReturn

#: seconds for all that a rule judges in one design, and for loading one file of a rule: half an hour. The
#: slowest of the rules that come with the reviewer takes less than a minute for a design of a thousand
#: parts, some minutes for the largest that is read, and a slow machine takes five times as long.
RULE_SECONDS = 1800.0
#: letters of a message of an error that are kept
_MOST_LETTERS = 2000
_EXIT = os._exit


class TimeLimit(BaseException):
    """A rule took longer than :data:`RULE_SECONDS`. No ``except Exception`` catches it."""


class _Settled(BaseException):
    """Takes the place of a TimeLimit that has not come."""


class Containment:
    """Runs pieces of work in one thread, and ends the one that takes too long.

    Another thread looks at the clock and has :class:`TimeLimit` raised in the thread that works,
    which need not be the main thread. It is raised between two steps of Python code. So a rule that
    waits for good in one call of the system or computes for good in one call of a library written in
    another language is not ended; nor is one that catches every TimeLimit and goes on. ``os._exit``
    is refused, as it would end a review with the status of one without findings. A rule that crashes the
    process or sends it a signal is not contained: the status tells the signal.

    A KeyboardInterrupt is an interrupt by the user only where a signal raised it, which Python
    brings to the main thread; otherwise the rule raised it. No rule catches the user's away.
    """

    def __init__(self) -> None:
        self._left = 0.0
        self._deadline: float | None = None
        self._raised = False
        self._worker = threading.get_ident()
        self._lock, self._over = threading.Lock(), threading.Event()
        self._clock = threading.Thread(target=self._watch, args=(min(1.0, RULE_SECONDS / 5),), daemon=True)
        self._folder = ""
        self._stop: KeyboardInterrupt | None = None
        #: what hears a signal instead of what heard it before
        self._hearing: dict[int, tuple[Any, Any]] = {}

    def __enter__(self) -> Containment:
        with suppress(OSError):
            self._folder = os.getcwd()
        self._hear()
        _let_exit(partial(_refuse, os.getpid()))
        self._clock.start()
        return self

    def __exit__(self, kind: Any, error: BaseException | None, trace: TracebackType | None) -> None:
        self._over.set()
        self._clock.join()
        _let_exit(_EXIT)
        with suppress(OSError):  # a report goes where it was asked for, wherever a rule went
            os.chdir(self._folder)
        for number, (ours, former) in self._hearing.items():
            if signal.getsignal(number) is ours:  # else a stop set it anew
                signal.signal(number, former)
        if self._stop is not None:
            raise self._stop

    def _hear(self) -> None:
        """Have each signal that raises a KeyboardInterrupt noted when it comes."""
        if threading.current_thread() is not threading.main_thread():
            return  # no signal comes here
        for number in (signal.SIGINT, signal.SIGTERM, getattr(signal, "SIGHUP", signal.SIGTERM)):
            former = signal.getsignal(number)
            if callable(former) and number not in self._hearing:
                ours = partial(self._heard, former)
                self._hearing[number] = ours, former
                signal.signal(number, ours)

    def _heard(
        self, former: Callable[[int, FrameType | None], object], number: int, frame: FrameType | None
    ) -> None:
        try:
            former(number, frame)
        except KeyboardInterrupt as stop:
            self._stop = stop
            raise

    @property
    def interrupted(self) -> bool:
        """Whether the user interrupted the work, although it may have gone on."""
        return self._stop is not None

    def begin(self) -> None:
        """From now on the pieces of work share the time of one rule anew."""
        self._left = RULE_SECONDS

    def run(self, work: Callable[[], None]) -> BaseException | None:
        """Do a piece of work. Returns what it raised; an interrupt by the user is raised."""
        try:
            try:
                self._begin()
                work()
            finally:
                self._end()
        except TimeLimit as late:
            self._end()  # it may have been raised on the way into the first
            raised: BaseException | None = late
        except BaseException as error:  # also SystemExit and KeyboardInterrupt: no rule ends a review
            raised = error
        else:
            raised = None
        if self._stop is not None:
            raise self._stop
        return raised

    def _begin(self) -> None:
        with self._lock:
            self._deadline = time.monotonic() + self._left

    def _end(self) -> None:
        with self._lock:
            if self._deadline is not None:
                self._left = self._deadline - time.monotonic()
            self._deadline = None
            if self._raised:
                self._raised = False
                _settle()

    def _watch(self, pause: float) -> None:
        while not self._over.wait(pause):
            with self._lock:
                if self._deadline is not None and time.monotonic() > self._deadline:
                    self._raised = True
                    _raise_in(self._worker, TimeLimit)


def _let_exit(function: Callable[..., NoReturn]) -> None:
    """Have this function for ``os._exit`` wherever a rule may find it."""
    for name in {"os", "posix"} & sys.modules.keys():
        sys.modules[name].__dict__["_exit"] = function


def _refuse(process: int, status: int) -> NoReturn:
    """Stands for ``os._exit``: ends a process that a rule forked, and raises SystemExit in ours."""
    if os.getpid() != process:
        _EXIT(status)
    raise SystemExit(f"os._exit({status}) ends no review")


def _raise_in(thread: int, error: type[BaseException] | None) -> None:
    """Have an error raised in a thread, or with None take back one that was not raised yet."""
    import ctypes  # for a rule that takes too long

    ctypes.pythonapi.PyThreadState_SetAsyncExc(
        ctypes.c_ulong(thread), None if error is None else ctypes.py_object(error)
    )


def _settle() -> None:
    """Leave no error on its way to this thread. One is sent in its place and taken here: one that is only
    taken back leaves Python 3.11 looking for it before each step, which is slow, and for ever where calls
    are counted."""
    try:
        _raise_in(threading.get_ident(), _Settled)
        while True:
            pass
    except _Settled:
        pass
    except BaseException:  # a signal came first
        with suppress(_Settled):
            _raise_in(threading.get_ident(), None)
        raise


def freed(error: BaseException) -> None:
    """Let go of all that the functions held through which an error came: its traceback has their frames."""
    left: BaseException | None = error
    while left is not None:
        before, left.__traceback__, left.__context__ = left.__context__, None, None
        left = before


def words_of(error: BaseException, path: str, line: int | None = None) -> str:
    """What a rule raised, with the name of its file and the line; ``line`` serves where the error names
    none."""
    try:
        text = str(error)
    except BaseException:  # the error is somebody's code too
        text = "its message cannot be written"
    if isinstance(error, TimeLimit):
        text = f"it took more than {RULE_SECONDS:g} s and was stopped"
    if isinstance(error, SyntaxError) and error.filename == path:
        at, text = error.lineno, error.msg
    else:
        passed = [n for frame, n in walk_tb(error.__traceback__) if frame.f_code.co_filename == path]
        at = passed[-1] if passed else line
    kind = f"{type(error).__name__}: " if text else type(error).__name__
    cut = text if len(text) <= _MOST_LETTERS else text[:_MOST_LETTERS] + "…"
    return f"{kind}{cut} ({code_file(path)}{'' if at is None else f', line {at}'})"


def trace_of(error: BaseException) -> str:
    """The traceback of an error, with each file by its :func:`code_file`."""
    import traceback

    trace = "".join(traceback.format_exception(error))
    return re.sub(r'(?<=File ")[^"<]+(?=")', lambda found: code_file(found[0]), trace)


def code_file(path: str) -> str:
    """What a file of code is called, without what is the machine's own: a relative path as it was named,
    an absolute one below the folder from which Python imports it, else its last part."""
    file = Path(path)
    if not file.is_absolute():
        return file.as_posix()
    folders = [Path(place) for place in sys.path if place and file.is_relative_to(place)]
    return file.relative_to(max(folders, key=lambda f: len(f.parts))).as_posix() if folders else file.name
