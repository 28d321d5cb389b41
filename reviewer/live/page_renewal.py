"""The page that is shown now, and its renewal as the file changes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from queue import SimpleQueue
from threading import Condition, Thread
from typing import Any, NoReturn

from reviewer.editor.forked_process import begun, end, stops_wait
from reviewer.live.page_worker import Renewed, renew

_LOST = "The review ended before it was done: its process was ended from outside, or memory ran out.\n"


@dataclass(frozen=True)
class Showing:
    """What is shown: ``turn`` counts what was said, ``number`` the pages.

    ``mistakes`` say why the file as it is now has no page; the page is then that of an older version.
    ``busy`` while a newer version is being reviewed.
    """

    turn: int = 0
    number: int = 0
    page: bytes = b""
    mistakes: str = ""
    busy: bool = True


class LivePage:
    """What is shown, for the threads that serve it."""

    def __init__(self) -> None:
        self.now = Showing()
        self._said = Condition()

    def say(self, **changed: Any) -> None:
        """Show something else."""
        with self._said:
            self.now = replace(self.now, turn=self.now.turn + 1, **changed)
            self._said.notify_all()

    def after(self, turn: int, seconds: float) -> Showing | None:
        """What is shown after a turn; None where nothing was said for some seconds."""
        with self._said:
            self._said.wait_for(lambda: self.now.turn != turn, seconds)
            return self.now if self.now.turn != turn else None


class Renewal:
    """Reviews a file whenever it is said to have changed; a newer version ends the review of an older.

    ``beside`` are the names of the files beside the design that it asks for; None until they are known.
    """

    def __init__(self, path: Path, rules_from: Sequence[Path], trials: bool):
        self.path, self.trials = path, trials
        self.rules_from = [str(folder) for folder in rules_from]
        self.live = LivePage()
        self.beside: frozenset[str] | None = None
        self._events: SimpleQueue[tuple[int, Renewed | None]] = SimpleQueue()
        self._turn, self._shown = 0, ""
        self._process: BaseProcess | None = None

    def changed(self) -> None:
        """Say that a file has changed."""
        self._events.put((-1, None))

    def go_on(self) -> NoReturn:
        """Review the file, and again after each change, until the command is stopped."""
        self._begin()
        while True:
            self.step()

    def step(self) -> None:
        """Wait for the next change or the next answer, and see to it."""
        turn, found = self._events.get()
        if turn == -1:
            self._begin()
        elif turn == self._turn:  # not the answer of a review that was ended
            self._show(found or Renewed(mistakes=_LOST))

    def end(self) -> None:
        """End the review that is under way."""
        if self._process is not None:
            end(self._process)
            self._process = None

    def _begin(self) -> None:
        self.end()
        self._turn += 1
        with stops_wait():
            here, self._process = begun(renew, str(self.path), self._shown, self.rules_from, self.trials)
        self.live.say(busy=True)
        Thread(target=self._wait, args=(self._turn, here), daemon=True).start()

    def _wait(self, turn: int, connection: Connection) -> None:
        """Pass on what a review found; nothing where it was ended."""
        with connection:
            try:
                found = connection.recv()
            except (EOFError, OSError):
                found = None
        self._events.put((turn, found))

    def _show(self, found: Renewed) -> None:
        self.end()
        if found.beside or not found.mistakes:
            self.beside = frozenset(found.beside)
        if found.page:
            self._shown = found.digest
            self.live.say(page=found.page, number=self.live.now.number + 1, mistakes="", busy=False)
        else:
            self.live.say(mistakes=found.mistakes, busy=False)
