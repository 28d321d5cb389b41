"""The schematic: every part and wire is drawn once, no line lies on another's, no symbol on
another, and the same design gives the same bytes.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as Tree
from collections import Counter
from itertools import combinations, pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reviewer.analysis.facts import Facts
from reviewer.model.design import Design
from reviewer.network.graph import bare
from reviewer.network.network_build import build_network
from reviewer.reading import read_design, read_text
from reviewer.reports.schematic.draw import PRINTED_WIDE, Artist, draw
from reviewer.reports.schematic.fitting import fitting_sheet
from reviewer.reports.schematic.lettering import ShortNames, broken, length, unhyphened
from reviewer.reports.schematic.part_names import part_words
from reviewer.reports.schematic.placement import COLUMNS, lay_out
from reviewer.reports.schematic.routing import Net, _legs_of, assign_tracks, lane_of, route
from reviewer.reports.schematic.shapes import ACTUATORS, contact
from reviewer.reports.schematic.sheet import REFERENCES, DrawnRun, Section, Sheet
from tests.oracle.generator import awkward, realistic
from tests.page.conftest import hostile_design

ROOT = Path(__file__).parent.parent
EXAMPLES = sorted((ROOT / "examples").glob("*.design.yaml"))


def designs() -> list[Design]:
    made = [read_design(path) for path in EXAMPLES] + [read_text(hostile_design(), "hostile")]
    return [
        *made,
        *(realistic(size, seed) for size, seed in ((90, 1), (150, 2), (150, 3))),
        *(awkward(seed) for seed in range(40)),
    ]


DESIGNS = designs()
SHEETS = [lay_out(design, build_network(design)) for design in DESIGNS]


def test_every_part_and_every_wire_is_drawn() -> None:
    for design, sheet in zip(DESIGNS, SHEETS, strict=True):
        symbols = {f.element for f in sheet.symbols if f.kind not in REFERENCES}
        assert symbols == {f"parts/{n}" for n, part in design.parts.items() if part.kind != "mechanical"}
        wires = Counter(run.element for run in sheet.runs if run.element.startswith("wires/"))
        assert wires == Counter({f"wires/{n}": 1 for n in design.wires})


def test_a_run_joins_the_terminals_that_its_wire_joins() -> None:
    for design, sheet in zip(DESIGNS, SHEETS, strict=True):
        network = build_network(design)
        for run in sheet.runs:
            if run.element.startswith("wires/"):
                wire = design.wires[run.element.partition("/")[2]]
                assert {network.names[n] for n in run.nodes} == {wire.from_, wire.to}
                assert run.nodes[0] in run.one.nodes and run.nodes[1] in run.other.nodes


def test_no_two_figures_share_a_place_and_all_stand_on_the_sheet() -> None:
    for sheet in SHEETS:
        taken: set[tuple[int, int]] = set()
        for symbol in sheet.symbols:
            mine = {(symbol.row, column) for column in range(symbol.column, symbol.column + symbol.width)}
            assert not mine & taken, symbol.name
            taken |= mine
            assert 0 <= symbol.row < sheet.rows and symbol.column + symbol.width <= COLUMNS


def test_sources_stand_above_what_hangs_on_them_and_returns_below() -> None:
    for sheet in SHEETS[: len(EXAMPLES)]:
        for symbol in sheet.symbols:
            for branch in symbol.children:
                if branch.beside is None and branch.symbol.parent is branch:
                    assert branch.symbol.row > symbol.row
        titled = [s.title for s in sorted(sheet.sections, key=lambda s: (s.row, s.column)) if s.title]
        assert titled == sorted(
            titled, key=["Returns", "Signals", "Other circuits", "Wired to no source"].index
        )


def lines(sheet: Sheet) -> list[tuple[DrawnRun, list[tuple[float, float]]]]:
    """The points of each run, read back from the drawing."""
    drawing = Tree.fromstring(f"<svg>{draw(sheet).svg}</svg>")
    found = []
    for number, run in enumerate(sheet.runs):
        path = next(p for p in drawing.iter("path") if p.get("id") == f"r{number}")
        x = y = 0.0
        points = []
        for letter, numbers in re.findall(r"([MHV])([-\d. ]+)", path.get("d", "")):
            values = [float(n) for n in numbers.split()]
            x, y = (
                (values[0], values[1])
                if letter == "M"
                else (values[0], y)
                if letter == "H"
                else (x, values[0])
            )
            points.append((x, y))
        found.append((run, points))
    return found


def test_a_terminal_that_several_contacts_share_is_drawn_at_each_of_them() -> None:
    """Whichever of its terminals a contact is met by, a line joins it to the others of its part."""
    shared = 0
    for sheet in SHEETS:
        joined: dict[int, set[int]] = {}
        for run in sheet.runs:
            if run.nodes[0] == run.nodes[1]:
                pair = {run.one.number, run.other.number}
                group = pair.union(
                    *(g for n in pair if (g := joined.get(n)) and run.nodes[0] in _nodes(sheet, n))
                )
                joined |= dict.fromkeys(group, group)
        at: dict[int, list[int]] = {}
        for symbol in sheet.symbols:
            if not symbol.bar and symbol.kind not in REFERENCES and symbol.kind != "signals":
                for node in symbol.ports:
                    at.setdefault(node, []).append(symbol.number)
        for numbers in at.values():
            shared += len(numbers) > 1
            for number in numbers[1:]:
                assert number in joined.get(numbers[0], {numbers[0]})
    assert shared > 20


def _nodes(sheet: Sheet, number: int) -> tuple[int, ...]:
    return next(s.nodes for s in sheet.symbols if s.number == number)


def test_contacts_that_were_met_at_their_other_ends_are_joined_at_the_one_that_they_share() -> None:
    """Two contacts of a relay have one terminal between them, which no wire leads to."""
    design = read_text(SHARED, "shared")
    network = build_network(design)
    runs = [r for r in lay_out(design, network).runs if r.element == "parts/relay"]
    shared = network.index["relay.middle"]
    assert [r.nodes for r in runs] == [(shared, shared)]
    assert {r.one.name for r in runs} | {r.other.name for r in runs} == {"relay one", "relay two"}


SHARED = """
format: 1
aircraft: {name: Bench, nominal: 14 V, airframe: metal, stage: concept}
parts:
  battery: {kind: battery, chemistry: lead-acid}
  relay:
    kind: relay
    coil: [plus, minus]
    contacts:
      one: {kind: make, joins: [left, middle]}
      two: {kind: make, joins: [right, middle]}
wires:
  W1: {from: battery.positive, to: relay.left}
  W2: {from: battery.positive, to: relay.right}
  W3: {from: battery.positive, to: relay.plus}
  W4: {from: relay.minus, to: battery.negative}
"""


def test_the_pieces_of_a_bar_are_joined_one_to_the_next() -> None:
    """A bar that goes on over several shelves needs one line from each to the next, not one from each to the first."""
    most = 0
    for sheet in SHEETS:
        pieces = [symbol for symbol in sheet.symbols if symbol.continues is not None]
        before = Counter(piece.continues for piece in pieces)
        assert set(before.values()) <= {1}
        assert all(piece.continues.element == piece.element for piece in pieces if piece.continues)
        joined = [run for run in sheet.runs if run.other.continues is run.one]
        assert len(joined) == len(pieces)
        most = max(most, *Counter(piece.element for piece in pieces).values(), 0)
    assert most > 1


def test_a_shield_is_drawn_with_the_ground_that_it_is_taken_to() -> None:
    design = read_design(ROOT / "examples" / "faulted-tourer.design.yaml")
    drawn = draw(lay_out(design, build_network(design))).svg
    shielded = {n: w.shield for n, w in design.wires.items() if w.shield is not None}
    assert shielded and drawn.count("<title>shield of ") == len(shielded)
    for name, places in shielded.items():
        ground = places[0].partition(".")[0] if places else "open"
        mine = drawn.partition(f"<title>shield of {name}</title>")[2][:300]
        assert f">{ground[:11]}" in mine and f">{name}<" in mine, name


def test_a_sheet_is_as_low_as_its_narrow_sections_allow() -> None:
    """Those with titles beside each other."""
    design = read_design(ROOT / "tests" / "aircraft" / "magneto-metal.design.yaml")
    network = build_network(design)
    sheet = fitting_sheet(design, network)
    assert draw(sheet).height < draw(lay_out(design, network, sheet.columns)).height
    rows: dict[int, list[Section]] = {}
    for section in sheet.sections:
        rows.setdefault(section.row, []).append(section)
    for beside in rows.values():
        spans = sorted((s.column, s.column + s.width) for s in beside)
        assert all(end <= begin for (_, end), (begin, _) in pairwise(spans)) and spans[-1][1] <= sheet.columns
    assert ["Ignition", "Returns"] in [[s.title for s in beside] for beside in rows.values()]


def test_a_long_run_has_its_number_along_its_way() -> None:
    """Within any five rows of a line that goes on there is its number."""
    for sheet in SHEETS[: len(EXAMPLES)]:
        drawn = draw(sheet).svg
        turned = re.findall(r'translate\(([-\d.]+) ([-\d.]+)\) rotate\(-90\)">([^<]*)<', drawn)
        for run, points in lines(sheet):
            if not run.element.startswith("wires/"):
                continue
            for (x1, y1), (x2, y2) in pairwise(points):
                if x1 == x2 and abs(y1 - y2) > 700:
                    mine = [
                        float(y)
                        for x, y, name in turned
                        if name == run.element[6:] and abs(float(x) - x1) < 5
                    ]
                    assert any(min(y1, y2) < y < max(y1, y2) for y in mine), run.element


def test_lines_are_orthogonal_and_none_lies_on_one_of_another_terminal() -> None:
    for design, sheet in zip(DESIGNS, SHEETS, strict=True):
        joined = _joined(design)
        spans: dict[tuple[str, float], list[tuple[float, float, DrawnRun]]] = {}
        for run, points in lines(sheet):
            for (x1, y1), (x2, y2) in pairwise(points):
                assert x1 == x2 or y1 == y2
                key = ("level", y1) if y1 == y2 else ("upright", x1)
                span = sorted((x1, x2) if y1 == y2 else (y1, y2))
                spans.setdefault(key, []).append((span[0], span[1], run))
        for group in spans.values():
            for (a, b, one), (c, d, other) in combinations(group, 2):
                if min(b, d) - max(a, c) > 0.01:
                    ends = {joined[n] for n in one.nodes} & {joined[n] for n in other.nodes}
                    assert ends, f"{one.element} lies on {other.element}"


def test_the_ends_of_all_runs_at_one_port_are_one_net() -> None:
    """What lies on one another there is drawn as joined, and so takes one track."""
    shared = 0
    for sheet in SHEETS[:4]:
        at_port: dict[tuple[object, ...], list[Net]] = {}
        for path in route(sheet).paths:
            run = path.run
            ends = [(run.one, run.port, path.nets[0])]
            if path.legs:
                ends.append((run.other, run.other_port, path.nets[-1]))
            for symbol, port, net in ends:
                at_port.setdefault((symbol.number, lane_of(symbol, port), port.side), []).append(net)
        for nets in at_port.values():
            assert all(net is nets[0] for net in nets)
            shared += len(nets) > 1
    assert shared > 20


def test_two_nets_that_each_want_to_be_above_the_other_are_bent_aside() -> None:
    left, right = ((0, 1), 0), ((3, 1), 0)
    one, other = Net(0, {left}, {right}), Net(0, {right}, {left})
    assert assign_tracks([one, other]) == 2 and one.track != other.track
    upper = min((one, other), key=lambda n: n.track)
    lower = other if upper is one else one
    # where the upper one goes down past the end of the lower one, it does so beside that lane
    assert upper.aside == upper.down & lower.up and not lower.aside


def _joined(design: Design) -> list[int]:
    """For each terminal a number that the terminals of one bar share."""
    network = build_network(design)
    group = list(range(len(network.names)))
    for name, part in design.parts.items():
        if part.open_ended:
            nodes = network.nodes_of[f"parts/{name}"]
            for node in nodes:
                group[node] = nodes[0]
    return group


def test_the_drawing_is_well_formed_and_always_the_same() -> None:
    for design, sheet in zip(DESIGNS, SHEETS, strict=True):
        first = draw(sheet)
        Tree.fromstring(f"<svg>{first.svg}</svg>")
        assert draw(lay_out(design, build_network(design))) == first
        assert (
            first.breaks[0] <= 20
            and list(first.breaks) == sorted(first.breaks)
            and first.breaks[-1] < first.height
        )


def test_five_hundred_parts_are_drawn_with_every_part_and_wire() -> None:
    """How long it takes is for ``python -m tests.benchmarks.review_speed drawing``."""
    design = realistic(500, 1)
    sheet = lay_out(design, build_network(design))
    drawing = draw(sheet)
    Tree.fromstring(f"<svg>{drawing.svg}</svg>")
    assert {bare(s.element) for s in sheet.symbols if s.kind not in REFERENCES} >= {
        name for name, part in design.parts.items() if part.kind != "mechanical"
    }
    assert {line.name for line in drawing.lines} >= set(design.wires)


#: how many names of a sheet have no room on its paper and are broken at a hyphen, of all (counted on 2026-11-28)
HYPHENED = {
    "tourer": (1, 157),
    "twin-split-bus": (4, 173),
    "magneto-metal": (0, 98),
    "injected-auto-pump": (0, 136),
}


@pytest.mark.parametrize("name", HYPHENED)
def test_a_name_is_broken_at_a_hyphen_only_where_its_row_has_no_room(name: str) -> None:
    """What is broken after a dot or a space is read as it is; a hyphen at the end of a line leaves doubt."""
    folder = ROOT / ("examples" if name == "tourer" else "tests/aircraft")
    design = read_design(folder / f"{name}.design.yaml")
    artist = Artist(sheet := fitting_sheet(design, build_network(design)), route(sheet))
    assert artist.width <= PRINTED_WIDE
    lines = {s.number: re.findall(r'<tspan x="[^>]*>([^<]*)', part_words(artist, s)) for s in sheet.symbols}
    at_hyphens = [s for s in sheet.symbols if any(line.endswith("-") for line in lines[s.number][:-1])]
    most, of = HYPHENED[name]
    assert len(at_hyphens) == artist.broken_names <= most and len(sheet.symbols) >= of
    for symbol in at_hyphens:  # something stands right of it before the name would end
        begin = artist.left[symbol.column] + artist.line_x
        room = min(x for x in [*artist.taken[symbol.row], artist.width] if x > begin + 28)
        longest = max(map(length, re.split(r"(?<=[. ])", symbol.name)))
        assert begin + 15 + longest > room - 12, symbol.name


@pytest.mark.parametrize(
    ("name", "room", "lines"),
    [
        ("right-alternator-limiter", 130, ["right-alternator-limiter"]),
        ("right-alternator-limiter", 60, []),
        ("engine-monitor.left-amps-b-in", 90, ["engine-monitor.", "left-amps-b-in"]),
        ("left-nacelle-connector oil-signal", 120, ["left-nacelle-connector", "oil-signal"]),
        ("a b c d", 8, []),
    ],
)
def test_a_name_that_has_room_is_never_broken_at_a_hyphen(name: str, room: float, lines: list[str]) -> None:
    assert unhyphened(name, room) == lines


@pytest.mark.parametrize(
    ("name", "lines"),
    [
        ("ignition-a-breaker", ["ignition-a-", "breaker"]),
        ("engine-monitor.starter-in", ["engine-", "monitor.", "starter-in"]),
        ("coolant-temperature", ["coolant-", "temperature"]),
        ("a-thermostatically-held", ["a-", "thermostaticall…", "held"]),
        ("x" * 14, ["x" * 14]),
        ("x" * 60, ["x" * 15 + "…"]),
        ("ignition-breaker-reserve-left-feed-2", ["ignition-", "breaker-", "…left-feed-2"]),
        ("x" * 60 + "12", ["x" * 13 + "…12"]),
        ("two words here", ["two words", "here"]),
        ("a\u202eb", ["a\\u202eb"]),
    ],
)
def test_names_are_broken_where_a_reader_would(name: str, lines: list[str]) -> None:
    assert broken(name, 12) == lines


@pytest.mark.parametrize("on_top", [True, False])
@pytest.mark.parametrize("kind", sorted(ACTUATORS))
def test_the_letter_of_what_a_switch_senses_is_never_turned_over(kind: str, on_top: bool) -> None:
    tree = Tree.fromstring(f"<svg>{contact(kind, 1, on_top)}</svg>")
    turned = [group for group in tree.iter("g") if "transform" in group.attrib]
    assert [text.text for text in tree.iter("text")] == [ACTUATORS[kind]]
    assert len(turned) == (not on_top) and not any(list(group.iter("text")) for group in turned)


def test_a_way_has_one_leg_in_a_gutter_however_many_channels_it_crosses() -> None:
    """(channel, gutter) by (channel, gutter): three channels down the second gutter, along to the first, one more down."""
    assert _legs_of([(0, 1), (1, 1), (2, 1), (3, 1), (3, 0), (4, 0)]) == [((1, 0), 0, 3), ((0, 0), 3, 4)]


@given(
    names=st.sets(st.text(alphabet="ab-1", min_size=1, max_size=12), min_size=2, max_size=12),
    room=st.integers(20, 60),
)
def test_of_names_that_are_cut_each_fits_one_name_only(names: set[str], room: int) -> None:
    short = ShortNames(names)
    for name in names:
        words = short.within(name, room)
        begin, dots, end = words.partition("\u2026")
        alike = [other for other in names if other.startswith(begin) and other.endswith(end)]
        assert words == name if not dots else alike == [name]


def test_numbers_that_differ_in_the_middle_are_cut_apart() -> None:
    short = ShortNames(["battery-plus-1", "battery-minus-1", "bus"])
    cut = {short.within(name, 57, 10.5) for name in ("battery-plus-1", "battery-minus-1")}
    assert len(cut) == 2 and all("\u2026" in one and length(one, 10.5) <= 57 for one in cut)
    assert short.within("bus", 57) == "bus"


def test_a_long_line_to_a_device_that_is_plugged_has_its_name_along_its_way() -> None:
    facts = Facts(read_design(ROOT / "tests" / "aircraft" / "twin-split-bus.design.yaml"))
    drawing = draw(fitting_sheet(facts.as_written, facts.network))
    named = re.findall(r'class="wn along"[^>]*>([^<]+)<', drawing.svg)
    plugged = [
        line.name
        for line in drawing.lines
        for (x1, y1), (x2, y2) in pairwise(line.points)
        if line.name in facts.design.parts and abs(y1 - y2) > 600
    ]
    assert plugged
    for name in plugged:
        cut = [one.split("\u2026") for one in named]
        assert any(name.startswith(one[0]) and name.endswith(one[-1]) for one in cut), name
