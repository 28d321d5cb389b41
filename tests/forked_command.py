"""The command in a process of its own that is forked from the one of the tests, in which all is loaded already.

What is asked here is what a command writes and how it ends; that it starts, in a new interpreter, is asked by
``tests/test_cli.py``, ``tests/test_streams.py`` and ``tests/reading/test_design_file.py``.
"""

from __future__ import annotations

import io
import os
import subprocess
import sys
import traceback
from pathlib import Path
from tempfile import TemporaryFile

from reviewer.__main__ import main
from tests.fuzz.case import ended


def forked(arguments: list[str], folder: Path) -> subprocess.CompletedProcess[str]:
    """The command with some arguments, run in a folder: its exit status and all that it wrote."""
    with TemporaryFile() as out, TemporaryFile() as err:
        sys.stdout.flush()
        sys.stderr.flush()
        child = os.fork()
        if child == 0:
            _run(arguments, folder, out.fileno(), err.fileno())
        status, _ = ended(child)
        said = []
        for stream in (out, err):
            stream.seek(0)
            said.append(stream.read().decode("utf-8"))
    return subprocess.CompletedProcess(arguments, status, *said)


def _run(arguments: list[str], folder: Path, out: int, err: int) -> None:
    """What the forked process does; it never comes back."""
    status = 99
    try:
        os.chdir(folder)
        os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
        os.dup2(out, 1)
        os.dup2(err, 2)
        sys.stdin = io.TextIOWrapper(os.fdopen(0, "rb", closefd=False), encoding="utf-8")
        sys.stdout = io.TextIOWrapper(os.fdopen(1, "wb", closefd=False), encoding="utf-8")
        sys.stderr = io.TextIOWrapper(
            os.fdopen(2, "wb", closefd=False), encoding="utf-8", errors="backslashreplace"
        )
        sys.argv = ["reviewer", *arguments]
        try:
            main()
        except SystemExit as done:
            status = done.code if isinstance(done.code, int) else 99
        sys.stdout.flush()
        sys.stderr.flush()
    except BaseException:
        os.write(2, traceback.format_exc().encode("utf-8", "replace"))
    finally:
        os._exit(status & 0xFF)
