"""Circuits as paths: what a line makes, and each mistake in one with its place and what to write."""

from __future__ import annotations

import json
from typing import Any

import pytest

from reviewer.model.design import Design
from reviewer.model.parts import Breaker, Instrument, Load, Switch
from reviewer.reading import Unreadable, read_text
from reviewer.reading.circuits.names_in_line import misspelt

HEAD = "format: 1\naircraft: {name: Line, nominal: 14 V, airframe: metal, stage: detailed}\n"
REST = """parts:
  battery: {kind: battery}
  main-bus: {kind: bus}
  ground: {kind: ground-block}
  airframe: {kind: airframe}
  changeover: {kind: switch, positions: {a: [[common, a]], b: [[common, b]]}}
  flaps: {kind: load, supplies: [down, up]}
  nav-breaker: {kind: breaker, rating: 3 A}
wires: {W1: {from: battery.negative, to: ground.battery}}
"""


def written(*circuits: str, before: str = "") -> str:
    return HEAD + before + "circuits:\n" + "".join(f"  {c}\n" for c in circuits) + REST


def design(*circuits: str, before: str = "") -> Design:
    return read_text(written(*circuits, before=before), "x")


def mistakes(text: str) -> list[tuple[int, int, str]]:
    with pytest.raises(Unreadable) as caught:
        read_text(text, "x")
    return [(p.line, p.column, p.message) for p in caught.value.problems]


def wires_of(found: Design) -> dict[str, tuple[str, str]]:
    return {name: (w.from_, w.to) for name, w in found.wires.items() if name != "W1"}


def marked(text: str) -> tuple[str, tuple[int, int]]:
    """The text without its mark ``^``, and the place of what stands after it."""
    before, _, after = text.partition("^")
    return before + after, (before.count("\n") + 1, len(before) - before.rfind("\n"))


def test_a_line_makes_the_parts_and_wires_of_the_long_form() -> None:
    short = design(
        "radio: main-bus + breaker 5 A COM 1 (trip-free, in-flight) > 20 AWG 1.2 m bundle panel > radio (1.2 A, peak 2 A, 9 to 32 V) > 0.9 m 20 AWG > ground"
    )
    long = read_text(
        HEAD
        + REST.replace(
            "wires: {",
            """  radio-breaker: {kind: breaker, label: COM 1, rating: 5 A, reset: trip-free, accessible: in-flight, plugged-on: main-bus}
  radio: {kind: load, current: 1.2 A, peak: 2 A, minimum: 9 V, maximum: 32 V}
wires: {
  radio-1: {from: radio-breaker.load, to: radio.supply, gauge: 20 AWG, length: 1.2 m, bundle: panel},
  radio-2: {from: radio.return, to: ground.radio, gauge: 20 AWG, length: 0.9 m}, """,
        ),
        "x",
    )
    assert short == long


@pytest.mark.parametrize(
    ("path", "part"),
    [
        ("main-bus + fuse 7.5 A PUMP (blade, spares 2) > x (1 A) > ground", {"kind": "fuse", "rating": "7.5 A", "label": "PUMP", "construction": "blade", "spares": 2, "plugged-on": "main-bus"}),
        ("main-bus > fuse 7.5A > x (1 A) > ground", {"kind": "fuse", "rating": "7.5 A", "label": "C"}),
        ('main-bus > limiter 30 A "" zone-limiter > x (1 A) > ground', None),
        ("main-bus > diode 30 A (Schottky, drop 0.45 V, duty isolation, protects battery) > battery.positive", {"kind": "diode", "rating": "30 A", "technology": "schottky", "drop": "0.45 V", "duty": "isolation", "protects": "battery"}),
        ("main-bus > switch 10 A > x (1 A) > ground", {"kind": "switch", "label": "C", "positions": {"off": [], "on": [["line", "load"]]}, "rating": "10 A"}),
        ('main-bus > switch 10 A "Start" (momentary go, positions rest/go, guarded) > x (1 A) > ground', {"kind": "switch", "label": "Start", "positions": {"rest": [], "go": [["line", "load"]]}, "rating": "10 A", "momentary": ["go"], "guard": "guarded"}),
        ("main-bus > instrument display (0.5 A, 9-32 V, max ambient 70 C, supplies a, note 'Bright, dimmed', own-switch) > ground", {"kind": "instrument", "current": "0.5 A", "minimum": "9 V", "maximum": "32 V", "max-ambient": "70 C", "supplies": ["a"], "note": "Bright, dimmed", "own-switch": True}),
        ("main-bus > 2 mA > ground", None),
        ("main-bus > lamp (56 W, lamp, zone left wing, filtered false) + airframe.wing", {"kind": "load", "power": "56 W", "current": "4 A", "type": "lamp", "zone": "left wing", "filtered": False, "mounted-on": "airframe.wing"}),
        ("main-bus > shunt 60 A as meter (zone firewall) > ground", {"kind": "shunt", "rating": "60 A", "zone": "firewall"}),
        ("main-bus > bus avionics-bus 30 A", {"kind": "bus", "rating": "30 A"}),
    ],
)  # fmt: skip
def test_a_part_in_a_line_has_what_the_line_says_of_it(path: str, part: dict[str, Any] | None) -> None:
    if part is None:
        assert mistakes(written(f"c: {path}"))
        return
    made = design(f"c: {path}").parts
    given = {"battery", "main-bus", "ground", "airframe", "changeover", "flaps", "nav-breaker", "x"}
    (found,) = [p for name, p in made.items() if name not in given]
    assert found == type(found).model_validate(part)


def test_parts_in_line_are_named_after_their_circuit_and_labelled_with_it() -> None:
    found = design(
        "nav-light: main-bus + breaker 5 A > breaker 3 A > switch 5 A > switch 5 A > splice > left (1 A) > ground",
        "nav: main-bus > fuse 1 A > ground",  # nav-breaker is taken, nav-fuse is not
        "nav x: main-bus > breaker 1 A > ground",
    )
    names = [n for n, p in found.parts.items() if n.startswith("nav") and n != "nav-breaker"]
    assert names == [
        "nav-light-breaker", "nav-light-breaker-2", "nav-light-switch", "nav-light-switch-2", "nav-light-splice", "nav-fuse", "nav-x-breaker",
    ]  # fmt: skip
    labels = [getattr(found.parts[n], "label", None) for n in names]
    assert labels == ["NAV LIGHT", "NAV LIGHT 2", "NAV LIGHT", "NAV LIGHT 2", None, "NAV", "NAV X"]
    assert isinstance(found.parts["nav-light-breaker"], Breaker) and isinstance(
        found.parts["nav-light-switch"], Switch
    )
    assert (
        found.parts["nav-light-breaker"].plugged_on == "main-bus"
        and found.parts["nav-fuse"].plugged_on is None
    )
    again = design("nav: main-bus > breaker 1 A > ground")
    assert "nav-breaker-2" in again.parts and again.parts["nav-breaker"].rating == 3.0


def test_a_label_in_empty_quotes_is_none() -> None:
    assert design('c: main-bus + breaker 5 A "" > x (1 A) > ground').parts["c-breaker"].label is None


def test_a_wire_has_a_terminal_of_its_own_at_a_bus_and_none_is_taken_twice() -> None:
    found = design(
        "c: main-bus > x (1 A) > ground > y (1 A) > ground",
        "d: ground.c > z (1 A) > ground.battery",
    )
    assert wires_of(found) == {
        "c-1": ("main-bus.c", "x.supply"), "c-2": ("x.return", "ground.c-2"), "c-3": ("ground.c-3", "y.supply"), "c-4": ("y.return", "ground.c-4"),
        "d-1": ("ground.c", "z.supply"), "d-2": ("z.return", "ground.battery"),
    }  # fmt: skip


def test_terminals_are_named_in_and_out_or_once_for_a_post() -> None:
    found = design(
        "c: main-bus > changeover.a/common > flaps.down/return > ground",
        "d: main-bus > 'nav-breaker' > changeover.b/b > battery.positive",
    )
    assert wires_of(found) == {
        "c-1": ("main-bus.c", "changeover.a"), "c-2": ("changeover.common", "flaps.down"), "c-3": ("flaps.return", "ground.c"),
        "d-1": ("main-bus.d", "nav-breaker.line"), "d-2": ("nav-breaker.load", "changeover.b"), "d-3": ("changeover.b", "battery.positive"),
    }  # fmt: skip


def test_what_all_wires_have_is_said_once_and_gives_way() -> None:
    found = design(
        "c: main-bus > 1 m > x (1 A) > 18 AWG 2 m > ground; wires 20 AWG bundle panel zone cabin etfe"
    )
    one, two = found.wires["c-1"], found.wires["c-2"]
    assert (str(one.gauge), one.bundle, one.zone, one.insulation_material) == (
        "20 AWG",
        "panel",
        "cabin",
        "etfe",
    )
    assert (str(two.gauge), two.length, two.bundle) == ("18 AWG", 2.0, "panel")


@pytest.mark.parametrize("listed", ["left right", "[left right]", "[left, right]"])
def test_a_list_may_stand_in_the_brackets_of_the_long_form(listed: str) -> None:
    found = design(
        f"c: main-bus > 18 AWG 1 m through {'[left]' if '[' in listed else 'left'} bundle panel > "
        f"switch knob 5 A (positions off/on, momentary on, accessible-from {listed}) > x (1 A) > ground",
        before="",
    )
    wire, knob = found.wires["c-1"], found.parts["knob"]
    assert (wire.through, wire.bundle) == (("left",), "panel")
    assert isinstance(knob, Switch) and knob.accessible_from == ("left", "right")


@pytest.mark.parametrize(
    ("said", "shield"),
    [
        ("shield ground.a", ("ground.a",)),
        ("shield ground.a ground.b", ("ground.a", "ground.b")),
        ("shield ground.a ground.b bundle left 1 m", ("ground.a", "ground.b")),
        ("shield [ground.a, ground.b]", ("ground.a", "ground.b")),
    ],
)
def test_a_shield_is_grounded_at_one_terminal_or_two(said: str, shield: tuple[str, ...]) -> None:
    found = design(f"c: main-bus > 20 AWG {said} > x (1 A) > ground")
    (wire,) = (w for w in found.wires.values() if w.shield)
    assert tuple(wire.shield or ()) == shield


@pytest.mark.parametrize("wire", ["K7 18 AWG 1 m", "wire K7 18 AWG 1 m", "wire K7", 'wire "K7" 1 m', "K7 1 m (18 AWG, note 'old, marked', through left right, shield ground.shield)"])  # fmt: skip
def test_a_wire_may_have_its_own_name(wire: str) -> None:
    found = design(f"c: main-bus > {wire} > x (1 A) > 20 AWG > ground")
    assert list(wires_of(found)) == ["K7", "c-2"]


@pytest.mark.parametrize(
    ("scheme", "numbers"),
    [
        ("letter number segment gauge ground", ["R3A20", "R3B18N"]),
        ("circuit-wire", ["radio-1", "radio-2"]),
        ("circuit/segment", ["radio/A", "radio/B"]),
        ("letter number-wire", ["R3-1", "R3-2"]),
    ],
)
def test_wires_are_numbered_by_the_scheme_of_the_file(scheme: str, numbers: list[str]) -> None:
    found = design(
        "R3 radio: main-bus > 20 AWG > radio (1 A) > 18 AWG > ground", before=f"wire-numbers: {scheme}\n"
    )
    assert list(wires_of(found)) == numbers and "radio" in found.parts


def test_a_json_file_has_circuits_too_and_places_in_them() -> None:
    text = (
        '{"format": 1, "aircraft": {"name": "L", "nominal": "14 V", "airframe": "metal", "stage": "concept"},\n'
        ' "circuits": {"c": "battery.positive > fuse ^5 Q \\"F\\" > \\u0078 (1 A) > battery.negative"}, "parts": {"battery": {"kind": "battery"}}}'
    )
    text, place = marked(text)
    assert [m[:2] for m in mistakes(text)] == [place]
    found = read_text(text.replace("5 Q", "5 A"), "x")
    assert set(found.parts) == {"battery", "c-fuse", "x"}
    assert found.places["parts/x"] == (2, text.split("\n")[1].index("\\u0078") + 1)


def test_every_made_part_key_and_wire_has_its_place_in_the_line() -> None:
    found = design("c: main-bus + breaker 5 A NAV > 20 AWG", "    1.2 m > radio (1.2 A) > ground")
    lines = written("c: main-bus + breaker 5 A NAV > 20 AWG", "    1.2 m > radio (1.2 A) > ground").split(
        "\n"
    )
    for at, word in {
        "parts/c-breaker": "breaker", "parts/c-breaker/rating": "5 A", "parts/c-breaker/label": "NAV", "wires/c-1": "20 AWG", "wires/c-1/length": "1.2 m",
        "wires/c-1/to": "radio", "parts/radio": "radio", "parts/radio/current": "1.2 A", "wires/c-2": "> ground", "wires/c-2/to": "ground",
    }.items():  # fmt: skip
        line, column = found.places[at]
        assert lines[line - 1][column - 1 :].startswith(word), at


MISTAKES = [
    ("^mian-bus > x (1 A) > ground", "there is no part `mian-bus` (did you mean `main-bus`?)"),
    ("main-bus > ^gps > ground", "there is no part `gps`; brackets make a load of a new name, `gps (1 A)`, and a kind makes another part"),
    ("main-bus + ^braker 5 A > x (1 A) > ground", "`braker` is not a kind of part (did you mean `breaker`?)"),
    ("main-bus > ^CB 5 A > x (1 A) > ground", "`CB` is not a kind of part (did you mean `breaker`?)"),
    ("main-bus > ^solenoid 50 A > ground", "`solenoid` is not a kind of part (did you mean `contactor`?)"),
    ("main-bus > ^condenser 50 A > ground", "`condenser` is not a kind of part (did you mean `capacitor`?)"),
    ("main-bus > ^lamp 5 W > ground", "the figures of a load go in brackets: `lamp (5 W)`; anything but a load begins with its kind"),
    ("main-bus > ^radio 1.2 A > ground", "the figures of a load go in brackets: `radio (1.2 A)`; anything but a load begins with its kind"),
    ("main-bus > ^flaps 1.2 A > ground", "`flaps` is made already; its figures go there, and its name alone here"),
    ("main-bus > ^contactor 50 A > ground", "contactor: a line cannot say all that it needs; write it under `parts`, and here its name with the terminals of the path: `NAME.IN/OUT`"),
    ("main-bus > ^flaps (1 A) > ground", "`flaps` is made under `parts` already; write its name alone to pass through it, or give this one another name"),
    ("main-bus > x (1 A) > ground > ^x (1 A) > ground", "`x` is made in line 4 already; write its name alone to pass through it, or give this one another name"),
    ("main-bus > ^W1 20 AWG > x (1 A) > ground", "wire `W1` is made in line 13 already; give one of the two another name"),
    ("main-bus + breaker ^5 V > x (1 A) > ground", "`5 V` does not fit a breaker; write for example `5 A`"),
    ("main-bus + breaker 5 A ^12V > x (1 A) > ground", "`12 V` does not fit a breaker; write for example `5 A`; a label has quotes, `'12 V'`"),
    ("main-bus + breaker ^5 amps > x (1 A) > ground", "`amps` is not a unit; write `5 A`"),
    ("main-bus + breaker ^5 NAV > x (1 A) > ground", "`5` has no known unit; write for example `5 A`"),
    ("main-bus > 10 AWG ^0.3 > x (1 A) > ground", "`0.3` has no known unit; write for example `0.3 m`, `0.3 ft`"),
    ("main-bus > 10 AWG ^8' > x (1 A) > ground", "`'` is not a unit; write `8 ft`"),
    ("main-bus > ^0,7 m > x (1 A) > ground", "the decimal comma cuts the number; write `0.7 m`, with a point"),
    ("main-bus + breaker ^7,5 A NAV > x (1 A) > ground", "the decimal comma cuts the number; write `7.5 A`, with a point"),
    ("main-bus > x (^1,5 A, motor) > ground", "the decimal comma cuts the number; write `1.5 A`, with a point"),
    ("main-bus > x (1 A, peak ^2,5 A) > ground", "the decimal comma cuts the number; write `2.5 A`, with a point"),
    ("main-bus + breaker ^5Q > x (1 A) > ground", "`Q` is not a unit; write for example `5 A`"),
    ("main-bus + breaker 5 A ^7 A > x (1 A) > ground", "breaker: `rating` is given twice: 5 A and 7 A"),
    ("main-bus > ^20 A 1 m > x (1 A) > ground", "`20 A` is in the place of a wire, which has a gauge and a length (`20 AWG 1.2 m`); a part has its kind before it: `breaker 20 A`"),
    ("main-bus > x (^14 V) > ground", "`14 V` does not fit a load; say which: `minimum 14 V`, `maximum 14 V`, `nominal 14 V`"),
    ("main-bus > x (9 V to) > ground", None),
    ("main-bus > x (1 A ^peak 2 A) > ground", "`peak` follows a figure; figures are separated by commas"),
    ("main-bus > x (^peek 2 A) > ground", "`peek` is not a figure of a load (did you mean `peak`?); write for example `1.2 A`, `peak 2 A`, `9 to 32 V`, `55 W`, `motor`"),
    ("main-bus > x (^peak) > ground", "`peak` lacks its value; write for example `peak ...`"),
    ("main-bus > x ^(1 A > ground", "the bracket is not closed; write `)` after the last figure"),
    ("main-bus > x (1 A, ^(lamp)) > ground", "brackets within brackets; figures are separated by commas"),
    ("main-bus > x (1 A)^) > ground", "this bracket closes nothing; remove it"),
    ("main-bus > x (1 A)^, ground", "a comma is used in brackets only; `>` or `+` leads to the next part"),
    ("main-bus + breaker 5 A NAV ^20 AWG 1 m > x (1 A) > ground", "`20 AWG` is of a wire; write ` > ` before it"),
    ("main-bus > 20 AWG 1 m ^x (1 A) > ground", "`x` is not a figure of a wire; write ` > ` before it if it is what comes next"),
    ("main-bus > x (1 A) ^ground", "`ground` follows `)` without a join; write ` > ` for a wire or ` + ` between them"),
    ("main-bus ^-> x (1 A) > ground", "an arrow is written ` > `, with a space before and after it"),
    ("^main-bus+breaker 5 A > x (1 A) > ground", "a ` + ` has a space before and after it: `main-bus + breaker`"),
    ("main-bus > ^x (1 A)", "the path stops at the load `x`; continue with ` > ` to its ground, or write `mounted-on` with its case ground in the brackets"),
    ("main-bus > ^fuse 5 A", "the path stops at the fuse `c-fuse`; continue with ` > ` to what it feeds, or write a spare one under `parts`: `c-fuse: {kind: fuse, unused: [load]}`"),
    ("main-bus + ^breaker 5 A SPARE", "the path stops at the breaker `c-breaker`; continue with ` > ` to what it feeds, or write a spare one under `parts`: `c-breaker: {kind: breaker, plugged-on: main-bus, unused: [load]}`"),
    ("main-bus > ^diode.cathode/anode > x (1 A) > ground", "`diode` is a kind; terminals are of a part: write `diode-1: {kind: diode}` under `parts`, and here `diode-1.cathode/anode`"),
    ("main-bus > diode 3 A ^cathode > x (1 A) > ground", "`cathode`: a path passes a diode that it makes in one direction; for other terminals write `diode-1: {kind: diode}` under `parts`, and here `diode-1.cathode/anode`"),
    ("main-bus > diode ^reversed > x (1 A) > ground", "`reversed`: a path passes a diode that it makes in one direction; for other terminals write `diode-1: {kind: diode}` under `parts`, and here `diode-1.cathode/anode`"),
    ("main-bus > diode ^iso.cathode/anode > x (1 A) > ground", "`iso.cathode/anode`: a path passes a diode that it makes in one direction; for other terminals write `iso: {kind: diode}` under `parts`, and here `iso.cathode/anode`"),
    ("main-bus > diode 3 A ^< x (1 A) > ground", "`<` is no join; write the path from source to ground, with ` > `"),
    ("ground ^< x (1 A) < breaker 5 A + main-bus", "`<` is no join; write the path from source to ground, with ` > `"),
    ("^fuse 5 A > x (1 A) > ground", "a path begins at a bus or source, such as `main-bus`, not at the fuse `c-fuse`"),
    ("main-bus > x (1 A) > ^20 AWG 1 m", "the path ends with a wire; continue with ` > ` and where it ends"),
    ("^1.2 m > x (1 A) > ground", "a path begins at a bus or source, such as `main-bus`, not at `1.2`"),
    ("^1.2 m #18", "` #` begins a comment, so `#18` is not read; write the gauge as `18 AWG`"),
    ("main-bus > ^1.2 m #18 > x (1 A) > ground", "` #` begins a comment, so `#18` is not read; write the gauge as `18 AWG`"),
    ("main-bus > ^flapps (1 A) > ground", "`flapps` would be a new load; there is `flaps` under `parts`. Write that name alone; a load of this name goes under `parts` too"),
    ("main-bus > x (1 A) ^>", "nothing follows here; write where the path ends"),
    ("main-bus > ^> x (1 A) > ground", "a part is missing before `>`"),
    ("main-bus > 20 AWG 1 m ^+ x (1 A) > ground", "after a wire comes ` > `; ` + ` is for what is plugged or bolted on"),
    ("main-bus ^+ x (1 A) > ground", "` + ` is for a breaker, fuse or limiter after the bus that it is plugged on, and for a load before what its case is bolted to; between `main-bus` and `x` write ` > ` with a wire"),
    ("^battery > x (1 A) > ground", "at which terminal of the battery `battery`? It has positive, negative; write for example `battery.positive`"),
    ("main-bus > ^changeover > x (1 A) > ground", "at which terminal of the switch `changeover`? It has common, a, b; write for example `changeover.common/a`, in and out"),
    ("main-bus > ^flaps > ground", "at which terminal of the load `flaps`? It has down, up, return; write for example `flaps.down/return`, in and out"),
    ("main-bus > ^changeover.common > ground", "does the path go through `changeover`, or are two wires on its common? Write `changeover.common/OUT` with the terminal where it goes out, or `changeover.common/common`"),
    ("main-bus > ^battery.plus", "battery has no terminal `plus`; it has positive, negative"),
    ("^main-bus. > x (1 A) > ground", "a terminal is missing after the dot of `main-bus.`"),
    ("main-bus > switch 5 A (positions ^a/b/c) > x (1 A) > ground", "a switch in a line has two positions, the second one closed: `positions down/up`; write one of more under `parts`"),
    ("main-bus > instrument (inputs ^oil) > ground", "`inputs` has several lines; write instrument under `parts`, and its name alone here"),
    ("main-bus > breaker 5 A NAV ^trip-free > x (1 A) > ground", "write `trip-free` in brackets: `(trip-free)`"),
    ("main-bus > breaker 5 A NAV ^radio > x (1 A) > ground", "`radio` is not a figure of this part; a label is in capitals or in quotes, a name follows `as`, figures with a key go in brackets"),
    ("main-bus > breaker 5 A ^as > x (1 A) > ground", "a name is missing after `as`"),
    ("main-bus > x (1 A) > ground^; all 20 AWG", "after `;` comes what all wires of the path have: `; wires 20 AWG bundle NAME`"),
    ("main-bus > x (1 A) > ground; wires 20 AWG ^> ground", "`>` is after the end of the path; `; wires ...` comes last"),
    ("main-bus > x (note ^\"old > ground", None),
    ("^5", "expected a path, found the number 5; write for example `main-bus + breaker 5 A > 20 AWG 1.2 m > radio (1.2 A) > ground`"),
]  # fmt: skip


@pytest.mark.parametrize(("path", "sentence"), MISTAKES, ids=range(len(MISTAKES)))
def test_a_mistake_in_a_path_has_one_sentence_at_its_word(path: str, sentence: str | None) -> None:
    text, place = marked(written(f"c: {path}"))
    if sentence is None:
        assert len(mistakes(text)) == 1
    else:
        assert mistakes(text) == [(*place, f"circuit c: {sentence}")]


def test_a_part_that_is_missing_where_several_circuits_lead_is_one_mistake() -> None:
    several = written(
        "a: ^aft-rail > x (1 A) > ground", "b: aft-rail > y (1 A) > ground", "c: aft-rail > z (1 A) > ground"
    )
    text, place = marked(several)
    said = "there is no part `aft-rail`, where 3 circuits lead; write it under `parts`, for example `aft-rail: {kind: bus}`"
    assert mistakes(text) == [(*place, f"circuit a: {said}")]
    text, place = marked(written("a: ^aft-rail > x (1 A) > ground", "b: main-bus > y (1 A) > ground"))
    ((*at, alone),) = mistakes(text)
    assert tuple(at) == place and "circuits lead" not in alone
    # what else names it adds nothing, and its terminals say what it is
    text, _ = marked(written("a: main-bus > gauge.supply-a", "b: gauge.volts-in > ground"))
    text += "functions: {look: {any: 1, of: [gauge], loss: minor}}\n"
    ((*_, said),) = mistakes(text)
    assert said.endswith("for example `gauge: {kind: instrument}`")


def test_a_load_typed_under_another_name_is_one_mistake() -> None:
    text = """\
format: 1
aircraft: {name: L, nominal: 14 V, airframe: metal, stage: concept}
parts: {battery: {kind: battery}}
circuits:
  a: battery.positive > fuse 5 A LEFT > left-ignition (1 A) > battery.negative
  b: battery.positive > fuse 5 A RIGHT > left-ignition (1 A) > battery.negative
functions:
  ignition: {any: 1, of: [left-ignition, right-ignition], loss: minor}
"""
    (found,) = mistakes(text)
    assert found[0] == 6 and "`left-ignition` is made in line 5 already" in found[2]
    other = mistakes(text.replace("[left-ignition, right-ignition]", "[left-ignition, transponder]"))
    assert len(other) == 2 and "transponder" in other[1][2]


def test_a_missing_part_is_suggested_by_its_terminals_and_by_whether_paths_end_there() -> None:
    text, _ = marked(written("a: ^cell.positive > x (1 A) > tab", "b: cell.negative > tab"))
    said = [sentence.rpartition(", for example ")[2] for _, _, sentence in mistakes(text)]
    assert said == ["`cell: {kind: battery}`", "`tab: {kind: ground-block}`"]


@pytest.mark.parametrize(
    ("written_part", "label", "key", "value"),
    [
        ("switch 10 A GEAR", "GEAR", "operated_by", "hand"),
        ("switch 10 A STALL WARNING", "STALL WARNING", "operated_by", "hand"),
        ("switch 10 A PITOT KEY", "PITOT KEY", "guard", None),
        ("switch 10 A key START", "START", "guard", "key"),
        ("breaker 5 A ELECTRONIC IGNITION", "ELECTRONIC IGNITION", "reset", None),
        ("breaker 5 A trip-free IGNITION", "IGNITION", "reset", "trip-free"),
    ],
)
def test_words_in_capitals_on_a_switch_or_breaker_are_its_label(
    written_part: str, label: str, key: str, value: str | None
) -> None:
    found = design(f"c: main-bus > {written_part} > x (1 A) > ground").parts[f"c-{written_part.split()[0]}"]
    assert (found.label, getattr(found, key)) == (label, value)


@pytest.mark.parametrize(
    ("path", "sentence"),
    [
        ("main-bus > x (1 A, duty ^often) > ground", "load x: `duty` is `often`; it may be `continuous`, `intermittent`"),
        ("main-bus > fuse ^-5 A > x (1 A) > ground", "fuse c-fuse: `rating`: `-5 A` must be more than zero"),
        ("main-bus > 20 AWG ^5000 m > x (1 A) > ground", "wire c-1: `length`: `5000 m` is out of range; a length must be 0.1 mm to 1000 m; write for example `0.6 m`"),
        ("main-bus > ^20 AWG 1 m zone cabin > x (1 A, turns ^left) > ground", "load x: the aircraft has no `engines`; name them there, or remove `turns`"),
    ],
)  # fmt: skip
def test_a_mistake_of_the_model_is_told_at_the_word_of_the_path(path: str, sentence: str) -> None:
    head, _, last = path.rpartition("^")
    text, place = marked(written(f"c: {head.replace('^', '')}^{last}"))
    assert mistakes(text) == [(*place, sentence)]


_CUT = "put the whole path in quotes"
TRAPS = [
    ("c: main-bus > ^x (1 A) #2 and > ground", "circuit c: the path stops at the load `x`", False),
    ("c: main-bus > x ^(1 A, # 9 to 32 V) > ground", "circuit c: the bracket is not closed; write `)` after the last figure; ` #` cuts the path here, what follows is a comment: " + _CUT, True),
    ("c: main-bus > changeover.^a #2 > ground", "circuit c: ` #` cuts the path here, and what follows it looks like more of it; put the whole path in quotes, or the comment on a line of its own", True),
    ("c: main-bus > ^1.2 m #18 through left > x (1 A) > ground", "circuit c: ` #` begins a comment, so `#18` is not read; write the gauge as `18 AWG`", True),
    ("c: main-bus + breaker 5 A COM^: 1 > x (1 A) > ground", "in `circuits`: a `: ` in a path makes a key of what is before it; " + _CUT, True),
    ("c: ^> main-bus > x (1 A) > ground", "in `circuits`: a `>` at the start makes a block of text of it; a path begins at a bus or source", True),
    ("c: ^| main-bus > x (1 A) > ground", "in `circuits`: a `|` at the start makes a block of text of it; a path begins at a bus or source", True),
    ("c: *main-bus ^> x (1 A) > ground", f"in `circuits`: a `*` at the start makes a reference of it; {_CUT}, or leave the `*` out", True),
    ("c: ^!main-bus + fuse 5 A > x (1 A) > ground", "`!main-bus` is a tag; leave it out", True),
    ("c: ^&main-bus + fuse 5 A > x (1 A) > ground", "`&main-bus` is an anchor; leave it out and write values where they belong", True),
    ('c: "main-bus" ^> x (1 A) > ground', "in `circuits`: a quote at the start ends the text at the next quote; put the whole path in single quotes `'`", True),
    ("c: 'main-bus' ^> x (1 A) > ground", 'in `circuits`: a quote at the start ends the text at the next quote; put the whole path in double quotes `"`', True),
    ("c: ^- main-bus > x (1 A) > ground", "in `circuits`: a `- ` at the start makes a list of it; a path begins at a bus or source", True),
    ("c: ^@main-bus > x (1 A) > ground", f"in `circuits`: no text begins with `@`; {_CUT}", True),
    ("c: ^{main-bus > x (1 A) > ground", f"in `circuits`: a `{{` at the start makes a group of keys of it; {_CUT}", True),
    ("c: ^[main-bus > x (1 A) > ground", f"in `circuits`: a `[` at the start makes a list of it; {_CUT}", True),
    ("c:\n    ^- main-bus > x (1 A) > ground", "circuit c: expected a path, found a list of 1; write the path after the colon, without `-` or brackets", True),
    ("c: main-bus >\n    # the radio\n    ^x (1 A) > ground", "in `circuits`: a comment between the lines of a path ends it; put it above the circuit", True),
    ("c: main-bus > # the radio\n    ^x (1 A) > ground", "in `circuits`: a comment between the lines of a path ends it; put it above the circuit", True),
    ("c: |\n    main-bus > x (1 A) ^# the radio\n    > ground", "circuit c: in a block of text `#` begins no comment; put the comment above the circuit", True),
    ("^c main-bus > x (1 A) > ground\n  d: main-bus > ground", "in `circuits`: a line in `circuits` is `name: path`; write the name of the circuit and a colon before the path", True),
    ("c: ^? main-bus > x (1 A) > ground", "in `circuits`: a `? ` at the start makes a key of it; a path begins at a bus or source", True),
    ("c: ^%main-bus > x (1 A) > ground", f"in `circuits`: no text begins with `%`; {_CUT}", True),
    ("c: main-bus > x (1 A) > ground^:", f"in `circuits`: a `: ` in a path makes a key of what is before it; {_CUT}", True),
    ("^c:main-bus > x (1 A) > ground", "expected paths by the name of their circuit, found `c:main-bus > x (1 A) > ground`; a space follows the colon of a name: `c: ...`", True),
    ("^a.b: main-bus > x (1 A) > ground", "the name `a.b` of a circuit must have letters and no dot: parts are named after it", True),
]  # fmt: skip


@pytest.mark.parametrize(("circuit", "sentence", "whole"), TRAPS, ids=range(len(TRAPS)))
def test_what_yaml_makes_of_a_path_has_its_sentence(circuit: str, sentence: str, whole: bool) -> None:
    text, place = marked(written(circuit))
    if whole:
        assert mistakes(text) == [(*place, sentence)]
    else:
        assert all("looks like more of it" in message for _, _, message in mistakes(text))


@pytest.mark.parametrize(
    "path",
    ["main-bus > x (^5 V) > ground # from the bus > to ground", "'main-bus > x (^5 V)' # the bus > to x"],
)
def test_a_comment_is_not_blamed_for_a_mistake_before_the_last_step_or_in_quotes(path: str) -> None:
    text, place = marked(written(f"c: {path}"))
    said = next(message for *at, message in mistakes(text) if tuple(at) == place)
    assert said.startswith("circuit c: `5 V` does not fit a load") and "#" not in said


@pytest.mark.parametrize("rest", ["(1 A, ^9 to 32 V) > ground", "(1 A, peak 2 A, lamp) > ground"])
def test_a_comma_in_braces_is_told_once(rest: str) -> None:
    text = written("c: main-bus > ground").replace(
        "circuits:\n  c: main-bus > ground", "circuits: {c: main-bus > x " + rest.replace("^", "") + "}"
    )
    said = "in braces `{ }` a comma makes another key; put the path in quotes, or give each circuit a line of its own"
    assert [m[2] for m in mistakes(text)] == [f"circuit c: {said}"]


@pytest.mark.parametrize(
    "circuit",
    [
        "c: main-bus > x (1 A) > ground  # the first radio",
        "c: main-bus > x (1 A,\n    9 to 32 V)\n\n    > ground",
        "c: >\n    main-bus > x (1 A)\n    > ground",
        "c: |-\n    main-bus > x (1 A)\n    > ground",
        "c: 'main-bus > x (1 A)\n    > ground'",
        'c: "main-bus > x (1 A) \\\n    > ground"',
        "c:\n    # the radio\n    main-bus > x (1 A) > ground",
        "c: main-bus>x(1 A)>ground",
    ],
)
def test_every_way_of_writing_text_is_read(circuit: str) -> None:
    found = design(circuit)
    assert wires_of(found) == {"c-1": ("main-bus.c", "x.supply"), "c-2": ("x.return", "ground.c")}
    assert found.parts["x"].current == 1.0 and isinstance(found.parts["x"], Load | Instrument)


def test_mistakes_of_several_circuits_are_told_in_one_run_and_none_makes_another() -> None:
    text = written(
        "a: main-bus > radio (1 Q) > ground",
        "b: main-bus > lamp 3 A > ground",
        "c: main-bus > gps (1 A) > gruond",
    )
    text += "functions: {talk: {any: 1, of: [radio], loss: minor}, see: {any: 1, of: [lamp], loss: minor}, go: {any: 1, of: [gps], loss: minor}}\n"
    assert [message.partition(": ")[0] for _, _, message in mistakes(text)] == [
        "circuit a",
        "circuit b",
        "circuit c",
    ]


@pytest.mark.parametrize("scheme", ["letter number", "segment", "circuit-colour", "7", "[circuit]"])
def test_a_scheme_of_numbers_that_says_too_little_is_a_mistake(scheme: str) -> None:
    found = mistakes(written("R1 c: main-bus > x (1 A) > ground", before=f"wire-numbers: {scheme}\n"))
    assert len(found) == 1 and found[0][:2] == (3, 15) and "it is made of circuit, letter" in found[0][2]


def test_a_scheme_with_letters_wants_them_in_every_circuit() -> None:
    found = mistakes(
        written("radio: main-bus > x (1 A) > ground", before="wire-numbers: letter number segment\n")
    )
    assert found == [
        (5, 3, "circuit radio: `wire-numbers` needs its letter and number before its name: `R1 radio: ...`")
    ]


@pytest.mark.parametrize("circuits", ["5", "[a]", "a > b"])
def test_circuits_are_a_group(circuits: str) -> None:
    text = HEAD + f"circuits: {circuits}\n" + REST
    assert [m[2].partition(", found")[0] for m in mistakes(text)] == [
        "expected paths by the name of their circuit"
    ]


def test_a_file_of_circuits_alone_needs_neither_parts_nor_wires() -> None:
    text = HEAD + "circuits: {c: bus b > fuse 5 A > x (1 A) > ground-block g}\n"
    assert set(read_text(text, "x").parts) == {"b", "c-fuse", "x", "g"}


def test_a_path_that_is_too_long_is_refused_and_many_mistakes_end_soon() -> None:
    long = json.dumps({"format": 1, "circuits": {"c": "a > " * 1300 + "b"}})
    assert [m[2] for m in mistakes(long)] == ["a path of 5,201 characters is not read; 5,000 is the most"]
    many = json.dumps({"format": 1, "circuits": {f"c{i}": "a > > b" for i in range(4000)}})
    found = mistakes(many)
    assert len(found) < 1000 and any("correct these first" in m[2] for m in found)


@pytest.mark.parametrize(
    ("name", "slip"),
    [
        ("radoi", True), ("rado", True), ("raadio", True), ("rafio", True), ("radio-2", False), ("radios", False), ("audio", False), ("gps", False),
    ],
)  # fmt: skip
def test_a_slip_of_one_letter_is_told_from_alike_parts(name: str, slip: bool) -> None:
    assert misspelt(name, ["main-bus", "radio"]) == ("radio" if slip else "")
    assert misspelt("pump-b", ["pump-a"]) == misspelt("nav-2", ["nav-1"]) == misspelt("lamps", ["lamp"]) == ""
