"""The command live: what it needs to begin, that it writes nothing, and how it ends."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
from pathlib import Path
from urllib.request import urlopen

import pytest

ROOT = Path(__file__).parent.parent
FIRST = (ROOT / "examples" / "first.design.yaml").read_bytes()


def command(*arguments: str, cwd: Path) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "reviewer", "live", *arguments],
        cwd=cwd,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )


def test_a_file_that_is_not_there_and_a_port_that_is_taken_end_it(tmp_path: Path) -> None:
    (tmp_path / "my.design.yaml").write_bytes(FIRST)
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        begun = [
            (command("none.design.yaml", cwd=tmp_path), "There is no file none.design.yaml.\n"),
            (
                command("my.design.yaml", "--port", str(port), cwd=tmp_path),
                f"Port {port} cannot be used: Address already in use.\n",
            ),
        ]
        for process, said in begun:
            out, err = process.communicate(timeout=60)
            assert (process.returncode, out, err) == (2, "", said)


@pytest.mark.long
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_it_ends_by_a_signal_with_its_status_and_leaves_nothing(
    tmp_path: Path, number: signal.Signals
) -> None:
    (tmp_path / "my.design.yaml").write_bytes(FIRST)
    process = command("my.design.yaml", cwd=tmp_path)
    assert process.stdout is not None
    url = process.stdout.readline().strip()
    with urlopen(url, timeout=10) as answer:
        assert b"my.design.yaml" in answer.read()
    process.send_signal(number)  # while it reviews
    out, err = process.communicate(timeout=30)
    assert (process.returncode, out, err) == (128 + number, "", "")
    assert [(p.name, p.read_bytes()) for p in tmp_path.iterdir()] == [("my.design.yaml", FIRST)]


@pytest.mark.long
def test_two_that_serve_one_file_have_tokens_of_their_own(tmp_path: Path) -> None:
    (tmp_path / "my.design.yaml").write_bytes(FIRST)
    both = [command("my.design.yaml", cwd=tmp_path) for _ in range(2)]
    urls = []
    for process in both:
        assert process.stdout is not None
        urls.append(process.stdout.readline().strip().rstrip("/").rpartition("/"))
        process.terminate()
        process.communicate(timeout=30)
    (first, _, one), (second, _, other) = urls
    assert first != second and one != other and min(len(one), len(other)) >= 32
