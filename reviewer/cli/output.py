"""What every command shares: output to the terminal or to a file, messages, progress."""

from __future__ import annotations

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


def fail(message: str, status: int) -> NoReturn:
    """End the command with one message on standard error."""
    say(message)
    raise click.exceptions.Exit(status)


def say(message: str) -> None:
    """One message on standard error, its hidden characters written as escapes.

    Names and paths in it may come from a stranger's file.
    """
    from reviewer.reports.wording import shown

    write(sys.stderr, shown(message) + "\n")


def unreadable(error: Unreadable, path: Path) -> NoReturn:
    """End the command with every mistake of a file."""
    write(sys.stderr, problems_of(error, path))
    raise click.exceptions.Exit(UNREADABLE)


#: the option of every command that judges
with_rules_from = click.option(
    "--rules-from",
    type=click.Path(path_type=Path),
    multiple=True,
    metavar="FOLDER",
    help="Also use the rules of this folder; may be repeated.",
)


def rules_of(folders: Sequence[Path]) -> tuple[Rule, ...]:
    """The rules that come with the reviewer and those of some folders.

    A rule that cannot be loaded ends the command.
    """
    from reviewer.rulebook.loader import RuleNotLoadable, load_rules

    try:
        with rules_print_aside():
            return load_rules([resources.folder("rules"), *folders])
    except RuleNotLoadable as error:
        fail(f"A rule cannot be loaded, so nothing was reviewed. {error.path}: {error.reason}.", BROKEN)


def rules_print_aside() -> AbstractContextManager[Any]:
    """While it holds, what code prints goes to standard error: standard output is the report's."""
    return redirect_stdout(sys.stderr)


def problems_of(error: Unreadable, path: Path) -> str:
    """The mistakes of a file that cannot be read, as text."""
    from reviewer.reports.review.text import as_problems

    return as_problems(error.file, error.problems, lines_of(path))


def lines_of(path: Path) -> list[str]:
    """The lines of a file, none where it cannot be read."""
    try:
        return path.read_bytes().decode("utf-8", "replace").splitlines()
    except (OSError, ValueError):
        return []


def save(out: Path, report: str, *inputs: Path) -> None:
    """Write a report to a file, whole or not at all, never over one of its ``inputs``."""
    import os
    import tempfile

    if any(_same_file(out, path) for path in inputs):
        fail(f"{out} is the design file itself and was left as it was; name another file.", UNREADABLE)
    if os.path.isdir(out):  # of a path, a name that is too long is an error
        fail(f"{out} is a folder; name a file.", UNREADABLE)
    try:
        handle, name = tempfile.mkstemp(prefix=f".{out.name}.", dir=out.parent)
        try:
            with os.fdopen(handle, "w", encoding="utf-8", errors="backslashreplace", newline="\n") as stream:
                stream.write(report)
            os.chmod(name, 0o644)
            os.replace(name, out)
        except BaseException:
            os.unlink(name)
            raise
    except (OSError, ValueError) as error:
        fail(f"{out} cannot be written: {getattr(error, 'strerror', None) or error}.", UNREADABLE)
    say(f"Wrote {out}.")


def _same_file(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except (OSError, ValueError):
        return False


def write(stream: Any, text: str) -> None:
    """Write text to a stream that may not have all of its letters."""
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
            if self.clock() - self.began > 2 and sys.stderr.isatty():
                self.shown = True
                write(sys.stderr, f"\r\x1b[K{shown(path.name)}: rule {done + 1} of {total}, {rule}")

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
            write(sys.stderr, "\r\x1b[K")
