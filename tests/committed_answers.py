"""What each command answers about a small aircraft, committed: ``tests/answers``, written by ``python -m tests.write_committed``.

A word, a figure, a column or an indentation that a change of the code turns is seen there.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import chdir
from functools import cache, partial
from pathlib import Path
from tempfile import TemporaryDirectory
from unittest.mock import patch

from click.testing import CliRunner

from reviewer import session
from reviewer.analysis.facts import Facts
from reviewer.cli.main import commands

FOLDER = Path(__file__).parent / "answers"
DESIGN, OLD = "bench.design.yaml", "old.design.yaml"
#: a file of answers -> the command; both designs lie in its folder
ASKED: dict[str, tuple[str, ...]] = {
    "budget.txt": ("budget", DESIGN),
    "budget.csv": ("budget", DESIGN, "--as", "csv"),
    "wires.txt": ("wires", DESIGN),
    "wires.csv": ("wires", DESIGN, "--as", "csv"),
    "effects.txt": ("effects", DESIGN),
    "effects.csv": ("effects", DESIGN, "--as", "csv"),
    "solve.txt": ("solve", DESIGN),
    "solve.csv": ("solve", DESIGN, "--as", "csv"),
    "solve-failed.txt": ("solve", DESIGN, "--failed", "alternator=open", "--while", "landing-light"),
    "checklists.txt": ("checklists", DESIGN),
    "checklists.csv": ("checklists", DESIGN, "--as", "csv"),
    "compare.txt": ("compare", OLD, DESIGN),
    "trace-load.txt": ("trace", DESIGN, "engine-monitor"),
    "trace-bus.txt": ("trace", DESIGN, "main-bus"),
    "fail-bus.txt": ("fail", DESIGN, "main-bus"),
    "fail-degraded.txt": ("fail", DESIGN, "W101", "--mode", "degraded"),
    "diagnose-dark.txt": ("diagnose", DESIGN, "--dark", "audio-panel"),
    "diagnose-dark.csv": ("diagnose", DESIGN, "--dark", "audio-panel", "--as", "csv"),
    "diagnose-reads.txt": ("diagnose", DESIGN, "--reads", "bus-volts=12.4 V", "--open", "audio-breaker"),
    "review-cause.txt": ("review", DESIGN, "--cause", "1", "--without-trials"),
    "review-missing.txt": ("review", DESIGN, "--missing", "--without-trials"),
    "ask.txt": ("ask", DESIGN, "--all"),
}  # fmt: skip
#: schedules of the handoff folder that stand elsewhere in these files already
ELSEWHERE = {"checklists.csv", "wire-currents.csv"}


@cache
def _facts(path: Path) -> Facts:
    return session_facts_of(path)


session_facts_of = session.facts_of


def _said(arguments: tuple[str, ...]) -> str:
    """What a command writes; the facts of a design are worked out once."""
    with chdir(FOLDER), patch.object(session, "facts_of", _facts):
        done = CliRunner().invoke(commands, arguments, env={"COLUMNS": "100"})
    assert done.exit_code in (0, 1), done.output
    return done.stdout


def _schedules() -> str:
    """The schedules of the handoff folder, each under its name."""
    with TemporaryDirectory() as made, chdir(FOLDER):
        done = CliRunner().invoke(
            commands, ["handoff", DESIGN, "--out", f"{made}/folder", "--without-trials"]
        )
        assert done.exit_code == 0, done.output
        files = sorted(Path(made, "folder").glob("*.csv"))
        return "\n".join(
            f"## {file.name}\n{file.read_text(encoding='utf-8-sig')}"
            for file in files
            if file.name not in ELSEWHERE
        )


def answers() -> dict[Path, Callable[[], str]]:
    """Every file of answers, with what makes its text."""
    made: dict[Path, Callable[[], str]] = {
        FOLDER / name: partial(_said, asked) for name, asked in ASKED.items()
    }
    return {**made, FOLDER / "schedules.txt": _schedules}
