"""Load lists and wire lists in spreadsheets: what they make, where their mistakes are, and what is never read."""

from __future__ import annotations

import hashlib
import io
import json
import os
import zipfile
from pathlib import Path
from typing import Any

import pytest
import xlsxwriter
import yaml
from click.testing import CliRunner

from reviewer.cli.main import commands
from reviewer.model.places import CellPlace
from reviewer.reading import Problem, Unreadable, beside, read_design, read_file, read_text
from reviewer.reading.beside import FilesBeside
from reviewer.reading.circuits.expand import expanded
from reviewer.reading.spreadsheets import workbook_sheet
from reviewer.reading.spreadsheets.sheet_rows import SheetRow, Spreadsheet
from reviewer.reports.handoff.contents import MANIFEST, folder_files
from reviewer.reports.review.json import as_json
from reviewer.reports.review.problem_lines import as_lines
from reviewer.reports.review.sarif import as_sarif
from reviewer.reports.review.text import as_text
from reviewer.session import review_file, solved_file

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "examples" / "tables"
PARTS = "battery: {kind: battery}, main-bus: {kind: bus}, ground: {kind: ground-block}, beacon: {kind: load, current: 2 A}"
LOADS = "load: Item, bus: Bus, protection: Prot, rating: Rating (A), amperes: Amps, gauge: AWG, length: Run (ft), switch: Sw"
HEADS = ["Item", "Bus", "Prot", "Rating (A)", "Amps", "AWG", "Run (ft)", "Sw", "Note"]
WIRES = "number: Wire, from: A, from-terminal: Pin A, to: B, to-terminal: Pin B, gauge: AWG, length: Length, type: Type"
WIRE_HEADS = ["Wire", "A", "Pin A", "B", "Pin B", "AWG", "Length", "Type"]


def design(*tables: str, parts: str = PARTS, more: str = "") -> str:
    made = "\n".join(f"  - {{{table}}}" for table in tables)
    return f"format: 1\naircraft: {{name: x, nominal: 14 V, airframe: metal, stage: concept}}\nparts: {{{parts}}}\n{more}tables:\n{made}\n"


def loads(columns: str = LOADS, back: str = "return: ground", more: str = "", file: str = "loads.csv") -> str:
    return ", ".join(filter(None, (f"file: {file}, list: loads, columns: {{{columns}}}", back, more)))


def wires(columns: str = WIRES, more: str = "", file: str = "wires.csv") -> str:
    return ", ".join(filter(None, (f"file: {file}, list: wires, columns: {{{columns}}}", more)))


def grid(*rows: list[Any], heads: list[str] = HEADS) -> list[list[Any]]:
    return [heads, *rows]


def as_csv(rows: list[list[Any]], delimiter: str = ",") -> bytes:
    import csv

    text = io.StringIO(newline="")
    csv.writer(text, delimiter=delimiter).writerows(rows)
    return text.getvalue().encode()


def as_xlsx(rows: list[list[Any]], name: str = "Sheet1", saved: dict[str, Any] | None = None) -> bytes:
    """A workbook; text that begins with ``=`` is a formula whose saved value is in ``saved``."""
    made = io.BytesIO()
    with xlsxwriter.Workbook(made, {"in_memory": True}) as book:
        sheet = book.add_worksheet(name)
        for number, row in enumerate(rows):
            for column, value in enumerate(row):
                if isinstance(value, str) and value.startswith("="):
                    sheet.write_formula(number, column, value, None, (saved or {}).get(value, ""))
                elif value not in ("", None):
                    sheet.write(number, column, value)
    return made.getvalue()


def given(**files: bytes) -> FilesBeside:
    tables = FilesBeside(Path("nowhere"))
    tables.contents.update({name.replace("_", "."): content for name, content in files.items()})
    return tables


def mistakes(text: str, tables: FilesBeside) -> list[Problem]:
    with pytest.raises(Unreadable) as caught:
        read_text(text, "x.design.yaml", tables)
    return caught.value.problems


def told(text: str, tables: FilesBeside) -> list[tuple[str, str]]:
    """Cell, or line of the design file, and the first words of each mistake."""
    return [
        (f"{p.cell.letters}{p.cell.row}" if p.cell else str(p.line), p.message)
        for p in mistakes(text, tables)
    ]


RADIO = ["radio", "main-bus", "breaker", 5, 1.2, 20, 4, "", "a note"]
LAMP = ["lamp", "main-bus", "Fuse", 7.5, "55 W", "18 AWG", "2 m", "lamp-switch", ""]


def test_a_row_is_the_circuit_that_a_path_says() -> None:
    paths = (
        "circuits:\n"
        "  radio: main-bus + breaker 5 A > 20 AWG 4 ft > radio (1.2 A) > ground\n"
        "  lamp: main-bus + fuse 7.5 A > 18 AWG > switch as lamp-switch > 18 AWG 2 m > lamp (55 W) > ground\n"
    )
    one = read_text(design(parts=PARTS, more=paths).partition("tables:")[0], "x")
    rows = grid(RADIO, LAMP)
    for files in ({"loads_csv": as_csv(rows)}, {"loads_xlsx": as_xlsx(rows)}):
        name = next(iter(files)).replace("_", ".")
        assert read_text(design(loads(file=name)), "x", given(**files)) == one


def test_every_column_of_a_load_list_is_read() -> None:
    columns = (
        f"{LOADS}, peak: Peak, return: Gnd, return-gauge: Gnd AWG, return-length: Gnd ft, switch-length: Sw ft, circuit: Circuit, "
        "protection-name: CB, protection-label: Label, kind: Kind, minimum: Min V, type: Type, zone: Zone"
    )
    row = ["radio", "main-bus", "CB", 5, 1.2, 20, 4, "radio-switch", "", "~2 A", "ground", 18, 3, 1, "R3", "CB1", "RADIO 1", "Load", 9, "electronic", "panel"]  # fmt: skip
    heads = [
        *HEADS,
        "Peak",
        "Gnd",
        "Gnd AWG",
        "Gnd ft",
        "Sw ft",
        "Circuit",
        "CB",
        "Label",
        "Kind",
        "Min V",
        "Type",
        "Zone",
    ]
    text = design(
        loads(columns, "", "words: {CB: breaker (reset trip-free)}"),
        more="wire-numbers: letter number segment gauge ground\n",
    )
    long = yaml.safe_load(expanded(text.encode(), "x", given(loads_csv=as_csv(grid(row, heads=heads)))))
    assert long["parts"]["CB1"] == {
        "kind": "breaker",
        "label": "RADIO 1",
        "reset": "trip-free",
        "rating": "5 A",
        "plugged-on": "main-bus",
    }
    assert long["parts"]["radio"] == {
        "kind": "load", "current": "1.2 A", "peak": "~2 A", "minimum": "9 V", "type": "electronic", "zone": "panel",
    }  # fmt: skip
    assert long["wires"] == {
        "R3A20": {"from": "CB1.load", "to": "radio-switch.line", "gauge": "20 AWG", "length": "1 ft"},
        "R3B20": {"from": "radio-switch.load", "to": "radio.supply", "gauge": "20 AWG", "length": "4 ft"},
        "R3C18N": {"from": "radio.return", "to": "ground.radio", "gauge": "18 AWG", "length": "3 ft"},
    }


def test_a_wire_list_names_terminals_and_poles_and_estimates_no_direction() -> None:
    rows = [
        ["1", "battery", "+", "main-bus", "", "8 AWG", "2 ft", "etfe 150 C"],
        [2, "ground", "", "battery", "-", "AWG 8", "24 in", "rubber"],
        [3, "beacon", "-", "ground.tab-3", "-", "#20", "1 m", ""],
    ]
    made = read_text(design(wires()), "x", given(wires_csv=as_csv(grid(*rows, heads=WIRE_HEADS)))).wires
    assert {n: (w.from_, w.to) for n, w in made.items()} == {
        "1": ("battery.positive", "main-bus.1"),
        "2": ("ground.2", "battery.negative"),
        "3": ("beacon.return", "ground.tab-3"),
    }
    assert (made["1"].insulation, made["2"].insulation_material, made["3"].gauge.awg) == (
        150.0,
        "rubber",
        "20",
    )
    # a dash says nothing where no plus marks the other pole; a wire to a load does not say at which end it is
    rows = [["1", "battery", "-", "main-bus", "", 8, 1, ""], ["2", "ground", "", "beacon", "", 20, 1, ""]]
    assert told(design(wires(more="units: {length: m}")), given(wires_csv=as_csv(grid(*rows, heads=WIRE_HEADS)))) == [
        ("B2", "wire 1: at which terminal of the battery `battery`? It has positive, negative; write for example `battery.positive`"),
        ("D3", "wire 2: at which terminal of the load `beacon`? It has supply, return; write for example `beacon.supply`"),
    ]  # fmt: skip


#: what stands in row 2, and each mistake of it
LOAD_MISTAKES: list[tuple[list[Any], list[tuple[str, str]]]] = [
    (["radio", "main-bus", "CB", 5, 1.2, 20, 4, ""], [("C2", "`CB` is not a kind of circuit protection; it may be `breaker`")]),
    (["radio", "main-buss", "breaker", 5, 1.2, 20, 4, ""], [("B2", "there is no part `main-buss` (did you mean `main-bus`?)")]),
    (["radio", "", "breaker", 5, 1.2, 20, 4, ""], [("B2", "this row names no bus")]),
    (["", "main-bus", "breaker", 5, 1.2, 20, 4, ""], [("A2", "this row names no load")]),
    (["radio", "main-bus", "breaker", 5, "1,2", 20, "3 furlong", ""], [("E2", "`1,2` has a comma in the number; write `1.2`"), ("G2", "`3` has no known unit")]),
    (["radio", "main-bus", "breaker", "5 V", 1.2, 20, 4, "yes"], [("D2", "`5 V` is not a current"), ("H2", "`yes` is not the name of a switch")]),
    (["radio", "main-bus", "", 5, 1.2, 20, 4, ""], [("D2", "`5` of which kind of protection?")]),
    (["beacon", "main-bus", "breaker", 5, 1.5, 20, 4, ""], [("E2", "`beacon` is made elsewhere already, with `current: 2 A` there")]),
    (["No. 1 radio", "main-bus", "breaker", 5, 1.2, 20, 4, ""], [("A2", "the name `No. 1 radio` must not contain a dot")]),
    (["radio", "main-bus", "breaker", "5 A", "two", 20, 4, "none"], [("E2", "`two` is not a current or power"), ("H2", "`none` is not the name of a switch")]),
]  # fmt: skip


@pytest.mark.parametrize("number", range(len(LOAD_MISTAKES)))
@pytest.mark.parametrize("ext", ["csv", "xlsx"])
def test_a_mistake_is_told_at_its_cell(number: int, ext: str) -> None:
    row, expected = LOAD_MISTAKES[number]
    content = (as_csv if ext == "csv" else as_xlsx)(grid(row))
    found = told(design(loads(file=f"loads.{ext}")), given(**{f"loads_{ext}": content}))
    assert [at for at, _ in found] == [at for at, _ in expected]
    assert all(words in message for (_, words), (_, message) in zip(expected, found, strict=True)), found


def test_wires_that_are_numbered_by_letters_ask_for_the_column_of_the_circuit() -> None:
    text = design(loads(), more="wire-numbers: letter number segment\n")
    found = told(text, given(loads_csv=as_csv(grid(RADIO, LAMP))))
    assert [(at, "name a column for `circuit`; so in 1 more row (3)" in message) for at, message in found if "letter" in message] == [("A2", True)]  # fmt: skip


def test_words_of_a_table_say_all_that_a_part_has() -> None:
    words = 'words: {CB: "breaker (reset trip-free)", LDG: "switch LIGHT as LDG (positions down/up, rating 10 A)"}'
    row = ["lamp", "main-bus", "CB", 5, 2, 20, 4, "LDG"]
    made = read_text(design(loads(more=words)), "x", given(loads_csv=as_csv(grid(row)))).parts
    assert (made["lamp-breaker"].reset, made["LDG"].rating, made["LDG"].label) == ("trip-free", 10.0, "LIGHT")
    assert list(made["LDG"].positions) == ["down", "up"]


def test_what_is_made_elsewhere_is_gone_through_and_must_agree() -> None:
    parts = f"{PARTS}, cb: {{kind: breaker, rating: 5 A, label: CB, plugged-on: main-bus}}, other-bus: {{kind: bus}}"
    parts += ", loose: {kind: breaker, rating: 5 A, label: X}, sw: {kind: switch, label: SW, positions: {down: [], up: [[a, b]]}}"
    rows = [["beacon", "main-bus", "cb", 5, 2, 20, 4, "sw"], ["lamp", "main-bus", "loose", "", 2, 20, 4, ""]]
    made = read_text(design(loads(), parts=parts), "x", given(loads_csv=as_csv(grid(*rows))))
    assert {(w.from_, w.to) for w in made.wires.values()} == {
        ("cb.load", "sw.a"), ("sw.b", "beacon.supply"), ("beacon.return", "ground.beacon"),
        ("loose.load", "lamp.supply"), ("lamp.return", "ground.lamp"),
    }  # fmt: skip
    rows = [["beacon", "other-bus", "cb", 7, 2, 20, 4, ""]]
    assert [at for at, _ in told(design(loads(), parts=parts), given(loads_csv=as_csv(grid(*rows))))] == [
        "B2",
        "D2",
    ]
    columns = "load: Item, bus: Bus, protection: Prot, rating: Rating (A)"
    rows = [["lamp", "man-bus", "breaker", 5]]
    found = told(design(loads(columns, "wires: elsewhere")), given(loads_csv=as_csv(grid(*rows))))
    assert [at for at, _ in found] == ["B2"] and "did you mean `main-bus`?" in found[0][1]


def test_a_mistake_of_a_whole_column_is_said_once_and_no_row_hides_another() -> None:
    rows = [[f"radio {i}", "Main Bus", "CB", i, 1.2, "20 AWG", 4, ""] for i in (1, 2, 3)]
    text = design(loads(LOADS.replace("Rating (A)", "Rating")))
    found = told(text, given(loads_csv=as_csv([[h.replace("Rating (A)", "Rating") for h in HEADS], *rows])))
    assert [(at, message.endswith("so in 2 more rows (3, 4)")) for at, message in found] == [("B2", True), ("C2", True), ("D2", True)]  # fmt: skip
    rows = [RADIO, RADIO, ["lamp", "main-bus", "breaker", 5, 1, 20, 1, "radio"]]
    found = told(design(loads()), given(loads_csv=as_csv(grid(*rows))))
    assert [at for at, _ in found] == [
        "A3",
        "H4",
    ] and "in loads.csv, row 2, column A (Item) already" in found[0][1]


@pytest.mark.parametrize(
    ("tables", "line", "words"),
    [
        (loads(back=""), "5", "where do its loads return to?"),
        (loads(f"{LOADS}, return: Note"), "5", "`return` stands here for the whole table, and a column holds it too"),
        (loads(f"{LOADS}, gague: Note"), "5", "`gague` is not a column of a list of loads (did you mean `gauge`?)"),
        (loads("load: Item"), "5", "needs a column `bus`, or `bus: NAME` for the whole table"),
        (loads(LOADS.replace("Amps", "Ampere")), "5", "no column with the head `Ampere` (did you mean `Amps`?); row 1 has Item, Bus"),
        (loads(more="units: {amperes: V}"), "5", "`V` is not a unit of `amperes`; it may be `A`"),
        (loads(more="rows: 5"), "5", "expected text"),
        (loads(more="rows: 9 to 5"), "5", "write the first and the last row of the list"),
        (loads(more="rows: 70 to 90"), "5", "has no rows below its heads in `rows: 70 to 90`"),
        (loads(more="wires: elsewhere", back=""), "5", "this table makes no wires"),
        (loads(more="sheet: Loads"), "5", "`loads.csv` has no sheets"),
        (loads(file="loads.ods"), "5", "save it as CSV or XLSX"),
        (loads(file="../loads.csv"), "5", "it must be in the folder of the design file"),
        (wires("number: Item, from: Bus, to: Prot", "return: ground", "loads.csv"), "5", "`return` belongs to a list of loads"),
        ("file: loads.csv, columns: {load: Item}", "5", "`list` is missing"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_table_itself_stands_in_the_design_file(
    tables: str, line: str, words: str
) -> None:
    found = told(design(tables), given(loads_csv=as_csv(grid(RADIO))))
    assert len(found) == 1 and found[0][0] == line and words in found[0][1], found


def test_a_list_that_is_not_read_makes_no_second_mistakes() -> None:
    rows = [["1", "battery", "+", "main-bus", "", 8, 1, ""], ["2", "cb", "", "radio", "+", 20, 1, ""]]
    listed = as_csv(grid(*rows, heads=WIRE_HEADS))
    text = design(
        loads(LOADS.replace("Item", "Itme")),
        wires(more="units: {length: m}"),
        more="circuits: {a: radio > main-bus}\n",
    )
    assert [at for at, _ in told(text, given(loads_csv=as_csv(grid(RADIO)), wires_csv=listed))] == ["6"]
    columns = "load: Item, bus: Bus, protection: Prot, rating: Rating (A), protection-name: Sw"
    text = design(loads(columns, "wires: elsewhere"), wires(more="units: {length: m}"))
    loads_csv = as_csv(grid(["radio", "man-bus", "breaker", 5, "", "", "", "cb"]))
    assert [at for at, _ in told(text, given(loads_csv=loads_csv, wires_csv=listed))] == ["B2"]


def test_no_return_is_assumed_and_a_returns_column_is_asked_of_each_row() -> None:
    found = told(
        design(loads(f"{LOADS}, return: Note", "")),
        given(loads_csv=as_csv(grid([*RADIO[:8], "ground"], [*LAMP[:8], ""]))),
    )
    assert found == [("I3", "load lamp: this row does not say where the load returns to; nothing is assumed")]


@pytest.mark.parametrize("form", ["utf-8", "utf-8-sig", "semicolon", "tab", "sep", "old mac"])
def test_csv_is_read_as_spreadsheets_write_it(form: str) -> None:
    rows = [["My, own; list"], [], HEADS, ["rädio", *RADIO[1:8], 'a "note",\nof two lines; and more'], LAMP]
    content = as_csv(rows, {"semicolon": ";", "tab": "\t", "sep": ";"}.get(form, ","))
    content = {
        "utf-8-sig": b"\xef\xbb\xbf" + content,
        "sep": b"sep=;\r\n" + content,
        "old mac": content.replace(b"\r\n", b"\r"),
    }.get(form, content)
    made = read_text(design(loads()), "x", given(loads_csv=content))
    assert {"rädio", "lamp", "lamp-switch"} < made.parts.keys() and made.tables[0].unread == ("Note",)
    lamp = made.places["parts/lamp"]
    assert (lamp.row, lamp.letters, lamp.cells[0]) == (6 if form == "sep" else 5, "A", "lamp")
    lines = io.StringIO(content.decode("utf-8-sig"), newline="").readlines()
    at = made.places["wires/lamp-2/length"]
    assert lines[at[0] - 1][at[1] - 1 :].startswith("2 m")


def test_a_decimal_comma_is_read_where_the_table_says_so_and_refused_elsewhere() -> None:
    content = as_csv(grid(["radio", "main-bus", "breaker", "7,5", "1,25", "20", "0,5", ""]), ";")
    made = read_text(design(loads(more="decimal: comma")), "x", given(loads_csv=content))
    assert (made.parts["radio"].current, made.parts["radio-breaker"].rating) == (1.25, 7.5)
    found = told(design(loads()), given(loads_csv=content))
    assert len(found) == 1 and "`decimal: comma` at the table" in found[0][1]
    wrong = told(design(loads(more="decimal: comma")), given(loads_csv=content.replace(b"7,5", b"7.5")))
    assert [at for at, _ in wrong] == ["D2"]


def test_units_stand_in_the_cell_the_head_or_the_design() -> None:
    row = ["radio", "main-bus", "breaker", 5, 1.2, 20, 4, ""]
    heads = ["Item", "Bus", "Prot", "Fuse size, A", "Max. amps", "Wire", "Length [in]", "Sw"]
    columns = 'load: Item, bus: Bus, protection: Prot, rating: "Fuse size, A", amperes: Max. amps, gauge: Wire, length: "Length [in]"'
    made = read_text(
        design(loads(columns, more="units: {gauge: mm2}")), "x", given(loads_csv=as_csv([heads, row]))
    )
    assert (made.wires["radio-1"].length, made.wires["radio-1"].gauge.area_mm2) == (4 * 0.0254, 20.0)
    assert told(design(loads(columns)), given(loads_csv=as_csv([heads, row]))) == [
        ("F2", "load radio: `20` has no unit; write it in the cell (`20 AWG`), at the end of the head (`(AWG)`), or under `units` of the table")
    ]  # fmt: skip


def test_of_a_formula_the_saved_value_is_read_and_counted_and_without_one_it_is_a_mistake() -> None:
    rows = grid(["radio", "main-bus", "breaker", "=2+3", "=12/10", 20, 4, "", "=1+1"])
    saved = as_xlsx(rows, saved={"=2+3": 5, "=12/10": 1.2})
    made = read_text(design(loads(file="l.xlsx")), "x", given(l_xlsx=saved))
    assert (made.parts["radio"].current, made.tables[0].formulas) == (1.2, 2)
    assert "2 cells held formulas" in made.tables[0].limits[0]
    found = told(design(loads(file="l.xlsx")), given(l_xlsx=as_xlsx(rows, saved={"=2+3": 5})))
    assert [(at, "has no saved value" in message) for at, message in found] == [("E2", True)]
    errors = as_xlsx(rows, saved={"=2+3": "#DIV/0!", "=12/10": 1.2})
    assert told(design(loads(file="l.xlsx")), given(l_xlsx=errors)) == [
        ("D2", "load radio: the cell holds the error #DIV/0!")
    ]
    # a formula may have given an empty text, which is a value
    empty = saved.replace(b"", b"") and _edited(
        saved, b"<v>1.2</v>", b"<v></v>", b'<c r="E2">', b'<c r="E2" t="str">'
    )
    assert read_text(design(loads(file="l.xlsx")), "x", given(l_xlsx=empty)).parts["radio"].current is None


def _edited(content: bytes, *pairs: bytes) -> bytes:
    """A workbook with other bytes in its sheets."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
        for piece in old.infolist():
            text = old.read(piece)
            if "worksheets/" in piece.filename:
                for before, after in zip(pairs[::2], pairs[1::2], strict=True):
                    assert before in text
                    text = text.replace(before, after)
            new.writestr(piece.filename, text)
    return made.getvalue()


def test_a_workbook_that_would_not_end_is_refused() -> None:
    plain = as_xlsx(grid(RADIO))
    bomb = io.BytesIO(plain)
    with zipfile.ZipFile(bomb, "a", zipfile.ZIP_DEFLATED) as pieces:
        pieces.writestr("xl/media/big.xml", b" " * (workbook_sheet.MOST_UNPACKED + 1))
    assert len(bomb.getvalue()) < 100_000
    hostile = {
        "larger than": bomb.getvalue(),
        "declares entities": _edited(plain, b"<worksheet", b'<!DOCTYPE x [<!ENTITY a "b">]><worksheet'),
        "rows beyond": _edited(plain, b'<row r="2"', b'<row r="999999999"'),
        "rows up to": _edited(plain, b'<row r="2"', b'<row r="30000"'),
        "is not an XLSX": plain[:2000],
        "cannot be read as a workbook": _edited(plain, b"<sheetData>", b"<sheetData><row><c"),
    }
    for words, content in hostile.items():
        (problem,) = mistakes(design(loads(file="l.xlsx")), given(l_xlsx=content))
        assert words in problem.message, problem.message
    wide = _edited(plain, b'<c r="A2"', b'<c r="XFD2"')
    assert told(design(loads(file="l.xlsx")), given(l_xlsx=wide))[0][0] == "A2"


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"\xff\xfeI\x00", "UTF-16"),
        (
            as_csv(grid(["r\xe9dio", *RADIO[1:]])).decode().encode("latin-1"),
            "line 2 of `loads.csv` is not UTF-8",
        ),
        (as_csv(grid(RADIO)) + b"\x00", "U+0000"),
        (b'Item,Bus\r\n"radio,main-bus\r\n', "from line 2 on: a quote is not closed"),
        (b"Item,Bus\r\n" + b"\r\n" * 20_001 + b"a,b\r\n", "more than 20,000 rows"),
        (b"Item,Bus\r\n" + b"," * 300 + b"a\r\n", "more than 200 columns"),
        (b"", "is empty"),
        (as_csv(grid([*RADIO, "cut"])), "this row has more cells than there are heads"),
    ],
)
def test_a_csv_file_that_is_none_is_refused(content: bytes, words: str) -> None:
    assert words in mistakes(design(loads()), given(loads_csv=content))[0].message


def test_a_table_is_a_plain_file_beside_the_design_and_is_read_once(tmp_path: Path, monkeypatch: Any) -> None:
    folder = tmp_path / "here"
    folder.mkdir()
    path = folder / "a.design.yaml"
    path.write_text(design(loads()), encoding="utf-8")

    def said() -> str:
        with pytest.raises(Unreadable) as caught:
            read_design(path)
        return caught.value.problems[0].message

    table = folder / "loads.csv"
    assert "there is no file `loads.csv`" in said()
    (tmp_path / "loads.csv").write_bytes(as_csv(grid(RADIO)))
    table.symlink_to(tmp_path / "loads.csv")
    assert "is a link to another folder" in said()
    table.unlink()
    table.mkdir()
    assert "cannot be opened" in said() or "not a plain file" in said()
    table.rmdir()
    os.mkfifo(table)
    assert "not a plain file" in said()
    table.unlink()
    table.write_bytes(as_csv(grid(RADIO)))
    monkeypatch.setattr(beside, "MAX_BYTES", 10)
    assert "larger than 10 bytes" in said()
    monkeypatch.undo()
    file = read_file(path)
    from reviewer.reading import design_of

    first = design_of(file)
    table.unlink()
    assert design_of(file) == first and file.beside.contents == {"loads.csv": as_csv(grid(RADIO))}
    with pytest.raises(Unreadable) as caught:
        read_text(design(loads()), "-")
    assert "from standard input or a pipe has no folder" in caught.value.problems[0].message


def written(folder: Path, content: bytes, file: str = "loads.csv", text: str = "") -> Path:
    (folder / file).write_bytes(content)
    path = folder / "a.design.yaml"
    path.write_text(text or design(loads(file=file)), encoding="utf-8")
    return path


def test_the_digest_and_the_folder_hold_the_tables(tmp_path: Path) -> None:
    content = as_csv(grid(RADIO))
    path = written(tmp_path, content)
    solved = solved_file(path)
    files = folder_files(solved)
    manifest = json.loads(files[MANIFEST])
    each = [hashlib.sha256(one).hexdigest() for one in (path.read_bytes(), content)]
    assert files["loads.csv"] == content and manifest["design"]["files"] == ["loads.csv"]
    assert (
        manifest["design"]["sha256"] == hashlib.sha256("".join(f"{d}\n" for d in each).encode()).hexdigest()
    )
    assert {"name": "loads.csv", "sha256": each[1]}.items() <= next(f for f in manifest["files"] if f["name"] == "loads.csv").items()  # fmt: skip
    copied = tmp_path / "copied"
    copied.mkdir()
    for name in ("design.yaml", "loads.csv"):
        (copied / name).write_bytes(files[name])
    assert read_design(copied / "design.yaml") == solved.design
    path = written(tmp_path, content, "Parts.csv")
    with pytest.raises(ValueError, match=r"Parts.csv has the name of a file of the folder"):
        folder_files(solved_file(path))


@pytest.mark.parametrize("ext", ["csv", "xlsx"])
def test_reports_name_the_cell(tmp_path: Path, ext: str, monkeypatch: Any) -> None:
    content = (as_csv if ext == "csv" else as_xlsx)(grid(RADIO))
    written(tmp_path, content, f"loads.{ext}")
    monkeypatch.chdir(tmp_path)
    reviews = [review_file("a.design.yaml")]
    lines, review = as_lines(reviews), as_text(reviews)
    sarif = json.loads(as_sarif(reviews, "1"))["runs"][0]
    found = [
        r["locations"][0]
        for r in sarif["results"]
        if r["kind"] == "fail" and r["message"]["text"].startswith("radio has no return")
    ]
    places = [loc["physicalLocation"] for loc in found]
    assert places and all(p["artifactLocation"]["uri"] == f"loads.{ext}" for p in places)
    assert f"loads.{ext}" in {a["location"]["uri"] for a in sarif["artifacts"]}
    cells = {
        one["fullyQualifiedName"] for loc in found for one in loc["logicalLocations"] if one["kind"] == "cell"
    }
    if ext == "csv":
        assert cells == {"A2"} and places[0]["region"] == {"startLine": 2, "startColumn": 1}
        assert "loads.csv:2:1: " in lines and "loads.csv, row 2, column A (Item)" in " ".join(review.split())
    else:
        assert cells == {"'Sheet1'!A2"} and "region" not in places[0]
        assert "loads.xlsx:2:1: " in lines and "sheet Sheet1, cell A2: " in lines
    shown = json.loads(as_json(reviews))["reviews"][0]
    at = next(f["place"] for f in shown["findings"] if f["sentence"].startswith("radio has no return"))
    assert at["table"] == f"loads.{ext}" and at["cell"] == "A2" and ("sheet" in at) == (ext == "xlsx")


def test_mistakes_show_their_row_and_lines_point_into_the_table(tmp_path: Path) -> None:
    path = written(tmp_path, as_csv(grid(['radio, "left"', "main-bus", "breaker", 5, "1 V", 20, 4, ""])))
    text = CliRunner().invoke(commands, ["review", str(path)]).stderr
    assert "loads.csv, row 2, column E (Amps) (tables/0)" in text
    assert " | main-bus | breaker | 5 | 1 V | 20 | 4 |\n" in text
    lines = CliRunner().invoke(commands, ["review", str(path), "--as", "lines"]).stderr
    assert lines.startswith(f"{tmp_path}/loads.csv:2:38: mistake: load radio")


def test_missing_data_of_a_row_are_asked_for_in_the_table(tmp_path: Path) -> None:
    path = written(tmp_path, as_csv(grid(RADIO)), text=design(loads()).replace("concept", "detailed"))
    shown = CliRunner().invoke(commands, ["review", str(path), "--missing"]).stdout
    assert (
        "# loads.csv, row 2, column C (Prot), of radio-breaker:\n    #   in brackets after the breaker, as `breaker ("
        in shown
    )
    assert "# loads.csv, row 2, column A (Item), of radio:\n    #   a column with its `" in shown


def test_ask_names_the_cell_and_every_question_has_a_place(tmp_path: Path) -> None:
    path = written(tmp_path, as_csv(grid(RADIO)), text=design(loads()).replace("concept", "detailed"))
    shown = " ".join(CliRunner().invoke(commands, ["ask", str(path), "--all"]).stdout.split())
    assert (
        "In loads.csv, row 2, column A (Item), of radio: a column with its `figures`, named under `columns` of the table"
        in shown
    )
    assert (
        "In loads.csv, row 2, column C (Prot), of radio-breaker: in brackets after the breaker: (reset )"
        in shown
    )
    assert (
        "of radio-2: a column with its `bundle` in a wire list, and `wires: elsewhere` at this table" in shown
    )
    whole = loads(LOADS.replace("protection: Prot, ", ""), "return: ground, protection: breaker")
    made = read_text(design(whole), "x", given(loads_csv=as_csv(grid(RADIO))))
    for at in ("parts/radio-breaker", "parts/radio", "wires/radio-1", "wires/radio-2"):
        assert isinstance(made.places[at], CellPlace)


def test_the_long_form_keeps_all_else_and_says_where_each_is_from() -> None:
    text = design(loads(), wires(), more="circuits:\n  # charging\n  a: battery.positive > main-bus\n")
    text = text.replace("tables:", "# head\ntables: # two").replace(
        "}\n  - {file: w", "} # the loads\n  - {file: w"
    )
    rows = grid(["1", "ground", "", "battery", "+", "8 AWG", "1 m", ""], ["2", "battery", "-", "ground", "", 8, "1 m", ""], heads=WIRE_HEADS)  # fmt: skip
    tables = given(loads_csv=as_csv(grid(RADIO)), wires_csv=as_csv(rows))
    long = expanded(text.encode(), "x", tables)
    assert read_text(long, "x") == read_text(text, "x", tables)
    assert (
        "# from loads.csv" in long
        and "# from wires.csv" in long
        and "# the loads" in long
        and "# head\n" in long
    )
    data = yaml.safe_load(text)
    for order in (data, dict(reversed(data.items()))):
        flow = json.dumps(order)
        made = json.loads(expanded(flow.encode(), "x.json", tables))
        assert not {"tables", "circuits"} & made.keys()
        assert read_text(json.dumps(made), "x") == read_text(flow, "x", tables)


def test_a_table_is_reviewed_by_the_designs_that_name_it(tmp_path: Path) -> None:
    path = written(tmp_path, as_csv(grid(["radio", "man-bus", *RADIO[2:]])))
    (tmp_path / "b.design.yaml").write_text("format: 1\n", encoding="utf-8")
    (tmp_path / "prices.csv").write_text("a,b\n", encoding="utf-8")
    run = CliRunner().invoke
    same = run(commands, ["review", str(path)])
    for arguments in ([str(tmp_path / "loads.csv")], ["--changed", str(path), str(tmp_path / "loads.csv")]):
        done = run(commands, ["review", *arguments])
        assert (done.stderr, done.exit_code) == (same.stderr, 2) and "`man-bus`" in done.stderr
    alone = run(commands, ["review", str(tmp_path / "prices.csv")])
    assert alone.exit_code == 2 and "no design file beside it names it" in alone.stderr
    passed = run(commands, ["review", "--changed", str(tmp_path / "prices.csv")])
    assert (passed.exit_code, passed.output) == (0, "")


def test_the_example_is_one_aircraft_from_csv_and_from_a_workbook() -> None:
    one, other = (read_design(EXAMPLES / f"{name}.design.yaml") for name in ("trainer", "trainer-workbook"))
    assert one == other and len(one.wires) == 60
    assert [table.rows for table in one.tables] == [22, 60] and other.tables[0].formulas == 3
    written = (EXAMPLES / "trainer.design.yaml").read_text(encoding="utf-8")
    assert (
        sum(
            not line.startswith(("#", "format", "aircraft", "parts:", "tables:"))
            for line in written.splitlines()
        )
        == 11
    )
    review = review_file(EXAMPLES / "trainer.design.yaml")
    assert review.findings == () and not review.breakdowns and any("were not read: No., Remarks" in x for x in review.limits)  # fmt: skip


def test_a_cell_that_its_line_lacks_stands_at_the_end_of_the_line() -> None:
    row = SheetRow(2, ("a", "b"), ((4, 1), (4, 3), (4, 4)))
    table = Spreadsheet("loads.csv", "", [row])
    assert [tuple(table.place(row, index)) for index in range(5)] == [(4, 1), (4, 3), (4, 4), (4, 4), (4, 4)]
    assert tuple(table.place(SheetRow(2, ("a", "b")), 4)) == (2, 5)
