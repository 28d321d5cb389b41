"""What every command shares: output to the terminal or to a file, messages, progress."""

from __future__ import annotations

import contextlib
import errno
import os
import sys
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, redirect_stdout
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click

from reviewer import resources

if TYPE_CHECKING:
    from reviewer.reading import Unreadable
    from reviewer.rulebook.rule import Rule

NOTHING, FINDINGS, UNREADABLE, BROKEN = 0, 1, 2, 3
#: as if the signal of a pipe that nobody reads had ended the command
CLOSED_PIPE = 141
#: what every help says of the exit statuses that have nothing to do with a design
ENDINGS = """\
  130  stopped by Ctrl-C; any other signal gives 128 and its number
  141  the reader of the output was closed
"""


def fail(message: str, status: int) -> NoReturn:
    """End the command with one message on standard error."""
    say(message)
    raise click.exceptions.Exit(status)


def say(message: str) -> None:
    """One message on standard error, its hidden characters written as escapes.

    Names and paths in it may come from a stranger's file.
    """
    from reviewer.reports.wording import shown

    tell(shown(message) + "\n")


def unreadable(error: Unreadable) -> NoReturn:
    """End the command with every mistake of a file."""
    tell(problems_of(error))
    raise click.exceptions.Exit(UNREADABLE)


#: the option of every command that judges
with_rules_from = click.option(
    "--rules-from",
    type=click.Path(path_type=Path),
    multiple=True,
    metavar="FOLDER",
    help="Also use the rules of this folder; may be repeated.",
)


#: the option of every command that tries estimates
trials_option = click.option(
    "--without-trials", is_flag=True, help="Take estimates (~5 A, 4 to 6 A) as written; try no other values."
)


def rules_of(folders: Sequence[Path]) -> tuple[Rule, ...]:
    """The rules that come with the reviewer and those of some folders.

    A rule that cannot be loaded ends the command.
    """
    from reviewer.reading.files_read import note_read
    from reviewer.rulebook.loader import RuleNotLoadable, load_rules

    try:
        with rules_print_aside():
            rules = load_rules([resources.folder("rules"), *folders])
    except RuleNotLoadable as error:
        fail(f"A rule cannot be loaded, so nothing was reviewed. {error}.", BROKEN)
    for rule in rules:
        note_read(rule.path)
    return rules


def rules_print_aside() -> AbstractContextManager[Any]:
    """While it holds, what code prints goes to standard error: standard output is the report's."""
    return redirect_stdout(sys.stderr)


def problems_of(error: Unreadable) -> str:
    """The mistakes of a file that cannot be read, as text."""
    from reviewer.reports.review.mistakes_text import as_problems

    return as_problems(error.file, error.problems, error.lines, undone=error.undone)


def save(out: Path, report: str, *inputs: Path) -> None:
    """Write a report to a file, whole or not at all, never over one of its ``inputs`` or another file
    that was read for it, as a table or a rule."""
    from reviewer.cli.written_file import write_file
    from reviewer.reading.files_read import files_read

    if any(_same_file(out, path) for path in inputs):
        fail(f"{out} is the design file itself and was left as it was; name another file.", UNREADABLE)
    if any(_same_file(out, path) for path in files_read()):
        fail(f"{out} was read for this report and was left as it was; name another file.", UNREADABLE)
    place(out, lambda: write_file(out, report.encode("utf-8", "backslashreplace")))
    say(f"Wrote {out}.")


def place(out: Path, written: Callable[[], None]) -> None:
    """Write something to ``out``; what cannot be written ends the command with one message."""
    from reviewer.cli.written_file import LeftAlone

    try:
        written()
    except LeftAlone as reason:
        fail(str(reason), UNREADABLE)
    except FileExistsError:
        fail(f"{out} is there already and was left as it was; name a file that does not exist.", UNREADABLE)
    except BrokenPipeError:
        raise click.exceptions.Exit(CLOSED_PIPE) from None
    except (OSError, ValueError) as error:
        fail(f"{out} cannot be written: {getattr(error, 'strerror', None) or error}.", UNREADABLE)


def _same_file(one: Path, other: Path) -> bool:
    """Whether both are one file; a device or a pipe may be read and written."""
    try:
        return one.is_file() and one.samefile(other)
    except (OSError, ValueError):
        return False


def answer(text: str) -> None:
    """Write text to standard output, which may not have all of its letters.

    Raises OSError where it is full, closed or read no more; the program ends with that.
    """
    if sys.stdout is None:  # the caller closed it
        raise OSError(errno.EBADF, "it is closed")
    _write(sys.stdout, text)


def tell(text: str) -> None:
    """Write text to standard error.

    Where that is full or closed nobody can be told: the exit status still tells.
    """
    try:
        if sys.stderr is not None:
            _write(sys.stderr, text)
    except OSError:
        with contextlib.suppress(OSError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), 2)  # what is left in the buffer goes nowhere


def _write(stream: Any, text: str) -> None:
    if hasattr(stream, "reconfigure"):
        stream.reconfigure(errors="backslashreplace")
    stream.write(text)
    stream.flush()


class Progress:
    """Reports progress on standard error, after two seconds and where a person is watching."""

    def __init__(self) -> None:
        import time

        self.clock, self.began, self.shown = time.monotonic, time.monotonic(), False

    def of(self, path: Path) -> Callable[[int, int, str], None]:
        """What to call before each rule: rules done, rules in all, the name of the next."""

        from reviewer.reports.wording import shown

        def report(done: int, total: int, rule: str) -> None:
            if self.clock() - self.began > 2 and sys.stderr and sys.stderr.isatty():
                self.shown = True
                tell(f"\r\x1b[K{shown(path.name)}: rule {done + 1} of {total}, {rule}")

        return report

    def announce(self, path: Path) -> Callable[[float], None]:
        """What to call before a review that takes long, with about how many seconds it takes."""

        def report(seconds: float) -> None:
            about = f"{seconds:.0f} seconds" if seconds < 90 else f"{seconds / 60:.0f} minutes"
            say(f"{path.name} is a large design; its review takes about {about}.")

        return report

    def end(self) -> None:
        """Clear what was shown."""
        if self.shown:
            tell("\r\x1b[K")
