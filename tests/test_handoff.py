"""The folder that is handed over: its numbers agree, it is the same each time, and it is put
nowhere but where it was wanted.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
import subprocess
import sys
import zipfile
from pathlib import Path

import jsonschema
import openpyxl
import pytest
from click.testing import CliRunner

from reviewer.analysis.facts import Facts
from reviewer.cli.folder import NotOurs, place_folder
from reviewer.cli.main import commands
from reviewer.model.parts import Battery
from reviewer.model.quantity_words import clock
from reviewer.questions.effects import Effect
from reviewer.reading import read_design
from reviewer.reports import wording
from reviewer.reports.effects import words
from reviewer.reports.handoff.contents import MANIFEST, as_csv, folder_files
from reviewer.reports.handoff.schedules.all_tables import not_computed, schedules
from reviewer.reports.handoff.schedules.schedule import Schedule
from reviewer.reports.handoff.solved import SolvedDesign
from reviewer.session import solved_file
from tests.fuzz.judge import computed
from tests.page.conftest import hostile_design

pytestmark = pytest.mark.long  # each test reads whole folders

ROOT = Path(__file__).parent.parent
TOURER = ROOT / "examples" / "tourer.design.yaml"


@pytest.fixture(scope="module")
def solved() -> SolvedDesign:
    return solved_file(TOURER)


@pytest.fixture(scope="module")
def facts() -> Facts:
    """What the engine solves by itself, apart from what was handed over."""
    return Facts(read_design(TOURER))


@pytest.fixture(scope="module")
def schedule(solved: SolvedDesign) -> dict[str, Schedule]:
    """The schedules of the folder by their keys."""
    return {table.key: table for table in schedules(solved)}


@pytest.fixture(scope="module")
def files(solved: SolvedDesign) -> dict[str, bytes]:
    return folder_files(solved)


def rows(content: bytes) -> list[list[str]]:
    """The headings and rows of a schedule, below its first line, which is a comment with the cautions."""
    comment, _, table = content.decode("utf-8-sig").partition("\r\n")
    assert comment == f"# {wording.SHORT_CAUTION}"
    return list(csv.reader(io.StringIO(table, newline="")))


def test_every_deliverable_is_there_and_the_manifest_names_each_with_its_digest(
    files: dict[str, bytes],
) -> None:
    wanted = {
        "design.yaml", "page.html", "brief.html", "schedules.xlsx", "review.json", "review.sarif", "manifest.json", "wire-list.csv", "circuit-protection.csv",
        "switch-states.csv", "ground-map.csv", "failure-effects.csv", "latent-failures.csv", "declared-loads.csv", "parts.csv", "test-cards.csv", "trouble-shooting.csv", "checklists.csv", "indications.csv",
        "placards-and-checklists.csv", "power-up-cards.csv", "notes.csv", "concessions.csv", "currents.csv", "voltages.csv", "monitor-readings.csv", "operating-assumptions.csv", "charging.csv", "overvoltage.csv",
        "cover.csv", "wire-summary.csv", "terminals.csv", "work.csv", "open-work.csv", "wire-currents.csv", "voltage-drops.csv", "connectors.csv", "ring-terminals.csv", "bundles.csv",
        "bulkheads.csv", "interfaces.csv", "labels.csv", "stated-data.csv", "endurance.csv", "discharge-timeline.csv", "function-endurance.csv", "endurance-assumptions.csv", "generating-capacity.csv", "parasitic-drain.csv", "capacity-tests.csv", "printed-endurance.csv",
    }  # fmt: skip
    assert set(files) == wanted
    manifest = json.loads(files[MANIFEST])
    jsonschema.Draft202012Validator(
        json.loads((ROOT / "schemas" / "handoff.schema.json").read_text(encoding="utf-8"))
    ).validate(manifest)
    assert {e["name"] for e in manifest["files"]} == wanted - {MANIFEST}
    for entry in manifest["files"]:
        assert entry["sha256"] == hashlib.sha256(files[entry["name"]]).hexdigest() and entry["bytes"] == len(
            files[entry["name"]]
        )
    assert manifest["design"]["sha256"] == hashlib.sha256(TOURER.read_bytes()).hexdigest()
    assert "second opinion" in " ".join(manifest["cautions"])


def test_the_numbers_of_all_files_agree(solved: SolvedDesign, files: dict[str, bytes]) -> None:
    manifest, review = json.loads(files[MANIFEST]), json.loads(files["review.json"])["reviews"][0]
    sarif = json.loads(files["review.sarif"])["runs"][0]
    counts, page = manifest["counts"], files["page.html"].decode()
    assert (
        counts["findings"]
        == review["counts"]["findings"]
        == sum(r["kind"] == "fail" and not r.get("suppressions") for r in sarif["results"])
    )
    assert (
        counts["not_assessed"] == len(review["missing_data"])
        and counts["parts"] == review["parts"]
        and counts["states"] == len(review["states"])
    )
    assert (
        len(rows(files["wire-list.csv"])) - 1
        == counts["wires"]
        == review["wires"]
        == len(solved.design.wires)
    )
    heads, *parts = rows(files["parts.csv"])
    assert sum(float(r[heads.index("quantity")]) for r in parts) == counts["parts"]
    metres = sum(w.length for w in solved.design.wires.values())
    heads, *wire = rows(files["wire-summary.csv"])
    lengths = [float(r[heads.index("length, m")]) for r in wire]
    assert sum(lengths[:-1]) == pytest.approx(metres) and lengths[-1] == pytest.approx(metres)
    heads, *wire = rows(files["wire-list.csv"])
    assert sum(float(r[heads.index("length, m")]) for r in wire) == pytest.approx(metres)
    data = json.loads(
        page.partition('<script type="application/json" id="data">')[2].partition("</script>")[0]
    )
    _, *alike = rows(files["failure-effects.csv"])
    assert len(data["states"][0]["failures"]) == sum(int(row[0]) for row in alike)
    assert len(alike) == counts["rows"]["failure-effects"]
    named = [s["name"] for s in data["states"]]
    assert sorted(named) == sorted(review["states"]) and named[0] == solved.design.operation.normal
    states = rows(files["switch-states.csv"])
    for state, switches in review["states"].items():
        column = states[0].index(state)
        for switch, position in switches.items():
            assert next(r for r in states if r[0] == switch)[column] == position


def test_each_failure_stands_in_the_one_row_of_the_schedule_that_has_its_effect(
    solved: SolvedDesign, files: dict[str, bytes]
) -> None:
    """Failures are grouped, none is left out, and none stands beside what another one does."""
    _, *alike = rows(files["failure-effects.csv"])
    by_effect: dict[tuple[str, ...], list[Effect]] = {}
    for effect in solved.answers.effects.effects:
        local, lost, indication, redundancy = words.effect_cells(solved.design, effect)
        hazard = effect.hazard.word if effect.hazard is not None else ""
        by_effect.setdefault((local, lost, hazard, indication, redundancy), []).append(effect)
    assert sorted(tuple(row[2:]) for row in alike) == sorted(by_effect)
    for row in alike:
        same = by_effect[tuple(row[2:])]
        assert int(row[0]) == len(same)
        for effect in same:
            name = effect.at or effect.failure.element.partition("/")[2]
            mode = effect.mode if effect.at else effect.words
            assert re.search(rf"(^|[ ,]){re.escape(name)}(, [^;]*)? {re.escape(mode)}", row[1]), (name, mode)
    assert len(alike) < sum(map(len, by_effect.values())) / 3
    ranks = [row[4] for row in alike]
    assert ranks == sorted(ranks, key=["catastrophic", "hazardous", "major", "minor", "no effect", ""].index)


def test_each_sheet_of_the_workbook_is_printed_on_the_width_of_one_page(files: dict[str, bytes]) -> None:
    """A page of A4 in landscape takes 225 letters of 6.5 points; a step and the room for its reading stand on one sheet."""
    book = openpyxl.load_workbook(io.BytesIO(files["schedules.xlsx"]))
    for sheet in book:
        setup, widths = sheet.page_setup, {}
        for d in sheet.column_dimensions.values():
            widths |= dict.fromkeys(range(d.min, d.max + 1), int(d.width))
        assert (setup.fitToWidth or 1, int(setup.fitToHeight)) == (1, 0), sheet.title
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert (setup.orientation, int(setup.paperSize)) == ("landscape", 9), sheet.title
        assert sheet.print_title_rows == "$2:$2" and not sheet.print_title_cols, sheet.title
        assert (
            sheet.oddHeader.left.text == wording.SHORT_CAUTION and sheet.title in sheet.oddFooter.center.text
        )
        assert len(widths) == sheet.max_column and 0 < sum(widths.values()) <= 225, sheet.title
        for row in sheet.iter_rows(min_row=2):
            height = sheet.row_dimensions[row[0].row].height or 15
            lines = max(len(str(cell.value or "")) / (widths[cell.column] + 1) for cell in row)
            assert lines * 15 <= height <= 405, (sheet.title, row[0].row)  # a space at the end takes no room
    assert len(book.sheetnames) > 30 and "power-up-cards" in book.sheetnames


def test_the_workbook_says_what_the_tables_say(
    solved: SolvedDesign, schedule: dict[str, Schedule], files: dict[str, bytes]
) -> None:
    book = openpyxl.load_workbook(io.BytesIO(files["schedules.xlsx"]))
    every = list(schedule.values())
    assert book.sheetnames == [t.key[:31] for t in every] and every[0].key == "cover"
    for table in every:
        sheet = book[table.key[:31]]
        caution, *told = (
            tuple("" if v is None else v for v in row) for row in sheet.iter_rows(values_only=True)
        )
        assert caution[0] == wording.SHORT_CAUTION and not any(caution[1:])
        assert told == [table.columns, *table.rows]
        written = rows(files[f"{table.key}.csv"])
        assert len(written) == len(told)
    assert solved.file.sha256 in [row[1].value for row in book["cover"].iter_rows()]


def test_the_tables_say_what_the_engine_solved(schedule: dict[str, Schedule], facts: Facts) -> None:
    states = schedule["switch-states"]
    for answer in facts.states.answers():
        column = states.columns.index(answer.state.name)
        for row in states.rows:
            if f"parts/{row[0]}" in answer.healthy.powered:
                assert (row[column] not in ("off", "fed, no return")) == bool(
                    answer.healthy.powered[f"parts/{row[0]}"]
                )
    dispatch = facts.states.answer(facts.design.operation.normal)
    lanes = {f.element: i for i, f in enumerate(dispatch.failures) if f.mode == "open"}
    protectors = schedule["circuit-protection"]
    for row in protectors.rows:
        lane = lanes[f"parts/{row[0]}"]
        dead = [
            e.partition("/")[2]
            for e, m in dispatch.failed.powered.items()
            if dispatch.healthy.powered[e] and not m >> lane & 1
        ]
        assert row[protectors.columns.index("loads lost when open")] == ", ".join(dead)


def test_volts_and_amperes_are_those_of_the_operating_points_and_balance(
    solved: SolvedDesign, schedule: dict[str, Schedule], facts: Facts
) -> None:
    amperes, volts, readings = schedule["currents"], schedule["voltages"], schedule["monitor-readings"]
    for state in solved.answers.points.points:
        point, column = facts.points.operating_point(state), amperes.columns.index(f"{state}, A")
        by_name = {(r[0], r[1]): r[column] for r in amperes.rows}
        for element, given in point.given.items():
            assert by_name[element.partition("/")[2], "source output"] == pytest.approx(given, abs=0.006)
        given, taken = (
            sum(r[column] for r in amperes.rows if r[1].endswith(words))
            for words in (("source output",), ("load current", "coil current"))
        )
        # what the sources give goes into loads and coils; what else there is (the field, sense leads) is small
        assert given == pytest.approx(taken, abs=3.5)
        column = volts.columns.index(f"{state}, V")
        for row in volts.rows:
            if row[1] == "load, supply to return":
                assert (row[column] or 0) == pytest.approx(
                    point.across.get(f"parts/{row[0]}", 0.0), abs=0.006
                )
    cards = {(r[0], r[4]): r[5] for r in schedule["test-cards"].rows}
    check = facts.design.watch.checks["reserve-charges"]
    for monitor in check.watch:
        row = next(r for r in readings.rows if r[0] == monitor)
        assert cards["check reserve-charges", monitor] == row[readings.columns.index(check.state)]


def test_the_volts_of_charging_are_those_of_the_operating_points_and_a_runaway_ends_at_the_trip(
    schedule: dict[str, Schedule], facts: Facts
) -> None:
    charging, runaway = schedule["charging"], schedule["overvoltage"]
    held = {(r[0], r[1]): r for r in charging.rows if r[2] == "as normal flight leaves it"}
    assert {name for name, _ in held} == {"main-battery", "reserve-battery"}
    for flown in (f for f in facts.points.flown if facts.states.declared[f.state].use == "flight"):
        point = facts.points.point(flown)
        for name in ("main-battery", "reserve-battery"):
            assert held[name, str(flown)][3] == pytest.approx(
                point.volts[f"{name}.positive"] - point.volts[f"{name}.negative"], abs=0.006
            )
            assert held[name, str(flown)][7] == pytest.approx(-point.given[f"parts/{name}"], abs=0.006)
    assert [r[0] for r in charging.rows if str(r[2]).startswith("flat")] == [
        "main-battery",
        "reserve-battery",
    ]
    assert [r[:3] for r in runaway.rows] == [("alternator", "before it trips at 16.2 V", 16.2)]


def test_minutes_on_battery_are_the_same_in_tables_chart_and_command(
    solved: SolvedDesign, schedule: dict[str, Schedule], files: dict[str, bytes], facts: Facts
) -> None:
    page = files["page.html"].decode("utf-8")
    told = " ".join(
        CliRunner().invoke(commands, ["budget", str(TOURER)], catch_exceptions=False).stdout.split()
    )
    for row in schedule["endurance"].rows:
        found = facts.endurance.endurance_of(row[0])
        minutes, margin = found.seconds / 60, (found.seconds - found.wanted) / 60
        assert row[4] == pytest.approx(found.wanted / 60)
        assert 0 <= minutes - row[3] < 0.1 and 0 <= margin - row[5] < 0.1  # never more than there is
        assert (
            f"{row[0]}: {clock(found.seconds)}, {clock(found.wanted)} required" in page
            and f"endurance {clock(found.seconds)}, required {clock(found.wanted)}" in told
        )
        stretches = [r for r in schedule["discharge-timeline"].rows if r[0] == row[0]]
        assert sum(r[3] for r in stretches) == pytest.approx(row[3], abs=0.16) and stretches[-1][
            6
        ] == pytest.approx(100 * found.found.charge, abs=0.06)
    assert "endurance" not in " ".join(not_computed(solved))
    for row in schedule["generating-capacity"].rows:
        flown = next(f for f in facts.points.flown if f.phase == row[0])
        given = facts.points.operating_point(flown.state, flown.phase).given
        batteries = {f"parts/{n}" for n in facts.design.of_kind(Battery)}
        if row[2] == "batteries alone":
            assert not any(amps > 0 for source, amps in given.items() if source not in batteries)
        else:
            assert row[3] == pytest.approx(given[f"parts/{row[2]}"], abs=0.006)
    # the line of the chart ends where the battery does: at the bottom, at its minute on the axis
    lines = re.findall(r'class="charge c\d"[^>]* points="([^"]+)"', page)
    ends_at = {row[0]: row[3] for row in schedule["endurance"].rows}
    last = max(max(row[3], row[4]) for row in schedule["endurance"].rows)
    for points, minutes in zip(lines, ends_at.values(), strict=True):
        x, y = map(float, points.split()[-1].split(","))
        assert (x, y) == (pytest.approx(64 + 600 * minutes / last, abs=2), pytest.approx(34 + 220, abs=0.1))


@pytest.mark.long
def test_the_same_design_gives_the_same_bytes_in_another_process(
    files: dict[str, bytes], tmp_path: Path
) -> None:
    """The folder that the command makes is the one that was made here, where hashes have another seed."""
    out = tmp_path / "out"
    command = [sys.executable, "-m", "reviewer", "handoff", str(TOURER), "--out", str(out)]
    subprocess.run(
        command,
        check=True,
        capture_output=True,
        cwd=tmp_path,
        env={"PYTHONPATH": str(ROOT), "PYTHONHASHSEED": "1", "PATH": ""},
    )
    assert {p.name for p in out.iterdir()} == set(files)
    for name, content in files.items():
        assert (out / name).read_bytes() == content, name
    times = {i.date_time for i in zipfile.ZipFile(out / "schedules.xlsx").infolist()}
    assert times == {(1980, 1, 1, 0, 0, 0)}


@pytest.mark.parametrize(
    "cell",
    [
        *("=1+1", "+1", "-1", "@SUM(A1)", " =1+1", "＝1+1", "\t=1", "\r=1", "=cmd|'/c calc'!A1"),
        *("-31.05 A+1", "-31.05 A1", "-31.05 A\n=1", " -31.05 A", "－31.05 A", "+31.05 A", "-31.05  A"),
        *("-31.05 Q", "-1-1 A", "-A", "-31.05 A|x!y", "-３ A", "-5 %", "-31.05 A "),
    ],
)
def test_no_cell_is_a_formula(cell: str) -> None:
    written = rows(as_csv(Schedule("t", "T", "", ("a",), ((cell,),))))[1][0]
    assert written[0] == "'" or written[0] == "\\"


@pytest.mark.parametrize("cell", ["-31.05 A", "-0.02 V", "-12,600 s", "-7 mA", "-10 C"])
def test_a_figure_below_zero_with_its_unit_is_text_to_a_spreadsheet(cell: str) -> None:
    assert rows(as_csv(Schedule("t", "T", "", ("a",), ((cell,),))))[1] == [cell]
    assert not computed(cell)


@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "＝", "＋", "－", "＠"])
def test_no_command_writes_a_name_that_a_spreadsheet_computes(sign: str, tmp_path: Path) -> None:
    name = f"{sign}1+1"
    design = tmp_path / "x.yaml"
    text = (ROOT / "reviewer" / "starter.design.yaml").read_text(encoding="utf-8")
    for old in ("left-ignition", "main-battery", "main-bus"):
        text = re.sub(
            rf"(?<=[\s\[]){old}(?![\w-])(\.[\w-]+)?", lambda m, o=old: f"'{name}{o}{m[1] or ''}'", text
        )
    design.write_text(text, encoding="utf-8")
    written = {
        command: CliRunner().invoke(commands, [command, str(design), "--as", "csv"]).stdout
        for command in ("effects", "solve", "wires", "budget")
    }
    for command, table in written.items():
        cells = [cell for row in csv.reader(io.StringIO(table, newline="")) for cell in row]
        assert any(f"'{name}" in cell for cell in cells), command
        assert not [cell for cell in cells if computed(cell)], command
    numbers = [cell for row in csv.reader(io.StringIO(written["solve"], newline="")) for cell in row]
    assert any(cell.startswith("-") and float(cell) < 0 for cell in numbers)


def test_numbers_stay_numbers_and_text_stays_text() -> None:
    assert rows(as_csv(Schedule("t", "T", "", ("a", "b"), ((1.5, 'x, "y"'),))))[1] == ["1.5", 'x, "y"']


def test_a_hostile_design_makes_a_folder_of_plain_names(tmp_path: Path) -> None:
    design = tmp_path / "x.yaml"
    design.write_text(hostile_design().replace("LEFT IGNITION", "=HYPERLINK(1)"), encoding="utf-8")
    made = folder_files(solved_file(design))
    assert all(set(name) <= set("abcdefghijklmnopqrstuvwxyz-.") for name in made)
    assert "'=HYPERLINK(1)" in made["placards-and-checklists.csv"].decode()
    book = openpyxl.load_workbook(io.BytesIO(made["schedules.xlsx"]))
    assert all(cell.data_type != "f" for sheet in book for row in sheet.iter_rows() for cell in row)


def test_a_former_folder_is_replaced_and_nothing_else_is(tmp_path: Path, files: dict[str, bytes]) -> None:
    out = tmp_path / "out"
    place_folder(out, files)
    assert {p.name: p.read_bytes() for p in out.iterdir()} == files
    fewer = {k: v for k, v in files.items() if k != "concessions.csv"}
    place_folder(out, fewer)
    assert {p.name for p in out.iterdir()} == set(fewer) and list(tmp_path.iterdir()) == [out]
    (out / "own-notes.txt").write_text("mine")
    with pytest.raises(NotOurs, match="own-notes"):
        place_folder(out, files)
    (out / "own-notes.txt").unlink()
    (out / "wire-list.csv").write_text("changed")
    with pytest.raises(NotOurs, match="changed"):
        place_folder(out, files)
    assert (out / "wire-list.csv").read_text() == "changed" and list(tmp_path.iterdir()) == [out]


def test_what_is_not_ours_is_left_as_it_is(tmp_path: Path, files: dict[str, bytes]) -> None:
    full, single, link, empty = tmp_path / "full", tmp_path / "single", tmp_path / "link", tmp_path / "empty"
    full.mkdir()
    (full / "a.txt").write_text("a")
    single.write_text("a file")
    link.symlink_to(full)
    for place in (full, single, link):
        with pytest.raises(NotOurs):
            place_folder(place, files)
    assert [p.name for p in full.iterdir()] == ["a.txt"] and single.read_text() == "a file"
    for forged in (
        "{",
        "[]",
        '{"format": "circuit-handoff/1"}',
        '{"format": "circuit-handoff/1", "files": 3}',
        "[" * 50_000,
    ):
        (full / MANIFEST).write_text(forged)
        with pytest.raises(NotOurs):
            place_folder(full, files)
    empty.mkdir()
    place_folder(empty, files)
    assert (empty / MANIFEST).exists()


def test_a_stop_half_way_leaves_the_former_folder(
    tmp_path: Path, files: dict[str, bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "out"
    place_folder(out, files)
    real, calls = __import__("os").rename, []

    def broken(a, b):
        calls.append(b)
        if len(calls) == 2:
            raise OSError("stopped")
        real(a, b)

    monkeypatch.setattr("reviewer.cli.folder.os.rename", broken)
    with pytest.raises(OSError, match="stopped"):
        place_folder(out, files)
    assert {p.name: p.read_bytes() for p in out.iterdir()} == files and list(tmp_path.iterdir()) == [out]
    with pytest.raises(ValueError):
        place_folder(tmp_path / "new", {"../escape": b""})
    assert not (tmp_path.parent / "escape").exists() and list(tmp_path.iterdir()) == [out]
