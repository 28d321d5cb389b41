"""What a command does when it is asked to stop: it ends quietly, clears away, and its status tells.

Nothing else of the reviewer is loaded here, so that a stop is heard from the beginning.
"""

from __future__ import annotations

import signal
from collections.abc import Callable
from types import FrameType

#: what an exit status is above the number of the signal that stopped a program, by custom of shells
STOPPED = 128
#: a closing terminal, Ctrl-C, a request to end
_SIGNALS = ("SIGHUP", "SIGINT", "SIGTERM")


class Stopped(KeyboardInterrupt):
    """Somebody asked the command to stop; ``status`` is the exit status that tells how."""

    def __init__(self, number: int):
        super().__init__(number)
        self.status = STOPPED + number


def listen() -> None:
    """From here on a signal raises :class:`Stopped`, once; a second one ends the process at once.

    A signal that the caller chose to ignore stays ignored.
    """
    _set(_stop)


def listen_no_more() -> None:
    """From here on the status stands: all is written."""
    _set(signal.SIG_IGN)


def _set(action: Callable[[int, FrameType | None], None] | signal.Handlers) -> None:
    for name in _SIGNALS:
        number = getattr(signal, name, None)  # not every system has each
        if number is not None and signal.getsignal(number) is not signal.SIG_IGN:
            signal.signal(number, action)


def _stop(number: int, frame: FrameType | None) -> None:
    _set(signal.SIG_DFL)
    raise Stopped(number)
