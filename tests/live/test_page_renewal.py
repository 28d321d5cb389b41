"""What becomes of the page as its file is saved, broken, lost and brought back: one clear message each, and it goes on."""

from __future__ import annotations

import multiprocessing
import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from threading import Event, Thread
from time import monotonic, sleep

import pytest

from reviewer.live.file_changes import follow, seen
from reviewer.live.page_renewal import Renewal, Showing
from reviewer.live.page_worker import Renewed, _renewed
from tests.page.conftest import ROOT

FIRST = (ROOT / "examples" / "first.design.yaml").read_text(encoding="utf-8")
TABLES = ROOT / "examples" / "tables"


@pytest.fixture
def design(tmp_path: Path) -> Path:
    path = tmp_path / "folder" / "my.design.yaml"
    path.parent.mkdir()
    path.write_text(FIRST, encoding="utf-8")
    return path


def worked(path: Path, shown: str = "") -> Renewed:
    """What a process would send."""
    return _renewed(path, shown, (), False)


def _removed(path: Path) -> None:
    path.unlink()


def made_folder(path: Path) -> None:
    path.unlink()
    path.mkdir()


def made_pipe(path: Path) -> None:
    path.unlink()
    os.mkfifo(path)


def _nowhere(path: Path) -> None:
    path.unlink()
    path.symlink_to("gone")


def _itself(path: Path) -> None:
    path.unlink()
    path.symlink_to(path.name)


@pytest.mark.parametrize(
    ("hurt", "said"),
    [
        pytest.param(_removed, "the file is not there; save it again under this name", id="removed"),
        pytest.param(made_folder, "it is no plain file; put the design file in its place", id="a folder"),
        pytest.param(made_pipe, "it is no plain file; put the design file in its place", id="a pipe"),
        pytest.param(
            _nowhere, "the file is not there; save it again under this name", id="a link to nowhere"
        ),
        pytest.param(
            _itself, "the file cannot be opened: Too many levels of symbolic links", id="a link to itself"
        ),
        pytest.param(lambda p: p.write_text(FIRST[: len(FIRST) // 2]), "", id="half written"),
        pytest.param(lambda p: p.write_bytes(b""), "the file is empty", id="empty"),
        pytest.param(lambda p: p.write_bytes(b"\xff\x00\xfe" * 99), "", id="no text"),
        pytest.param(lambda p: os.truncate(p, 3 << 30), "the file is larger than", id="huge"),
    ],
)
def test_a_file_that_cannot_be_read_has_one_clear_message(
    design: Path, hurt: Callable[[Path], object], said: str
) -> None:
    good = worked(design)
    assert good.page.startswith(b"<!doctype html>") and not good.mistakes and len(good.digest) == 64
    assert worked(design, good.digest) == Renewed(digest=good.digest)  # nothing is made again
    hurt(design)
    found = worked(design, good.digest)
    assert not found.page and found.mistakes.startswith("my.design.yaml cannot be reviewed.\n")
    assert said in found.mistakes and found.mistakes.endswith("nothing was reviewed.\n")
    assert str(design.parent) not in found.mistakes


def until(renewal: Renewal, wanted: Callable[[Showing], bool], seconds: float = 60) -> Showing:
    """Wait until what is shown is as wanted."""
    ends = monotonic() + seconds
    while not wanted(renewal.live.now):
        assert monotonic() < ends, renewal.live.now
        sleep(0.02)
    return renewal.live.now


@pytest.fixture
def served(design: Path) -> Iterator[Callable[[Path], Renewal]]:
    """Begins to follow a file, as the command does."""
    ended, made = Event(), list[Renewal]()

    def begin(path: Path) -> Renewal:
        renewal = Renewal(path, (), False)
        made.append(renewal)
        Thread(target=follow, args=(renewal, seen(path), ended), daemon=True).start()
        Thread(target=renewal.go_on, daemon=True).start()
        return renewal

    yield begin
    ended.set()
    for one in made:
        one.end()


class _Counted:
    """What a file that changed is reported to."""

    beside = None

    def __init__(self, path: Path):
        self.path, self.heard = path, Event()

    def changed(self) -> None:
        self.heard.set()


def test_what_was_saved_before_the_folder_was_watched_is_reported_too(design: Path) -> None:
    """The page was made of an older file, and nothing changes in the folder from then on."""
    ended, before = Event(), seen(design)
    design.write_text(FIRST.replace("First drawing", "Second drawing"), encoding="utf-8")
    for was, said in ((before, True), (seen(design), False)):
        renewal = _Counted(design)
        following = Thread(target=follow, args=(renewal, was, ended), daemon=True)
        following.start()
        assert renewal.heard.wait(30 if said else 1.5) is said
        ended.set()
        following.join(30)
        assert not following.is_alive()
        ended.clear()


@pytest.mark.long
def test_it_follows_the_file_wherever_it_goes(design: Path, served: Callable[[Path], Renewal]) -> None:
    renewal = served(design)
    until(renewal, lambda now: now.number == 1 and not now.busy)
    design.write_text(FIRST.replace("First drawing", "Second drawing"), encoding="utf-8")
    assert b"Second drawing" in until(renewal, lambda now: now.number == 2).page
    design.unlink()
    gone = until(renewal, lambda now: bool(now.mistakes))
    assert "is not there" in gone.mistakes and b"Second drawing" in gone.page
    shutil.rmtree(design.parent)
    sleep(1.2)
    design.parent.mkdir()
    design.write_text(FIRST, encoding="utf-8")
    back = until(renewal, lambda now: now.number == 3)
    assert b"First drawing" in back.page and not back.mistakes
    new = design.with_name("new~")
    new.write_text(FIRST.replace("First drawing", "Third drawing"), encoding="utf-8")
    os.replace(new, design)
    assert b"Third drawing" in until(renewal, lambda now: now.number == 4).page


@pytest.mark.long
def test_a_table_beside_it_counts_and_other_files_do_not(
    tmp_path: Path, served: Callable[[Path], Renewal]
) -> None:
    folder = tmp_path / "tables"
    shutil.copytree(TABLES, folder)
    path = next(folder.glob("*.design.yaml"))
    renewal = served(path)
    first = until(renewal, lambda now: now.number == 1 and not now.busy)
    assert renewal.beside and all((folder / name).is_file() for name in renewal.beside)
    (folder / "other.csv").write_text("not of this design")
    sleep(1.2)
    assert renewal.live.now == first
    table = folder / sorted(name for name in renewal.beside if name.endswith(".csv"))[0]
    content = table.read_bytes()
    table.unlink()
    lost = until(renewal, lambda now: bool(now.mistakes))
    assert f"there is no file `{table.name}`" in lost.mistakes and lost.page == first.page
    table.write_bytes(content)
    assert until(renewal, lambda now: not now.mistakes and not now.busy).number == 1


@pytest.mark.long
def test_a_newer_save_ends_the_review_of_an_older(design: Path) -> None:
    """Two changes at once: one page is made, that of the newest file, and one process is left."""
    slow = ROOT / "examples" / "tourer.design.yaml"
    design.write_bytes(slow.read_bytes())
    renewal = Renewal(design, (), False)
    renewal._begin()
    older = renewal._process
    assert older is not None and older.is_alive()
    design.write_text(FIRST, encoding="utf-8")
    renewal.changed()
    renewal.step()
    assert not older.is_alive()
    while renewal.live.now.busy:
        renewal.step()
    assert renewal.live.now.number == 1 and b"First drawing" in renewal.live.now.page
    assert multiprocessing.active_children() == []


def test_a_review_that_is_ended_from_outside_says_so_and_the_next_is_made(design: Path) -> None:
    renewal = Renewal(design, (), False)
    renewal._begin()
    assert renewal._process is not None
    renewal._process.kill()
    renewal.step()
    assert "its process was ended from outside" in renewal.live.now.mistakes and not renewal.live.now.busy
    renewal.changed()
    renewal.step()
    renewal.step()
    assert renewal.live.now.number == 1 and not renewal.live.now.mistakes
    renewal.end()
