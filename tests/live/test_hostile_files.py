"""Every hostile file of the command line under the live page: its mistakes in place of a page, or a page, and never a defect."""

from __future__ import annotations

import os
import shutil
import socket
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

import pytest

from reviewer.live.page_worker import Renewed, _renewed
from reviewer.reading import Unreadable, read_text
from tests.fuzz.hostile import MARK
from tests.hostile_texts import FIRST, hostile_texts
from tests.live.test_page_renewal import made_folder, made_pipe
from tests.page.conftest import ROOT

TABLES = ROOT / "examples" / "tables"


def words(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.long
def test_every_hostile_text_has_its_mistakes_or_a_page(tmp_path: Path) -> None:
    path = tmp_path / "my.design.yaml"
    pages = 0
    for name, text in hostile_texts():
        content = text.encode("utf-8", "surrogatepass")
        path.write_bytes(content)
        # a page takes seconds and is that of `report`, which the fuzz tries: small ones are made here
        shown = "" if len(content) < 8_000 else sha256(content).hexdigest()
        found = _renewed(path, shown, (), False)
        assert "defect" not in found.mistakes, (name, found.mistakes)
        try:
            read_text(content, path.name)
        except Unreadable as error:
            assert not found.page and found.mistakes.startswith("my.design.yaml cannot be reviewed.\n"), name
            for problem in error.problems[:5]:
                placed = f"line {problem.line}" in found.mistakes
                assert placed is not problem.message.startswith(
                    ("the file is empty", "the file is larger")
                ), (name, found.mistakes)
                assert words(problem.message)[:60] in words(found.mistakes), (name, found.mistakes)
        else:
            pages += 1
            assert bool(found.page) == (not shown) and not found.mistakes, name
    assert pages >= 4
    assert [p.name for p in tmp_path.iterdir()] == [path.name] and not Path(MARK).exists()


def _linked(to: str) -> Callable[[Path], None]:
    def link(path: Path) -> None:
        path.unlink()
        path.symlink_to(to)

    return link


def _socket(path: Path) -> None:
    path.unlink()
    place = os.getcwd()
    os.chdir(path.parent)  # the name of a socket must be short
    with socket.socket(socket.AF_UNIX) as own:
        own.bind(path.name)
    os.chdir(place)


def _huge(path: Path) -> None:
    os.truncate(path, 3 << 30)


def _in_a_loop(path: Path) -> None:
    path.unlink()
    other = path.with_name("other")
    path.symlink_to(other.name)
    other.symlink_to(path.name)


@pytest.mark.parametrize(
    ("hurt", "said"),
    [
        pytest.param(_linked("/dev/zero"), "it is no plain file", id="a device without end"),
        pytest.param(_linked("/dev/null"), "it is no plain file", id="an empty device"),
        pytest.param(_linked("/proc/self/mem"), "the file cannot be opened: ", id="memory"),
        pytest.param(_socket, "it is no plain file", id="a socket"),
        pytest.param(_in_a_loop, "Too many levels of symbolic links", id="links in a loop"),
        pytest.param(_linked("x" * 300), "the file cannot be opened: File name too long", id="a long name"),
        pytest.param(lambda p: p.write_bytes(b"\xff\xfe\x00" * 99), "is not UTF-8", id="bytes"),
        pytest.param(lambda p: p.write_text("#" * 5_000_001), "larger than", id="larger than is read"),
    ],
)
def test_what_is_no_file_of_text_has_one_message(
    tmp_path: Path, hurt: Callable[[Path], object], said: str
) -> None:
    path = tmp_path / "my.design.yaml"
    path.write_text(FIRST, encoding="utf-8")
    hurt(path)
    found = _renewed(path, "", (), False)
    assert not found.page and said in words(found.mistakes), found.mistakes
    assert found.mistakes.startswith("my.design.yaml cannot be reviewed.\n")


#: what may become of a table, and what is said of it
BROKEN = pytest.mark.parametrize(
    ("hurt", "said"),
    [
        pytest.param(Path.unlink, "there is no file `loads.csv`", id="gone"),
        pytest.param(made_folder, "`loads.csv` cannot be opened: Is a directory", id="a folder"),
        pytest.param(made_pipe, "`loads.csv` is not a plain file", id="a pipe"),
        pytest.param(_linked("/dev/zero"), "`loads.csv` is a link to another folder", id="a device"),
        pytest.param(_linked("loads.csv"), "`loads.csv` cannot be opened: Too many levels", id="a loop"),
        pytest.param(_huge, "`loads.csv` is larger than", id="huge"),
        pytest.param(lambda p: p.write_bytes(b"\xff\xfe\x00" * 99), "`loads.csv`", id="bytes"),
        pytest.param(lambda p: p.write_bytes(b""), "`loads.csv`", id="empty"),
        pytest.param(lambda p: p.write_bytes(b'"' * 9_999), "`loads.csv`", id="quotes"),
        pytest.param(lambda p: shutil.copy(ROOT / "examples" / "page.png", p), "`loads.csv`", id="a picture"),
    ],
)


@BROKEN
def test_a_table_beside_it_that_is_broken_has_one_message_and_is_watched(
    tmp_path: Path, hurt: Callable[[Path], object], said: str
) -> None:
    path = tmp_path / "trainer.design.yaml"
    for file in (path.name, "loads.csv", "wires.csv"):
        shutil.copy(TABLES / file, tmp_path / file)
    hurt(tmp_path / "loads.csv")
    found = _renewed(path, "", (), False)
    assert not found.page and found.mistakes.startswith("trainer.design.yaml cannot be reviewed.\n")
    assert said in words(found.mistakes) and "defect" not in found.mistakes, found.mistakes
    assert {"loads.csv", "wires.csv"} >= set(found.beside) >= {"loads.csv"}


def test_the_same_files_sound_make_a_page(tmp_path: Path) -> None:
    for file in ("trainer.design.yaml", "loads.csv", "wires.csv"):
        shutil.copy(TABLES / file, tmp_path / file)
    found: Renewed = _renewed(tmp_path / "trainer.design.yaml", "", (), False)
    assert found.page and not found.mistakes
