"""Broken files: every mistake is told once, with its place and what to write, and nothing else happens."""

from __future__ import annotations

import json
import pickle
import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from reviewer.model.design import Design
from reviewer.reading import Unreadable, read_design, read_text
from reviewer.reading.problem import nearest

HERE = Path(__file__).parent
GOOD = (HERE.parent / "rules" / "bases" / "bench.yaml").read_text(encoding="utf-8")
CASES = json.loads((HERE / "bad_files.json").read_text(encoding="utf-8"))
settings.register_profile("reading", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("reading")


def problems(content: str | bytes) -> list[tuple[int, int, str]]:
    with pytest.raises(Unreadable) as caught:
        read_text(content, "x.yaml")
    return [(p.line, p.column, p.message) for p in caught.value.problems]


@pytest.mark.parametrize("case", CASES, ids=range(len(CASES)))
def test_a_mistake_is_told_with_its_place_and_what_to_write(case: dict) -> None:
    assert GOOD.count(case["replace"]) >= 1
    assert problems(GOOD.replace(case["replace"], case["by"], 1)) == [tuple(p) for p in case["problems"]]


def test_mistakes_in_ten_places_are_all_told_in_one_run() -> None:
    text = GOOD
    picked = [CASES[i] for i in (0, 11, 15, 16, 18, 30, 41, 50, 60, 68)]
    for case in picked:
        assert text.count(case["replace"]) >= 1
        text = text.replace(case["replace"], case["by"], 1)
    found = [message for _, _, message in problems(text)]
    for case in picked:
        for _, _, message in case["problems"]:
            assert message in found
    assert len(found) == len(set(found))


def sentences(replace: str, by: str) -> list[str]:
    assert GOOD.count(replace) >= 1
    return [message for _, _, message in problems(GOOD.replace(replace, by, 1))]


OF = "[left-ignition, right-ignition]"
RELAY = "  tie: {kind: relay, coil: [plus, minus], contacts: {main: {kind: changeover, CONTACT}}}"


@pytest.mark.parametrize(
    ("by", "said"),
    [
        (f"all: {OF}", f"has no key `all` here; write for example `any: 2, of: {OF}`"),
        (f"any: {OF}", f": `any` is how many of the channels are enough; write `any: 1, of: {OF}`"),
    ],
)
def test_a_function_in_other_words_is_one_mistake(by: str, said: str) -> None:
    (found,) = sentences(f"any: 1, of: {OF}", by)
    assert found.replace(" :", ":") == f"function ignition{'' if said[0] == ':' else ' '}{said}"


@pytest.mark.parametrize(
    ("contact", "ends"),
    [
        ("joins: [a, b, c]", "common: a, de-energised: b, energised: c"),
        ("joins: [a, b]", "common: common, de-energised: rest, energised: line"),
    ],
)
def test_a_changeover_contact_with_joins_is_one_mistake(contact: str, ends: str) -> None:
    (found,) = sentences("parts:\n", f"parts:\n{RELAY.replace('CONTACT', contact)}\n")
    assert found == f"relay tie has no key `joins` here; write for example `{ends}`"


def test_a_minimum_above_the_maximum_is_a_mistake() -> None:
    gauge = "  gauge: {kind: instrument, minimum: MIN, maximum: 15 V}\n"
    said = "instrument gauge: `minimum` 17 V is above `maximum` 15 V; exchange them, or correct one"
    assert sentences("parts:\n", f"parts:\n{gauge.replace('MIN', '17 V')}") == [said]
    # equal ones are no such mistake
    read_text(GOOD.replace("parts:\n", f"parts:\n{gauge.replace('MIN', '15 V')}", 1), "x.yaml")


@pytest.mark.parametrize(
    ("key", "number", "wanted"),
    [
        ("endurance", "45", "45 min"),
        ("endurance", "2700", "2700 s"),
        ("endurance", "0", "0 min"),
        ("recognition-time", "5", "5 min"),
    ],
)
def test_a_number_without_a_unit_gets_one_of_the_size_of_its_key(key: str, number: str, wanted: str) -> None:
    assert sentences("  normal: cruise", f"  normal: cruise\n  {key}: {number}") == [
        f"operation: `{key}`: the number {number} has no unit; write for example `{wanted}`"
    ]


@pytest.mark.parametrize(("number", "wanted"), [("0.4", "0.4 m"), ("5", "5 m"), ("24", "24 in")])
def test_a_length_far_from_that_of_a_wire_has_another_unit(number: str, wanted: str) -> None:
    assert sentences("length: 0.4 m", f"length: {number}") == [
        f"wire W1: `length`: the number {number} has no unit; write for example `{wanted}`"
    ]


@pytest.mark.parametrize(
    ("by", "told"),
    [
        ("length: 0,4 m", ["the decimal comma cuts the number; write `0.4 m`, with a point"]),
        ("length: 0,125 m", ["the decimal comma cuts the number; write `0.125 m`, with a point"]),
        (
            'length: "0,4 m"',
            ["wire W1: `length`: `0,4 m` has a decimal comma; write `0.4 m`, with a point"],
        ),
    ],
)
def test_a_decimal_comma_is_told_as_that(by: str, told: list[str]) -> None:
    assert sentences("length: 0.4 m", by) == told


@pytest.mark.parametrize("by", ["length: 1,500 m", "length: 0, 4 m", "length: 4,x"])
def test_a_comma_that_may_be_another_is_no_decimal_comma(by: str) -> None:
    assert not any("decimal comma" in message for message in sentences("length: 0.4 m", by))


def test_a_state_that_is_not_there_is_told_with_those_that_are() -> None:
    (said,) = sentences("  normal: cruise", "  normal: somewhere")
    assert said.startswith("operation: there is no state `somewhere`; there are ") and "cruise" in said


def test_a_switch_misspelt_in_a_state_is_told_once_and_not_by_the_states_that_are_like_it() -> None:
    like = "\n    again: {like: cruise, use: abnormal}\n    third: {like: again, use: abnormal}"
    for written, words in (
        ("mastr: up,", "there is no switch `mastr`"),
        ("", "gives no position for master"),
    ):
        text = GOOD.replace("{master: up,", f"{{{written}", 1).replace("  states:", f"  states:{like}", 1)
        assert text.count("like: ") >= GOOD.count("like: ") + 2
        told = [message for _, _, message in problems(text)]
        assert len(told) == 1 and told[0].startswith("state cruise") and words in told[0]


@pytest.mark.parametrize(
    ("replace", "by", "said"),
    [
        ("{master: up,", "{master: ,", "state cruise: `master` has no position; it may be `down`, `up`: write `master: up`"),
        ("{master: up,", "{master: true,", "state cruise: `master` has no position `true`; it may be `down`, `up`: write `master: up`"),
        ("{master: up,", "{master: false,", "state cruise: `master` has no position `false`; it may be `down`, `up`: write `master: down`"),
        ("  states:", "  actions: {off: {move: {master: }}}\n  states:", "action off: `master` has no position; it may be `down`, `up`: write `master: up`"),
        ("  states:", "  actions: {off: {move: {left-fuse: }}}\n  states:", "action off: `left-fuse` has no position; it may be `pulled`, `in`: write `left-fuse: in`"),
        ("  states:", "  actions: {off: {master: down}}\n  states:", "action off: what is moved stands under `move`; write `move: {master: down}`"),
        ("of: [left-ignition, right-ignition]", "of: [left-igniter, right-ignition]", "function ignition: there is no load or function `left-igniter` (did you mean `left-ignition`?)"),
        ("of: [left-ignition, right-ignition]", "of: [vacuum, right-ignition]", "function ignition: there is no load or function `vacuum`; one that needs no electricity is `{mechanical: vacuum}`"),
        ("\nwires:", "\ncircuits: {reserve: {assembly: reserve-battery}}\nwires:", "circuit reserve: expected a path, found a group of keys; an assembly stands under `installed`, beside `circuits`"),
        ("gauge: 4 AWG", "gauge: AWG 4", "wire W1: `gauge`: `AWG 4` is not a wire size; write `4 AWG`"),
        ("gauge: 4 AWG", "gauge: '#4'", "wire W1: `gauge`: `#4` is not a wire size; write `4 AWG`"),
        ("gauge: 4 AWG", "gauge:4 AWG", "wire W1: a space follows the colon of a key; write `gauge: 4 AWG`"),
        ("main-bus: {kind: bus}", "main-bus: {kind:bus}", "part main-bus: a space follows the colon of a key; write `kind: bus`"),
        ("main-bus: {kind: bus}", "main-bus:", "expected part main-bus, a group of keys, found nothing; write for example `main-bus: {kind: load}`"),
    ],
)  # fmt: skip
def test_one_mistake_has_one_message_that_says_what_to_write(replace: str, by: str, said: str) -> None:
    assert sentences(replace, by) == [said]


@pytest.mark.parametrize(
    ("word", "near"),
    [
        ("ign-one", " (did you mean `ign-1` or `ign-2`?)"),
        ("ign-11", " (did you mean `ign-1`?)"),
        ("firee", " (did you mean `fire`?)"),
    ],
)
def test_names_that_are_equally_near_are_both_suggested(word: str, near: str) -> None:
    assert nearest(word, ["ign-1", "ign-2", "fire"]) == near


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("alt-field: up", "there is no switch `alt-field` (did you mean `alternator-switch`?)"),
        ("alternator: up", "`alternator` is an alternator, not a switch"),
        ("left-ignition: up", "`left-ignition` is a load, not a switch"),
        ("audio-panl: up", "there is no switch `audio-panl`"),
    ],
)
def test_for_a_switch_only_switches_are_suggested_and_those_by_their_label_too(
    written: str, words: str
) -> None:
    told = [m for _, _, m in problems(GOOD.replace("alternator-switch: up", written, 1)) if words in m]
    assert told and all("did you mean" not in m or "-switch`?" in m for m in told)


@pytest.mark.parametrize(
    ("position", "near"),
    [
        ("on", ""),
        ("off", ""),
        ("n", ""),
        ("dow", " (did you mean `down`?)"),
        ("upp", " (did you mean `up`?)"),
        ("dn", ""),
        ("d", ""),
    ],
)
def test_only_what_is_near_is_suggested_for_a_position(position: str, near: str) -> None:
    assert sentences("{master: up,", f"{{master: {position},") == [
        f"state cruise: master has no position `{position}`{near}; it has down, up"
    ]


def test_the_zone_of_a_wire_is_one_of_the_aircraft_and_free_where_it_lists_none() -> None:
    text = GOOD.replace("bundle: left}", "bundle: left, zone: cabbin}", 1)
    assert read_text(text, "x.yaml").wires["W20"].zone == "cabbin"
    listed = text.replace("stage: detailed}", "stage: detailed, zones: {cabin: {}}}")
    assert [message for _, _, message in problems(listed)] == [
        "wire W20: there is no zone `cabbin` (did you mean `cabin`?)"
    ]


def test_a_seat_is_one_of_those_that_it_is_flown_from_and_free_where_none_is_listed() -> None:
    text = GOOD.replace("label: MASTER,", "label: MASTER, accessible-from: [left-seat, right-seat],")
    assert read_text(text, "x.yaml").parts["master"].accessible_from == ("left-seat", "right-seat")
    listed = text.replace("stage: detailed}", "stage: detailed, pilot-seats: [left-seat]}")
    assert [message for _, _, message in problems(listed)] == [
        "switch master: there is no seat `right-seat` (did you mean `left-seat`?)"
    ]


#: what is no design: its content, the place of a mistake and words of it
NO_DESIGN: list[tuple[str | bytes, tuple[int, int], str]] = [
    ("", (1, 1), "empty"),
    ("# nothing\n", (1, 1), "holds no design"),
    ("- 1\n", (1, 1), "expected a design"),
    ("just text", (1, 1), "expected a design"),
    ("a: 1\n---\nb: 2\n", (2, 1), "second document"),
    ("? [a]\n: b\n", (1, 3), "plain word"),
    (b"\xff\xfea", (1, 1), "not UTF-8"),
    (b"format: 1\nx: \x80", (2, 4), "not UTF-8"),
    ("format: 1\nx: \x00", (2, 4), "U+0000"),
    ("format: 1\r# x\rx: \x07", (3, 4), "U+0007"),
    # each ends a line for YAML alone, so that all that follows would stand in another line than an editor shows
    *((f"format: 1\n# a{sign}\nparts: 3\n", (2, 4), f"U+{ord(sign):04X}") for sign in "\x85\u2028\u2029"),
    ("a: " + "[" * 60 + "]" * 60, (1, 54), "nested more than 50"),
    ("\ud800", (1, 1), "not UTF-8"),
    ("a: [1, 2", (1, 4), "the `[` here has no end"),
    ("a:\n  b: [1, 2\n  c: 3\n", (2, 6), "the `[` here has no end; write the one that closes it"),
    ("a:\n  b: {x: 1\n  c: {y: 2}\n", (2, 6), "the `{` here has no end; write the one that closes it"),
    ("a:\n  b: {x: 1,\n    y 2,\n    z: 3 w: 4}\n", (4, 11), "`}` is missing; put a comma before the key"),
    ("a:\n  b: {x: #1}\n  c: 2\n", (2, 6), "has no end; write the one that closes it; ` #` begins a comment"),
    ("a: {b: 1 c: 2}\n", (1, 11), "a `,` or `}` is missing; put a comma before the key"),
    (
        "a:\n  b: 1\n    c: 2\n",
        (3, 6),
        "indented more than line 2, which has its value already; begin it in column 3",
    ),
    ("a:\n  b:1 x\n  c: 2\n", (2, 3), "`b:` has no space after its colon; write `b: 1 x`"),
    ("a:\n  c: 2\n  b:1 x\nd:\n  e: 1\n", (3, 3), "`b:` has no space after its colon; write `b: 1 x`"),
    ("a: {b:}\n", (1, 6), "a key without a value; write one, or leave the key out"),
    ("a: {b: ?}\n", (1, 8), "a value is expected; write one, or leave the key out"),
    ("a:\n  x: (b: 1)\n", (2, 8), "a group of keys stands in round brackets; write `{b: 1}`"),
    (
        "parts:\n  x: {kind: bus}\n  wires:\n  W1: {from: x.a, to: x.b}\n",
        (3, 3),
        "`wires` is a section and stands within `parts`",
    ),
    ("a: b: c\n", (1, 5), "a second colon in one entry; put text that has a colon in quotes"),
    ("a:\n    b: 1\n  c: 2\n", (3, 3), "begins in column 3 and the section of line 1 in column 1"),
    ("a:\n  x: {p: 1}\n y: 2\n", (3, 2), "begins in column 2 and the section of line 1 in column 1"),
    ("a:\n  x: {p: 1}}\n", (2, 12), "one `}` too many"),
    ("a:\n  x: {p: 1}, y: {p: 2}\n", (2, 12), "one entry a line, without a comma"),
    ('a: "b\nc: 1\n', (1, 4), "the quote here has no end"),
    ('{"a": 1, "a": 2}', (1, 10), "the key `a` is given twice, first in line 1; delete one"),
]


@pytest.mark.parametrize(("content", "place", "words"), NO_DESIGN)
def test_a_file_that_is_no_design_is_told_in_one_clear_message(
    content: str | bytes, place: tuple[int, int], words: str
) -> None:
    assert any((line, column) == place and words in message for line, column, message in problems(content))


@pytest.mark.parametrize(
    ("sign", "refused"),
    [
        ("\\x1f", True), ("\\x7f", True), ("\\x9f", True), (" ", False), ("\\xa0", False), ("\\xad", False),
        ("\\u200b", False),
    ],
)  # fmt: skip
def test_a_name_holds_any_sign_but_control_characters(sign: str, refused: bool) -> None:
    named = f'parts:\n  "a{sign}b": {{kind: stud, rating: none}}\n'  # a second mistake, so that there is one
    text = GOOD.replace("parts:\n", named, 1)
    said = [message for _, _, message in problems(text) if "control characters" in message]
    assert len(said) == refused


def test_a_large_file_is_refused_without_being_parsed() -> None:
    assert "largest" in problems("a: 1\n" * 1_200_000)[0][2]


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("missing.yaml", "there is no such file; `reviewer start FILE`"),
        (".", "the file cannot be opened: Is a"),
    ],
)
def test_a_path_that_cannot_be_opened_is_a_problem_of_the_file(what: str, said: str, tmp_path: Path) -> None:
    with pytest.raises(Unreadable) as caught:
        read_design(tmp_path / what)
    assert caught.value.problems[0].message.startswith(said) and caught.value.problems[0].whole


def test_mistakes_come_through_from_another_process() -> None:
    with pytest.raises(Unreadable) as caught:
        read_text("format: 1", "x.yaml")
    back = pickle.loads(pickle.dumps(caught.value))
    assert (back.file, back.problems) == ("x.yaml", caught.value.problems)
    assert str(back) == str(caught.value)
    assert str(back).startswith(f"x.yaml: {len(back.problems)} mistakes\n  line ")
    assert back.problems[0].message in str(back)


def test_on_and_off_stay_words_and_json_comes_in_by_the_same_door() -> None:
    import yaml

    design = read_text(re.sub(r"\bup\b", "on", re.sub(r"\bdown\b", "off", GOOD)), "x")
    assert dict(design.parts["master"].positions) == {"off": (), "on": (("coil", "ground"),)}
    as_json = json.dumps(yaml.safe_load(GOOD))
    assert read_text(as_json, "x.json") == read_text(GOOD, "x.yaml")


def test_places_are_those_of_the_text() -> None:
    design = read_text(GOOD, "x")
    line, column = design.places["parts/bus-limiter/rating"]
    assert GOOD.splitlines()[line - 1][column - 1 :].startswith("60 A, label: BUS FEED")


def test_a_design_cannot_be_changed_after_it_was_read() -> None:
    design = read_text(GOOD, "x")
    for change in (
        lambda: setattr(design, "parts", {}),
        lambda: design.parts.__setitem__("x", 1),  # type: ignore[index]
        lambda: setattr(design.parts["master"], "label", "x"),
        lambda: design.parts["master"].positions.__setitem__("x", ()),
    ):
        with pytest.raises((AttributeError, TypeError, ValueError)):
            change()


def reads_or_tells(content: str | bytes) -> None:
    try:
        assert isinstance(read_text(content, "x"), Design)
    except Unreadable as error:
        assert error.problems
        for problem in error.problems:
            assert problem.line >= 1 and problem.column >= 1 and problem.message
            assert len(problem.message) < 3000


@given(st.text(max_size=200))
def test_any_text_is_read_or_told_of(text: str) -> None:
    reads_or_tells(text)


@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_told_of(content: bytes) -> None:
    reads_or_tells(content)


VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=8)
    | st.sampled_from(["5 A", "load", "main-bus.x", "14 V", "on"]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.text(max_size=6) | st.sampled_from(["kind", "from", "to", "positions", "contacts"]),
            inner,
            max_size=4,
        )
    ),
    max_leaves=12,
)


@pytest.mark.long
@settings(max_examples=120)
@given(st.data())
def test_a_design_with_any_value_put_anywhere_is_read_or_told_of(data: st.DataObject) -> None:
    import yaml

    design = yaml.safe_load(GOOD)
    places = []

    def walk(value: object, path: tuple) -> None:
        places.append(path)
        entries = (
            value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
        )
        for key, entry in entries:
            walk(entry, (*path, key))

    walk(design, ())
    for path in data.draw(st.lists(st.sampled_from(places[1:]), min_size=1, max_size=3, unique=True)):
        owner = design
        try:
            for key in path[:-1]:
                owner = owner[key]
            if data.draw(st.booleans()):
                owner[path[-1]] = data.draw(VALUES)
            else:
                del owner[path[-1]]
        except (KeyError, IndexError, TypeError):
            continue
    reads_or_tells(json.dumps(design))


@settings(max_examples=120)
@given(st.integers(0, len(GOOD) - 1), st.integers(0, 30), st.text(max_size=6))
def test_a_design_with_characters_replaced_is_read_or_told_of(start: int, length: int, text: str) -> None:
    reads_or_tells(GOOD[:start] + text + GOOD[start + length :])


def test_a_name_that_is_too_long_is_told_once_in_every_group() -> None:
    name = "z" * 201
    for old, new in (
        (
            "  monitors:\n",
            f"  checks: {{{name}: {{state: cruise, watch: [left-ignition], expect: It runs.}}}}\n",
        ),
        ("    reserve-volts:", f"    {name}:"),
        ("    parked:", f"    {name}:"),
    ):
        text = GOOD.replace(old, new + (old if "monitors" in old else ""), 1)
        assert text != GOOD
        told = [message for _, _, message in problems(text) if "1 to 200 characters" in message]
        assert len(told) == 1, problems(text)


def test_a_file_that_is_one_alias_is_refused_and_told() -> None:
    assert problems("*0")
