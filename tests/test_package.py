"""The package as a shop reads it that is asked for a quotation and then builds from it."""

from __future__ import annotations

import csv
import io
import json
import math
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

import reviewer.model.design  # noqa: F401, every piece of a design is declared then
from reviewer.analysis.facts import Facts
from reviewer.model.design import Aircraft, CommonWire, Concession, Design, Function, Operation, Watch
from reviewer.model.fields import Piece, key_of
from reviewer.model.parts import PART_KINDS, Wire
from reviewer.questions.handover import HandoverAnswers
from reviewer.questions.terminations import terminations_of
from reviewer.questions.wires import wire_table, wires_of
from reviewer.questions.wiring_schedule import WireSupply, wiring_schedule
from reviewer.reading import Unreadable, read_design, read_text
from reviewer.reading.filled_cards import filled_cards
from reviewer.reports import wording
from reviewer.reports.handoff.contents import as_csv
from reviewer.reports.handoff.schedules import (
    bundle_tables,
    cover,
    label_table,
    loading_tables,
    open_work,
    parts_list,
    termination_tables,
    wire_summary,
    wiring_tables,
    work_shares,
)
from reviewer.reports.handoff.schedules.power_up_table import power_up_cards
from reviewer.reports.handoff.schedules.schedule import Schedule
from reviewer.reports.handoff.schedules.stated_data import stated, stated_data
from reviewer.reports.page.context import _OFF_THE_PAGE
from reviewer.reports.review.first_screen import first_screen
from reviewer.reports.wires.table import wires_csv
from reviewer.session import review_facts
from reviewer.tables.typical import typical
from tests.published.transcriptions import PRINTED

ROOT = Path(__file__).parents[1]
EXAMPLES = ROOT / "examples"
#: circular mils of AC 43.13-1B Table 11-9 to mm2: a circle of 0.001 in
CMIL = math.pi / 4 * 0.0254**2

BENCH = """
format: 1
aircraft:
  name: Bench
  nominal: 14 V
  airframe: composite
  stage: detailed
  zones:
    nose: {by: owner}
    panel: {by: installer}
  wire: {conductor: copper, insulation: 150 C, specification: tinned copper, colour: white}
parts:
  battery: {kind: battery, chemistry: lead-acid, capacity: 18 Ah, stud-size: M6, zone: nose, maker: Example Batteries, part-number: EB-18}
  limiter: {kind: limiter, rating: 30 A, stud-size: M5, zone: nose, label: BUS FEED}
  bus: {kind: bus, zone: panel}
  radio-breaker: {kind: breaker, rating: 5 A, zone: panel, label: RADIO, maker: Example Electric, part-number: B-5}
  lamp-breaker: {kind: breaker, rating: 5 A, zone: panel, label: LAMP, maker: Example Electric, part-number: B-5}
  spare-breaker: {kind: breaker, rating: 5 A, zone: panel, label: SPARE, maker: Example Electric, part-number: B-5.1}
  plug: {kind: connector, pins: [a, b, c], pin-rating: 7.5 A, unused: [c-plug, c-socket], zone: nose}
  radio: {kind: load, type: electronic, current: 2 A, zone: panel, maker: Example Avionics, part-number: EX-100}
  lamp: {kind: load, type: resistive, current: 3 A, zone: nose}
  joint: {kind: splice, zone: panel}
  stud: {kind: stud, stud-size: 10-32, zone: nose}
  later-lamp: {kind: load, type: resistive, current: 3 A, zone: nose, own-switch: true, fitted: later, by: installer}
wires:
  P1: {from: battery.positive, to: limiter.line, gauge: 8 AWG, length: 0.4 m}
  P2: {from: limiter.load, to: bus.feed, gauge: 10 AWG, length: 1.5 m, through: [grommet], colour: red, bundle: main}
  W1: {from: bus.radio, to: radio-breaker.line, gauge: 20 AWG, length: 0.2 m}
  W2: {from: radio-breaker.load, to: radio.supply, gauge: 20 AWG, length: 0.7 m, shield: [stud.shield], bundle: main, label: W2A}
  W3: {from: bus.lamp, to: lamp-breaker.line, gauge: 20 AWG, length: 0.2 m}
  W4: {from: lamp-breaker.load, to: plug.a-socket, gauge: 20 AWG, length: 0.9 m, bundle: main, by: installer}
  W5: {from: plug.a-plug, to: lamp.supply, gauge: 20 AWG, length: 0.3 m, by: owner}
  W6: {from: bus.spare, to: spare-breaker.line, gauge: 20 AWG, length: 0.2 m}
  N1: {from: lamp.return, to: plug.b-plug, gauge: 20 AWG, length: 0.3 m}
  N2: {from: plug.b-socket, to: joint.lamp, gauge: 20 AWG, length: 0.5 m}
  N3: {from: radio.return, to: joint.radio, gauge: 20 AWG, length: 0.5 m}
  N4: {from: joint.out, to: stud.panel, gauge: 16 AWG, length: 1.1 m, max-resistance: 0.02 ohm}
  N5: {from: stud.battery, to: battery.negative, gauge: 8 AWG, length: 0.3 m, resistance: 0.0007 ohm}
  L1: {from: spare-breaker.load, to: later-lamp.supply, gauge: 20 AWG, length: 1 m}
  L2: {from: later-lamp.return, to: stud.later, gauge: 20 AWG, length: 1 m}
functions:
  communication: {any: 1, of: [radio], loss: major}
operation: {normal: cruise, states: {cruise: {engine: running}}}
"""


@pytest.fixture(scope="module")
def facts() -> Facts:
    return Facts(read_text(BENCH, "bench.yaml"))


def by_name(table: Schedule, key: str, head: str) -> dict[Any, Any]:
    """One column of a schedule, by another."""
    return {row[table.columns.index(key)]: row[table.columns.index(head)] for row in table.rows}


# ---- Every key of the format


def pieces(base: type[Piece] = Piece) -> Iterator[type[Piece]]:
    for kind in sorted(base.__subclasses__(), key=lambda kind: kind.__name__):
        if kind.__module__.startswith("reviewer.model."):
            yield kind
        yield from pieces(kind)


def with_every_key(kind: type[Piece]) -> Piece:
    """A piece with the example of each of its keys."""
    return kind.model_validate(
        {key_of(f): about.examples[0] for f, about in kind.model_fields.items() if about.examples}
    )


def leaves(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        for entry in value.values():
            yield from leaves(entry)
    elif isinstance(value, list):
        for entry in value:
            yield from leaves(entry)
    else:
        text = {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)
        yield re.sub(r"(\.\d*?)0+ ", r"\1 ", text).replace(". ", " ") if re.match(r"[0-9.]+ ", text) else text


@pytest.mark.parametrize("kind", [k for k in pieces() if k is not Wire], ids=lambda kind: kind.__name__)
def test_every_key_of_every_piece_is_stated_with_its_value(kind: type[Piece]) -> None:
    told = list(stated(with_every_key(kind)))
    for field, about in kind.model_fields.items():
        key = key_of(field)
        values = " | ".join(value for name, value in told if name == key or name.startswith(f"{key}."))
        for leaf in leaves(about.examples[0]) if about.examples else ():
            assert leaf in values, (key, leaf, values)


def test_a_key_that_is_left_out_is_noticed() -> None:
    """The walk above would fail for a schedule that lacks one key."""
    told = dict(stated(with_every_key(PART_KINDS["connector"])))
    assert told["pin-rating"] == "7.5 A" and {"pins", "resistance", "inspected", "maker"} <= set(told)


def test_every_key_of_a_wire_stands_in_the_wire_list() -> None:
    base = read_text(BENCH, "bench.yaml")
    wire = with_every_key(Wire)
    parts = {end.partition(".")[0]: PART_KINDS["stud"](kind="stud") for end in (wire.from_, wire.to)}  # type: ignore[attr-defined]
    schedule = wiring_schedule(Facts(base))
    design = Design(base.aircraft, parts, {"W": wire}, {}, None, Watch(), ())
    schedule = type(schedule)({"W": WireSupply(None, None, ())}, {}, {})
    (row,) = wiring_tables.wire_list(design, schedule).rows
    cells = " | ".join(map(str, row))
    for field, about in Wire.model_fields.items():
        for leaf in leaves(about.examples[0]):
            if field != "fitted":  # a wire that is fitted later is a provision
                assert leaf.removesuffix(" m").removesuffix(" C") in cells, field


def test_the_wire_list_says_what_is_crimped_on_both_ends(facts: Facts) -> None:
    """As the list of terminals counts them, and with the stud of each ring terminal."""
    table = wiring_tables.wire_list(facts.as_written, wiring_schedule(facts))
    first, second = (by_name(table, "wire", f"terminal, {end} end") for end in ("from", "to"))
    assert (first["P1"], second["P1"]) == ("ring M6", "ring M5")
    assert (first["W5"], second["W4"]) == ("plug contact", "socket contact")
    assert (first["N4"], second["N4"], first["W2"]) == ("splice", "ring 10-32", "as its part needs")
    counts = termination_tables.terminal_counts(facts.as_written, terminations_of(facts.as_written, 4))
    rings = sum(row[3] for row in counts.rows if row[0] == "ring terminal" and row[2] != "shield")
    assert sum(cell.startswith("ring") for cell in (*first.values(), *second.values())) == rings


def test_the_page_has_the_columns_whose_widths_its_print_style_gives(facts: Facts) -> None:
    table = wiring_tables.wire_list(facts.as_written, wiring_schedule(facts))
    page = table.without(_OFF_THE_PAGE, "More.")
    assert set(_OFF_THE_PAGE) < set(table.columns) and page.about.endswith("switch held. More.")
    style = (ROOT / "reviewer/reports/page/style/print.css").read_text(encoding="utf-8")
    widths = [int(n) for n in re.findall(r"#wire-list-table\.tight th:nth-child\((\d+)\)", style)]
    assert sorted(widths) == list(range(1, len(page.columns) + 1)) and len(page.columns) == 14
    assert [row[0] for row in page.rows] == [row[0] for row in table.rows]
    assert page.rows[1][-1] == table.rows[1][-1] and page.rows[1][8] == table.rows[1][15]


#: pieces that stand in no design once it is read, and why
READ_AWAY = {
    "CommonWire": "each wire takes it over",
    "Table": "its rows become parts and wires",
    "MechanicalEntry": "a function names it as its channel",
}


def test_every_piece_is_within_what_the_stated_data_walk() -> None:
    """From the aircraft, the parts, the functions, the operation, what is watched and the concessions."""

    def within(annotation: Any) -> Iterator[type]:
        if isinstance(annotation, type) and issubclass(annotation, Piece):
            yield annotation
        for inner in getattr(annotation, "__args__", ()):
            yield from within(inner)

    todo: list[type] = [Aircraft, *PART_KINDS.values(), Wire, Function, Operation, Watch, Concession]
    reached = set(todo)
    while todo:
        for about in todo.pop().model_fields.values():  # type: ignore[attr-defined]
            new = {p for p in within(about.annotation) if p not in reached}
            reached |= new
            todo += new
    concrete = {kind for kind in pieces() if not any(kind is not r and issubclass(r, kind) for r in reached)}
    assert {k.__name__ for k in concrete - reached - {CommonWire}} <= {*READ_AWAY, "MechanicalChannel"}
    groups = {row[0] for row in stated_data(read_design(EXAMPLES / "tourer.design.yaml")).rows}
    assert {"aircraft", "function", "operation", "watch", "battery", "switch"} <= groups


@pytest.mark.parametrize("name", ["tourer", "tables/trainer"])
def test_what_the_file_says_of_each_part_and_wire_stands_in_the_package(name: str) -> None:
    """Key by key from the file itself, not from the model."""
    path = EXAMPLES / f"{name}.design.yaml"
    design, data = read_design(path), yaml.load(path.read_text(encoding="utf-8"), yaml.BaseLoader)
    told: dict[tuple[str, str], str] = {}
    for _, who, key, value in stated_data(design).rows:
        told[str(who), str(key).partition(".")[0]] = (
            f"{told.get((str(who), str(key).partition('.')[0]), '')} | {value}"
        )
    seen = 0
    for part, keys in data["parts"].items():
        for key, value in keys.items():
            if key != "kind":
                for leaf in leaves(value):
                    said = told[part, key]
                    leaf = {"true": "yes", "false": "no"}.get(leaf, leaf)
                    assert leaf in said, (part, key, leaf, said)
                    seen += 1
    assert seen > 25
    table = wiring_tables.wire_list(design, wiring_schedule(Facts(design)))
    rows = {row[0]: " | ".join(map(str, row)) for row in table.rows}
    for wire, keys in data.get("wires", {}).items():
        for value in keys.values():
            for leaf in leaves(value):
                assert leaf.removesuffix(" m").removesuffix(" C") in rows[wire], (wire, leaf)


# ---- What is fitted later


LATER = BENCH.replace("kind: limiter,", "kind: limiter, fitted: later,")


def test_what_is_fitted_later_is_reviewed_as_if_it_were_not_in_the_file(facts: Facts) -> None:
    lines = [line for line in BENCH.splitlines() if "later-lamp" not in line]
    cut = "\n".join(lines).replace("label: SPARE,", "label: SPARE, unused: [load],")
    without = Facts(read_text(cut, "bench.yaml"))
    one, other = (
        {(f.rule, f.subject, f.sentence) for f in review_facts(x, Path("b.yaml")).findings}
        for x in (facts, without)
    )
    assert one == other and facts.design.parts.keys() == without.design.parts.keys()
    assert not any("later-lamp" in str(finding) for finding in one)
    assert set(facts.as_written.provisions.parts) == {"later-lamp"}
    assert set(facts.as_written.provisions.wires) == {"L1", "L2"}


def test_a_feed_that_is_fitted_later_feeds_nothing() -> None:
    """The guilty drawing beside its innocent twin, which differs in one word."""
    powered = [
        Facts(read_text(text, "b.yaml")).states.answer("cruise").healthy.powered["parts/radio"]
        for text in (BENCH, LATER)
    ]
    assert [bool(p) for p in powered] == [True, False]
    found = review_facts(Facts(read_text(LATER, "b.yaml")), Path("b.yaml"))
    assert " ".join(first_screen(found)).startswith(
        "Bench: 10 parts, 11 wires, 1 state, detailed stage; 2 parts and 4 wires fitted later, not reviewed"
    )
    assert found.later == (2, 4) and any(
        "limiter, later-lamp, P1, P2, L1, L2" in text for text in found.limits
    )


def test_a_second_source_that_is_fitted_later_is_no_redundancy() -> None:
    text = (EXAMPLES / "first.design.yaml").read_text(encoding="utf-8")
    second = text.replace(
        "  fuse:", "  second: {kind: battery}\n  fuse-2: {kind: fuse, rating: 5 A}\n  fuse:"
    ).replace(
        "  W3: {from: fuse.load", "  W6: {from: second.positive, to: fuse-2.line}\n  W3: {from: fuse-2.load"
    )
    second = second.replace(
        "W5: {from: right-ignition.return, to: battery.negative}",
        "W5: {from: right-ignition.return, to: second.negative}",
    )
    later = second.replace("second: {kind: battery}", "second: {kind: battery, fitted: later}")

    def single(of: str) -> bool:
        causes = review_facts(Facts(read_text(of, "f.yaml")), Path("f.yaml")).causes
        return any("Single failure of battery causes loss of ignition" in c.headline.sentence for c in causes)

    assert [single(text), single(second), single(later)] == [True, False, True]


def test_a_terminal_that_waits_for_a_later_wire_is_unused_on_purpose_and_another_is_not() -> None:
    rule = "every-terminal-is-connected-or-declared-unused"

    def subjects(text: str) -> set[str]:
        found = review_facts(Facts(read_text(text, "b.yaml")), Path("b.yaml")).findings
        return {f.subject for f in found if f.rule == rule}

    without = "\n".join(line for line in BENCH.splitlines() if not line.startswith("  L1:"))
    assert "parts/spare-breaker" not in subjects(BENCH) and "parts/spare-breaker" in subjects(without)


@pytest.mark.parametrize(
    ("old", "new", "at"),
    [
        ("of: [radio]", "of: [radio, later-lamp]", "functions/communication/of/1"),
        (
            "{engine: running}",
            "{engine: running, units-off: [later-lamp]}",
            "operation/states/cruise/units-off/0",
        ),
        ("shield: [stud.shield]", "shield: [later-lamp.return]", "wires/W2/shield/0"),
        (
            "operation: {",
            "watch: {monitors: {volts: {shows: voltage, senses: later-lamp.supply}}}\noperation: {",
            "watch/monitors/volts/senses",
        ),
    ],
)
def test_what_is_there_may_not_name_what_is_fitted_later(old: str, new: str, at: str) -> None:
    assert old in BENCH
    with pytest.raises(Unreadable) as error:
        read_text(BENCH.replace(old, new), "bench.yaml")
    (problem,) = error.value.problems
    assert problem.pointer == at and "`later-lamp` is fitted later" in problem.message


def test_a_misspelt_name_in_what_is_fitted_later_is_still_a_mistake() -> None:
    with pytest.raises(Unreadable, match="1 mistake") as error:
        read_text(
            BENCH.replace(
                "L2: {from: later-lamp.return, to: stud.later", "L2: {from: later-lamp.return, to: stub.later"
            ),
            "b.yaml",
        )
    assert "there is no part `stub`" in error.value.problems[0].message


def test_provisions_and_open_work_are_listed(facts: Facts) -> None:
    design = facts.as_written
    table = open_work.provisions(design)
    assert table is not None and [row[1] for row in table.rows] == ["later-lamp", "L1", "L2"]
    assert by_name(table, "name", "by")["later-lamp"] == "installer"
    review = review_facts(facts, Path("b.yaml"))
    todo = open_work.open_work(design, review, ())
    assert todo is not None
    counts = by_name(todo, "what", "count")
    assert counts["provision"] == 3
    data = yaml.safe_load(BENCH)
    there = [p for n, p in data["parts"].items() if n != "later-lamp"]
    assert counts["part without `maker`"] == sum("maker" not in p for p in there)
    assert "wire without `colour`" not in counts and "wire without `gauge`" not in counts
    causes = [row for row in todo.rows if str(row[0]).startswith("cause ")]
    assert len(causes) == sum(bool(c.standing) for c in review.causes)
    assert open_work.provisions(read_design(EXAMPLES / "tourer.design.yaml")) is None


# ---- What is bought


def test_identical_parts_are_counted_and_another_part_number_is_another_part(facts: Facts) -> None:
    table = parts_list.parts_list(facts.as_written)
    rows = {(row[1], row[2]): row for row in table.rows if row[0] == "breaker"}
    assert set(rows) == {("Example Electric", "B-5"), ("Example Electric", "B-5.1")}
    quantity, names = table.columns.index("quantity"), table.columns.index("names")
    assert rows["Example Electric", "B-5"][quantity] == 2
    assert rows["Example Electric", "B-5"][names] == "radio-breaker, lamp-breaker"


@pytest.mark.parametrize("name", ["bench", "tourer", "trainer"])
def test_quantities_lengths_and_masses_are_those_of_the_file(name: str) -> None:
    """Counted and added up from the text of the file, with the printed areas of Table 11-9."""
    wires, parts, design = written_out(name)
    table = parts_list.parts_list(design)
    assert sum(row[table.columns.index("quantity")] for row in table.rows) == len(parts)
    numbers = {
        (row[table.columns.index("maker")], row[table.columns.index("part number")]): 0 for row in table.rows
    }
    for row in table.rows:
        numbers[row[1], row[2]] += row[table.columns.index("quantity")]
    assert numbers == Counter((p.get("maker", ""), p.get("part-number", "")) for p in parts.values())
    bought = wire_summary.wire_summary(design)
    gauge, metres, mass = (bought.columns.index(h) for h in ("gauge", "length, m", "mass, conductor only, g"))
    expected: dict[str, list[float]] = {}
    for wire in wires.values():
        size = wire["gauge"].partition(" ")[0]
        length = metres_of(wire["length"])
        sums = expected.setdefault(wire["gauge"], [0.0, 0.0])
        sums[0] += length
        sums[1] += AREA[size] * CMIL * length * typical("density", "copper").value
    found: dict[str, list[float]] = {}
    *rows, total = bought.rows
    for row in rows:
        sums = found.setdefault(row[gauge], [0.0, 0.0])
        sums[0] += row[metres]
        sums[1] += row[mass]
    assert {g: pytest.approx(s, rel=1e-3, abs=0.3) for g, s in expected.items()} == found
    assert total[metres] == pytest.approx(sum(s[0] for s in expected.values()), abs=0.002)
    assert total[mass] == pytest.approx(sum(s[1] for s in expected.values()), rel=1e-4)
    assert total[bought.columns.index("wires")] == len(wires)
    assert "(from memory)" in bought.about


AREA = {row: values[-1] for row, values in PRINTED["copper_wire/aircraft"].items()}


def metres_of(text: str) -> float:
    number, unit = text.split()
    return float(number) * {"m": 1.0, "ft": 0.3048, "in": 0.0254}[unit]


def written_out(name: str) -> tuple[dict[str, Any], dict[str, Any], Design]:
    """The wires and parts of a design as its file or its tables have them, and the design as it was read."""
    if name == "bench":
        data = yaml.safe_load(BENCH)
        later = {"later-lamp"}
        wires = {n: w for n, w in data["wires"].items() if not n.startswith("L")}
        return wires, {n: p for n, p in data["parts"].items() if n not in later}, read_text(BENCH, "b.yaml")
    if name == "tourer":
        path = EXAMPLES / "tourer.design.yaml"
        data = yaml.load(path.read_text(encoding="utf-8"), yaml.BaseLoader)
        return data["wires"], data["parts"], read_design(path)
    folder = EXAMPLES / "tables"
    parts = yaml.load((folder / "trainer.design.yaml").read_text(encoding="utf-8"), yaml.BaseLoader)["parts"]
    lists = [
        list(csv.reader((folder / f).read_text(encoding="utf-8").splitlines()))
        for f in ("loads.csv", "wires.csv")
    ]
    for no, load, *_rest, maker, number, _zone, _remarks in lists[0][3:]:
        switch = _rest[7]
        parts |= {load: {"maker": maker, "part-number": number} if maker else {}, f"CB{no}": {}}
        parts |= {switch: {}} if switch else {}
    wires = {row[0]: {"gauge": f"{row[5]} AWG", "length": f"{row[6]} ft"} for row in lists[1][1:]}
    return wires, parts, read_design(folder / "trainer.design.yaml")


def test_a_starter_has_studs_and_a_motor_what_its_maker_gives_it() -> None:
    design = read_design(EXAMPLES.parent / "tests" / "aircraft" / "magneto-metal.design.yaml")
    table = termination_tables.terminal_counts(design, terminations_of(design, 4))
    rings = [row for row in table.rows if row[0] == "ring terminal"]
    at = ", ".join(str(row[4]) for row in rings)
    assert "starter.supply" in at and "boost-pump.supply" not in at


def test_every_end_of_a_wire_is_counted_once(facts: Facts) -> None:
    design = facts.as_written
    ends = terminations_of(design, 4)
    table = termination_tables.terminal_counts(design, ends)
    counts = {(r[0], r[1], r[2]): r[3] for r in table.rows}
    assert counts["ring terminal", "stud M6", "8 AWG"] == 2  # both terminals of the battery
    assert counts["ring terminal", "stud M5", "8 AWG"] == counts["ring terminal", "stud M5", "10 AWG"] == 1
    assert (
        counts["ring terminal", "stud 10-32", "16 AWG"] == counts["ring terminal", "stud 10-32", "8 AWG"] == 1
    )
    assert counts["ring terminal", "stud 10-32", "shield"] == 1
    assert counts["contact, plug side", "connector of 3 pins", "20 AWG"] == 2
    assert counts["splice", "3 wires", "16 AWG, 20 AWG, 20 AWG"] == 1
    in_splices = sum(int(r[1].split()[0]) * r[3] for r in table.rows if r[0] == "splice")
    others = sum(r[3] for r in table.rows if r[0] != "splice")
    shields = sum(len(w.shield or ()) for w in design.wires.values())
    assert in_splices + others == 2 * len(design.wires) + shields


def test_studs_connectors_bundles_and_labels_are_as_drawn(facts: Facts) -> None:
    design, table = facts.as_written, wire_table(facts)
    stacks = termination_tables.ring_stacks(terminations_of(design, facts.wires.lugs_on_a_stud))
    assert stacks is not None and "4 ring terminals" in stacks.about
    on_stud = [row[4:6] for row in stacks.rows if row[1] == "stud"]
    assert on_stud == [(1, "N5"), (2, "N4"), (3, "shield of W2")]
    pins = termination_tables.connectors(design, table)
    assert pins is not None
    a, b, c = pins.rows
    assert (a[2], a[3], a[6], a[8], a[11]) == ("a", "W5", "lamp.supply", "W4", "lamp-breaker.load")
    assert a[13] == pytest.approx(3.0, abs=0.4) and a[14] == 7.5 and (b[3], b[8]) == ("N1", "N2")
    assert c[-1] == "unused on purpose"
    bundles, through = bundle_tables.bundles(design), bundle_tables.bulkheads(design)
    assert bundles is not None and [(r[0], r[1], r[-1]) for r in bundles.rows] == [("main", 3, "P2, W2, W4")]
    assert through is not None and [r[:2] for r in through.rows if r[4]] == [("grommet", "P2")]
    zone = {
        end: design.parts[end.partition(".")[0]].zone
        for w in design.wires.values()
        for end in (w.from_, w.to)
    }
    crossing = {
        n for n, w in design.wires.items() if None not in (a := {zone[w.from_], zone[w.to]}) and len(a) == 2
    }
    bare = [name for row in through.rows if row[0] == "none stated" for name in row[1].split(", ")]
    assert (
        sorted(bare) == sorted(crossing - {"P2"}) and "N4" in bare
    )  # each once, and none that stays in its zone
    labels = label_table.labels(design, wiring_schedule(facts))
    texts = {row[2]: row[0] for row in labels.rows if row[1] == "wire"}
    assert (
        texts["W1"] == "W1-20" and texts["W2"] == "W2A" and texts["N5"] == "N5-8N" and texts["N3"] == "N3-20N"
    )
    assert {r[0] for r in labels.rows if r[1] == "breaker"} == {"RADIO", "LAMP", "SPARE"}


def test_who_does_what_and_where_they_meet(facts: Facts) -> None:
    design = facts.as_written
    work = work_shares.work(design)
    shares = Counter()
    for row in work.rows:
        shares[row[0]] += row[2]
    data = yaml.safe_load(BENCH)
    zones = {"nose": "owner", "panel": "installer"}
    assert shares == Counter(zones[p["zone"]] for n, p in data["parts"].items() if n != "later-lamp")
    meet = work_shares.interfaces(design, wire_table(facts))
    assert meet is not None
    places = {(row[0], row[1], row[6]) for row in meet.rows}
    # through the bulkhead, at the plug, and a ground wire from one to the other that neither is said to run
    assert {("bulkhead", "grommet", "P2"), ("wire without `by`", "", "N4")} <= places
    assert {("connector", f"plug, pin {pin}", wire) for pin, wire in (("a", "W5"), ("b", "N1"))} <= places
    # each half of the plug goes with its wire: the lamp is the owner's, the joint in the panel the installer's
    doers = {name: work_shares.wire_doer(design, wire) for name, wire in design.wires.items()}
    assert (doers["N1"], doers["N2"], doers["N4"]) == ("owner", "installer", "")
    both = {row[2]: (row[7], row[12]) for row in termination_tables.connectors(design, None).rows}  # type: ignore[union-attr]
    assert both["a"] == both["b"] == ("owner", "installer") and both["c"] == ("", "")
    assert not any(row[6] in ("P1", "W1", "N3") for row in meet.rows)  # both ends are of one
    one_hand = read_text(BENCH.replace("by: owner", "by: installer"), "b.yaml")
    assert work_shares.interfaces(one_hand, None) is None


def test_the_interfaces_of_the_tourer_are_where_the_owner_meets_the_installer() -> None:
    """The engine side is the owner's, the panel a shop's: they meet at the plugs and at five wires."""
    design = read_design(EXAMPLES / "tourer.design.yaml")
    owned = {"K4", "K5", "K6", "N3", "N4", "N4B", "A13", "A14", "B13", "B14", "Y1", "Y3", "Y5", "Y7"}
    work = work_shares.work(design)
    assert {n for row in work.rows if row[0] == "owner" for n in str(row[7]).split(", ") if n} == owned
    assert {row[0] for row in work.rows} == {"owner", "installer"}  # nothing is left to nobody
    meet = work_shares.interfaces(design, None)
    assert meet is not None
    pins = {}
    for name, wire in design.wires.items():
        for end in (wire.from_, wire.to):
            if end.partition(".")[0].endswith("-plug"):
                pins.setdefault(end.rpartition("-")[0].replace(".", ", pin "), set()).add(name in owned)
    assert {row[1] for row in meet.rows if row[0] == "connector"} == {
        p for p, who in pins.items() if len(who) == 2
    }
    assert {row[6] for row in meet.rows if row[0] != "connector"} == {"K4", "K5", "K6", "N3", "N10"}


# ---- Every number as `wires` and `solve` give it


@pytest.mark.parametrize("name", ["bench", pytest.param("tourer", marks=pytest.mark.long)])
def test_currents_drops_and_protection_are_those_that_the_command_gives(name: str) -> None:
    facts = Facts(
        read_text(BENCH, "b.yaml") if name == "bench" else read_design(EXAMPLES / "tourer.design.yaml")
    )
    table = wires_of(facts)
    listed = loading_tables.wire_currents(facts.as_written, table)
    by_command = wires_csv(facts.as_written, table)
    assert as_csv(listed).decode("utf-8-sig").partition("\r\n")[2] == by_command  # under the cautions
    amperes, drops, states = (by_name(listed, "wire", h) for h in ("current, A", "voltage drop, V", "state"))
    points = {str(flown): facts.points.point(flown) for flown in facts.points.flown}
    assert set(amperes) == set(facts.design.wires)
    for wire, state in states.items():
        if state:
            point, spec = points[state], facts.design.wires[wire]
            assert amperes[wire] == pytest.approx(abs(point.amps[f"wires/{wire}"]), abs=0.006)
            assert drops[wire] == "" or drops[wire] == pytest.approx(
                abs(point.volts[spec.from_] - point.volts[spec.to]), abs=0.0006
            )
    loads = loading_tables.load_drops(table)
    assert loads is not None
    for row in table.loads:
        if row.continuous:
            assert by_name(loads, "load", "voltage drop, V")[row.load] == pytest.approx(
                row.continuous[1].volts, abs=0.0006
            )
    protected = by_name(listed, "wire", "circuit protection")
    if name == "bench":
        assert protected["W2"].startswith("radio-breaker 5 A, largest for the wire 7.5 A")
        # the radio draws 2 A at 14 V, the wire to it no more than the breaker that stands before it
        assert amperes["W2"] == pytest.approx(2.0, abs=0.4) and amperes["P2"] == pytest.approx(5.0, abs=0.8)


# ---- What a spreadsheet program makes of names


def test_the_cover_names_what_a_spreadsheet_program_would_change() -> None:
    """K1-2, 20A, B-5.1 and W3E are text to it; a part number of 19 digits loses the last ones."""
    changed = ("3E5", "007", "1/2", "1-2", "true", "12:30", "1.10", "MAR1")
    kept = ("K1-2", "20A", "W3E", "1.5", "12", "march-air")
    data = yaml.safe_load(BENCH)
    for number, name in enumerate((*changed, *kept)):
        data["wires"][name] = {"from": f"bus.s{number}", "to": f"joint.s{number}"}
    data["parts"]["radio"]["part-number"] = "1234567890123456789"
    words = cover._spreadsheet_words(read_text(json.dumps(data), "b.yaml"))
    named = words.partition("names such as ")[2].partition(" may turn")[0]
    assert re.split(", | and ", named) == [*changed, "1234567890123456789"]
    plain = cover._spreadsheet_words(read_text(BENCH, "b.yaml"))
    assert "schedules.xlsx" in plain and "such as" not in plain


# ---- The cautions on every schedule


def test_a_schedule_as_csv_begins_with_the_cautions_and_is_read_by_ordinary_readers(
    facts: Facts, tmp_path: Path
) -> None:
    table = wiring_tables.wire_list(facts.as_written, wiring_schedule(facts))
    content = as_csv(table)
    lines = io.StringIO(content.decode("utf-8-sig"), newline="")
    assert next(lines).rstrip() == f"# {wording.SHORT_CAUTION}" and "," not in wording.SHORT_CAUTION
    rows = list(csv.DictReader(lines))
    assert [row["wire"] for row in rows] == list(facts.as_written.wires)
    # a wire list of a package is a table of a design as it stands
    (tmp_path / "wire-list.csv").write_bytes(content)
    data = yaml.safe_load(BENCH)
    parts = {n: p for n, p in data["parts"].items() if n != "later-lamp"}
    columns = {
        "number": "wire",
        "from": "from",
        "to": "to",
        "gauge": "gauge",
        "length": "length, m",
        "colour": "colour",
    }
    made = {
        **data,
        "parts": parts,
        "tables": [{"file": "wire-list.csv", "list": "wires", "columns": columns, "units": {"length": "m"}}],
    }
    del made["wires"], made["functions"]
    path = tmp_path / "again.design.yaml"
    path.write_text(yaml.safe_dump(made, sort_keys=False), encoding="utf-8")
    again = read_design(path)
    assert {n: (w.from_, w.to, w.gauge, w.colour) for n, w in again.wires.items()} == {
        n: (w.from_, w.to, w.gauge, w.colour) for n, w in facts.as_written.wires.items()
    }


def test_cards_of_a_package_are_read_back_under_their_cautions(facts: Facts, tmp_path: Path) -> None:
    cards = power_up_cards(facts.as_written, HandoverAnswers(facts).power_up)
    path = tmp_path / "cards.csv"
    path.write_bytes(as_csv(cards))
    assert len(filled_cards(path)) == len(cards.rows) > 5
