"""A design that is open in an editor: its text, what it reads as, and the review of that very text."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import cached_property
from multiprocessing.process import BaseProcess
from pathlib import Path
from threading import Lock

from reviewer.editor.forked_process import begun, end
from reviewer.editor.fresh_review import Answered, Mark, work
from reviewer.editor.written_names import WrittenNames, lines_in
from reviewer.model.design import Design
from reviewer.reading import Problem, Unreadable, design_of
from reviewer.reading.design_file import DesignFile

_PUTTING_AWAY = ThreadPoolExecutor(1)


class TextRead:
    """A text and what it reads as: the ``design``, or the ``problems`` in it."""

    def __init__(self, path: Path, text: str):
        self.text = text
        self.design: Design | None = None
        self.problems: Sequence[Problem] = ()
        try:
            self.design = read_as(path, text)
        except Unreadable as error:
            self.problems = error.problems

    @cached_property
    def lines(self) -> list[str]:
        """The lines of the text as an editor counts them."""
        return lines_in(self.text)

    @cached_property
    def names(self) -> WrittenNames:
        """The names in the text."""
        return WrittenNames(self.text, self.design)


def read_as(path: Path, text: str) -> Design:
    """The design of a text as of the file at a path. Raises Unreadable."""
    return design_of(DesignFile(path, text.encode("utf-8", "surrogatepass")))


class OpenDesign:
    """One file of an editor. ``read`` is what its text was last read as, ``last`` the last design."""

    def __init__(self, path: Path):
        self.path = path
        self.turn = 0
        #: one text is read at a time, so that older ones do not hold up the newest
        self.reading = asyncio.Lock()
        #: the number that the editor gives the text
        self.version: int | None = None
        self.read: TextRead | None = None
        self.last: Design | None = None
        self.marks: tuple[Mark, ...] = ()
        self.pages: dict[str, str] = {}
        self._review: _Review | None = None

    def changed(self) -> int:
        """Say that the text is another one: the review of the old one ends. The number of this turn."""
        self.turn += 1
        self.end()
        return self.turn

    def end(self) -> None:
        """End the review that is under way, or that answers for the text."""
        if self._review is not None:
            self._review.end()
            self._review = None

    def review(self, text: str, rules_from: Sequence[str]) -> _Review:
        """The review of a text that can be read; it begins when its answer is asked for."""
        self.end()
        self._review = _Review(self.path, text, rules_from)
        return self._review

    def about(self, name: str) -> str:
        """What the process that reviewed the text says of a part or wire; "" while it is busy."""
        return self._review.about(name) if self._review is not None else ""


class _Review:
    """A process at work on one text. Who talks to it waits, so all but :meth:`end` are called in threads."""

    def __init__(self, path: Path, text: str, rules_from: Sequence[str]):
        self.arguments = str(path), text.encode("utf-8", "surrogatepass"), tuple(rules_from)
        self.done = self.ended = False
        self.process: BaseProcess | None = None
        self._talking = Lock()

    def answered(self) -> Answered | None:
        """Begin, and wait for what it finds; None where a newer text has ended it."""
        with self._talking:
            if self.ended:
                return None
            try:
                self.connection, self.process = begun(work, *self.arguments)
                if self.ended:  # in the meantime
                    self.process.kill()
                found = self.connection.recv()
            except (EOFError, OSError) as error:
                why = f"its process ended ({type(error).__name__})"
                return None if self.ended else Answered((), {}, why)
            self.done = True
            return found if isinstance(found, Answered) else None

    def about(self, name: str) -> str:
        """What it says of a part or wire."""
        if not self.done or not self._talking.acquire(timeout=1):
            return ""
        try:
            self.connection.send(name)
            return str(self.connection.recv()) if self.connection.poll(5) else ""
        except (EOFError, OSError):
            return ""
        finally:
            self._talking.release()

    def end(self) -> None:
        """End the process without waiting for it; whoever waits for its answer has none."""
        self.ended = True
        if self.process is not None:
            self.process.kill()
        _PUTTING_AWAY.submit(self._put_away)

    def _put_away(self) -> None:
        with self._talking:
            if self.process is not None:
                end(self.process)
                self.connection.close()
                self.done = False
