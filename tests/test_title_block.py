"""The title block stands on everything that is handed over, and nothing that is written names the
machine on which it was made.
"""

from __future__ import annotations

import io
import shutil
import zipfile
from collections.abc import Iterator
from pathlib import Path
from unittest.mock import patch

import openpyxl
import pytest
from click.testing import CliRunner

from reviewer import session
from reviewer.analysis.facts import Facts
from reviewer.cli.main import commands
from reviewer.model.design import Design
from reviewer.reading import DesignFile, design_of, names_of
from reviewer.reports.handoff.contents import folder_files
from reviewer.session import solved_file

ROOT = Path(__file__).parent.parent
SMALL = ROOT / "tests" / "rules" / "bases" / "bench.yaml"
BLOCK = "title-block: {registration: serial 0042, revision: B, date: 2026-04-18, drawn: builder, checked: inspector}"
ENTRIES = ("serial 0042", "B", "2026-04-18", "builder", "inspector")
WRITES = (
    ["review", "{}", "--out", "OUT"],
    ["review", "{}", "{other}", "--out", "OUT"],
    ["review", "{}", "--as", "json", "--out", "OUT"],
    ["review", "{}", "--as", "sarif", "--out", "OUT"],
    ["effects", "{}", "--as", "json", "--out", "OUT"],
    ["solve", "{}", "--out", "OUT"],
    ["solve", "{}", "--as", "csv", "--out", "OUT"],
    ["budget", "{}", "--out", "OUT"],
    ["wires", "{}", "--as", "json", "--out", "OUT"],
    ["graph", "{}", "--as", "json", "--out", "OUT"],
    ["graph", "{}", "--as", "graphml", "--out", "OUT"],
    ["checklists", "{}", "--out", "OUT"],
    ["checklists", "{}", "--as", "html", "--out", "OUT"],
    ["review", "{}", "{other}", "--as", "lines", "--out", "OUT"],
    ["diagnose", "{}", "--dark", "audio-panel", "--as", "json", "--out", "OUT"],
    ["expand", "{}", "--out", "OUT"],
    ["brief", "{}", "--out", "OUT"],
    ["compare", "{}", "{other}", "--out", "OUT"],
    ["compare", "{}", "{other}", "--as", "json", "--out", "OUT"],
    ["compare", "{}", "{other}", "--as", "sarif", "--out", "OUT"],
    ["report", "{}", "--out", "OUT"],
    ["handoff", "{}", "--out", "OUT"],
)


def titled() -> str:
    """A small sound design with a title block."""
    text = SMALL.read_text(encoding="utf-8")
    assert "aircraft: {" in text
    return text.replace("aircraft: {", f"aircraft: {{{BLOCK}, ", 1)


@pytest.fixture(scope="module")
def folders(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, Path]]:
    """Two folders with the same designs. What is worked out of a file is kept by the name that the command
    was given, for all commands.
    """
    base = tmp_path_factory.mktemp("titled")
    found = base / "here", base / "elsewhere" / "deeper"
    for folder in found:
        folder.mkdir(parents=True)
        for name in ("one.design.yaml", "two.design.yaml"):
            (folder / name).write_text(titled(), encoding="utf-8")
    designs: dict[str, Design] = {}
    known: dict[int, Facts] = {}

    def read_once(file: DesignFile) -> Design:
        name = str(file.path)
        if name not in designs:
            designs[name] = design_of(file)
        return designs[name]

    def worked_out_once(design: Design) -> Facts:
        if id(design) not in known:
            known[id(design)] = Facts(design)
        return known[id(design)]

    with patch.object(session, "design_of", read_once), patch.object(session, "Facts", worked_out_once):
        yield found


def written(
    arguments: list[str], folder: Path, named: Path, monkeypatch: pytest.MonkeyPatch
) -> dict[str, bytes]:
    """What a command writes, run in ``folder`` on designs that are named as lying in ``named``."""
    monkeypatch.chdir(folder)
    places = {"{}": named / "one.design.yaml", "{other}": named / "two.design.yaml", "OUT": Path("out")}
    done = CliRunner().invoke(commands, [str(places.get(word, word)) for word in arguments])
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    out = folder / "out"
    made = {p.name: p.read_bytes() for p in (sorted(out.iterdir()) if out.is_dir() else [out])}
    shutil.rmtree(out) if out.is_dir() else out.unlink()
    return made


@pytest.mark.parametrize(
    "arguments",
    [
        pytest.param(words, id=" ".join(words), marks=() if words[0] == "handoff" else pytest.mark.long)
        for words in WRITES
    ],
)
def test_the_same_file_gives_the_same_bytes_in_any_folder(
    arguments: list[str], folders: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    here, there = folders
    one = written(arguments, here, Path(), monkeypatch)
    two = written(arguments, there, there, monkeypatch)  # named by its absolute path
    assert one and one == two
    for name, content in one.items():
        for text in _pieces(content):
            assert str(here.parent).encode() not in text and str(ROOT).encode() not in text, name


def _pieces(content: bytes) -> list[bytes]:
    """The content, or that of each file in a workbook."""
    if not content.startswith(b"PK"):
        return [content]
    with zipfile.ZipFile(io.BytesIO(content)) as book:
        return [book.read(name) for name in book.namelist()]


def test_files_of_one_name_are_told_apart_by_as_much_of_their_paths_as_it_takes() -> None:
    assert names_of([Path("/a/old/x.yaml"), Path("/a/new/x.yaml")]) == ["old/x.yaml", "new/x.yaml"]
    assert names_of([Path("/a/x.yaml"), Path("/a/y.yaml"), Path("b/x.yaml")]) == [
        "a/x.yaml",
        "y.yaml",
        "b/x.yaml",
    ]
    assert names_of([Path("/a/x.yaml"), Path("/a/x.yaml")]) == ["x.yaml", "x.yaml"]


def test_page_cards_sheets_and_workbook_show_the_title_block(tmp_path: Path) -> None:
    path = tmp_path / "titled.design.yaml"
    path.write_text(titled(), encoding="utf-8")
    solved = solved_file(path)
    files = folder_files(solved)
    page = files["page.html"].decode("utf-8")
    line = f"{solved.design.aircraft.name}, serial 0042, revision B of 2026-04-18"
    assert page.count(f'<p class="quiet">{line}</p>') == page.count('<article class="card">') > 0
    for what, value in zip(
        ("registration or serial", "revision", "date", "drawn", "checked"), ENTRIES, strict=True
    ):
        assert f"{what} <b>{value}</b>" in page
        assert f"title block,{what},{value}" in files["notes.csv"].decode("utf-8-sig")
    book = openpyxl.load_workbook(io.BytesIO(files["schedules.xlsx"]))
    about = {row[0].value: row[1].value for row in book["cover"].iter_rows()}
    assert (about["registration or serial"], about["revision"], about["checked"]) == (
        "serial 0042",
        "B",
        "inspector",
    )
    assert line in book["wire-list"].oddFooter.left.text


def test_a_design_without_a_title_block_shows_no_empty_one(tmp_path: Path) -> None:
    page = folder_files(solved_file(SMALL))["page.html"].decode("utf-8")
    assert "registration or serial" not in page.partition("<script")[0].partition('class="sheets"')[0]
