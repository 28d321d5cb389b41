"""Devices that are plugged on a bus and units with a switch of their own, in circuits whose answer is seen by eye."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import yaml

from reviewer.analysis.conduction.failure_modes import Failure, Mode
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.facts import Facts
from reviewer.reading import Unreadable, read_text
from reviewer.session import review_facts
from tests.analysis.small_designs import SmallDesign, cruise, fails
from tests.oracle.test_meaning_of_parts import works

ROOT = Path(__file__).parents[2]


def plugged() -> SmallDesign:
    """A fuse that is plugged on the bus and feeds a lamp; a second lamp wired to the bus."""
    made = SmallDesign()
    made.add("fuse", "fuse", plugged_on="bus")
    made.load("lamp", start="fuse.load")
    made.load("other", start="bus")
    return made


def test_what_is_plugged_on_a_bus_is_fed_by_it_without_a_wire() -> None:
    assert works(plugged()) == {"lamp", "other"}


@pytest.mark.parametrize(
    ("element", "mode", "terminal", "left"),
    [
        ("parts/fuse", Mode.OPEN, "", {"other"}),
        ("parts/bus", Mode.OPEN, "", set()),
        ("parts/fuse", Mode.SHORT, "fuse.load", {"other"}),
        ("parts/lamp", Mode.SHORT, "lamp.supply", {"other"}),
    ],
)
def test_it_opens_alone_and_goes_with_its_bus(
    element: str, mode: Mode, terminal: str, left: set[str]
) -> None:
    facts = plugged().facts()
    answer = cruise(facts)
    failure = fails(facts, element, mode, terminal) if terminal else Failure(element, mode)
    powered = conduct(facts.network, answer.state, [failure], answer.healthy).powered
    assert {e.removeprefix("parts/") for e, mask in powered.items() if mask} == left


def test_a_bus_that_opens_parts_all_that_is_plugged_on_it() -> None:
    """One fuse brings the feed of a second battery, the other feeds the lamp: both are on the bar alone."""
    made = SmallDesign()
    made.second_battery()
    made.add("bar", "bus")
    made.add("in", "fuse", plugged_on="bar")
    made.add("out", "fuse", plugged_on="bar")
    made.wire("second-bus", "in.load")
    made.load("lamp", start="out.load")
    assert works(made) == {"lamp"}
    facts = made.facts()
    answer = cruise(facts)
    opened = conduct(facts.network, answer.state, [Failure("parts/bar", Mode.OPEN)], answer.healthy)
    assert not opened.powered["parts/lamp"]


def test_an_aircraft_with_its_breakers_plugged_on_its_buses_is_judged_like_the_wired_one() -> None:
    """The sound tourer with every device that hangs on a bus by one wire plugged on it instead: nothing is found. Larger
    ones are found as on wires."""
    data = json.loads(
        json.dumps(yaml.load((ROOT / "examples/tourer.design.yaml").read_text(), yaml.BaseLoader))
    )
    kinds, gone = {n: part["kind"] for n, part in data["parts"].items()}, set()
    for name, wire in list(data["wires"].items()):
        (bus, _, _), (device, _, post) = wire["from"].partition("."), wire["to"].partition(".")
        if kinds[bus] == "bus" and post == "line" and kinds[device] in ("breaker", "fuse", "limiter"):
            data["parts"][device]["plugged-on"] = bus
            gone.add(name)
            del data["wires"][name]
    for check in data["watch"]["checks"].values():
        check["proves"] = [n for n in check.get("proves", []) if n not in gone]
    assert len(gone) > 20
    text = _typed(data)
    review = review_facts(Facts(read_text(text, "plugged")), Path("plugged"))
    assert not review.findings and not review.gaps
    large = _typed(
        {
            **data,
            "parts": {**data["parts"], "pitot-breaker": {**data["parts"]["pitot-breaker"], "rating": "60 A"}},
        }
    )
    rules = {f.rule for f in review_facts(Facts(read_text(large, "large")), Path("large")).findings}
    assert "circuit-protection-fits-its-wire" in rules


def _typed(data: dict) -> str:
    """The file as text; what was read as words are numbers and truths again."""

    def typed(value: object) -> object:
        if isinstance(value, dict):
            return {key: typed(inner) for key, inner in value.items()}
        if isinstance(value, list):
            return [typed(inner) for inner in value]
        if value in ("true", "false"):
            return value == "true"
        return int(value) if isinstance(value, str) and value.isdecimal() else value

    typed_data = typed(data)
    for part in typed_data["parts"].values():  # names of pins are text
        if "pins" in part:
            part["pins"] = [str(pin) for pin in part["pins"]]
    return json.dumps(typed_data)


def own() -> SmallDesign:
    made = SmallDesign()
    made.load("radio", own_switch=True)
    made.load("lamp")
    return made


def test_a_unit_that_is_turned_off_by_its_own_switch_has_no_power_and_takes_none() -> None:
    assert works(own()) == {"radio", "lamp"}
    off = own().facts(**{"units-off": ["radio"]})
    answer = cruise(off)
    assert answer.state.switches["radio"] == "off"
    assert (answer.healthy.powered["parts/radio"], answer.healthy.powered["parts/lamp"]) == (0, 1)


def test_an_action_turns_a_unit_off_and_on_again() -> None:
    made = own()
    made.function("talking", "radio", loss="minor")
    made.more["operation"] = {
        "actions": {
            "radio-off": {"move": {"radio": "off"}, "disconnects": ["radio"]},
            "radio-on": {"move": {"radio": "on"}, "restores": ["radio"]},
        }
    }
    review = review_facts(made.facts(), Path("x"))
    assert not [
        f
        for f in review.findings
        if f.rule == "crew-actions-have-their-declared-effect" and "off" in f.subject
    ]
    facts = made.facts()
    from reviewer.analysis.crew.moves import acted

    off, moves = acted(facts.design, cruise(facts).state, "radio-off")
    assert moves == (("radio", "off"),) and not conduct(facts.network, off).powered["parts/radio"]
    assert not acted(facts.design, cruise(facts).state, "radio-on")[1]
    on, moves = acted(facts.design, off, "radio-on")
    assert moves == (("radio", "on"),) and conduct(facts.network, on).powered["parts/radio"]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"units-off": ["lamp"]}, "`lamp` has no switch of its own"),
        ({"units-off": ["radoi"]}, "there is no load or instrument `radoi` (did you mean `radio`?)"),
        ({"switches": {"radio": "off"}}, "`radio` is a load, not a switch"),
    ],
)
def test_only_a_unit_with_a_switch_of_its_own_is_turned_off(change: dict, said: str) -> None:
    with pytest.raises(Unreadable) as caught:
        own().facts(**change)
    assert [said in p.message for p in caught.value.problems] == [True]


def test_no_wire_leads_to_what_is_plugged() -> None:
    made = plugged()
    made.wire("bus", "fuse.line")
    with pytest.raises(Unreadable) as caught:
        made.facts()
    (problem,) = caught.value.problems
    assert (
        "fuse is plugged on bus, which feeds its `line`; remove this wire, or `plugged-on`" in problem.message
    )
