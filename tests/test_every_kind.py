"""Every kind of part is handled on purpose; one that some place does not know is refused.

For each kind one part stands between a battery and a load. The network, the failures, the operating
point, the schematic, the schedules, the plain evaluator and the generator must each know it.
"""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any, ClassVar

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.channels import MechanicalChannel
from reviewer.model.design import Design
from reviewer.model.parts import PART_KINDS
from reviewer.network.kinds import UnknownKind
from reviewer.network.network_build import build_network
from reviewer.network.part_links import PLACES, PlaceInNetwork
from reviewer.questions.solve import solved_of
from reviewer.reading import read_text
from reviewer.reports.handoff.schedules.parts_list import parts_list
from reviewer.reports.schematic.symbols import symbols_of
from reviewer.session import review_facts
from tests.oracle.circuit import circuit_of
from tests.oracle.generator import realistic
from tests.oracle.plain import solve

BATTERY = {"kind": "battery", "chemistry": "lead-acid", "capacity": "17 Ah"}
LOAD = {"kind": "load", "type": "heater", "current": "5 A"}
MAKE = {"main": {"kind": "make", "joins": ["line", "load"]}}
SIGNAL = {"level": {"signal": "level-in", "return": "level-return"}}

#: what carries current from its first terminal to its second: the part, the two terminals
THROUGH: dict[str, tuple[dict[str, Any], str, str]] = {
    "bus": ({}, "in", "out"),
    "ground-block": ({}, "in", "out"),
    "stud": ({}, "in", "out"),
    "splice": ({}, "in", "out"),
    "airframe": ({"material": "metal"}, "in", "out"),
    "breaker": ({"rating": "10 A"}, "line", "load"),
    "fuse": ({"rating": "10 A"}, "line", "load"),
    "limiter": ({"rating": "10 A"}, "line", "load"),
    "breaker-switch": ({"rating": "10 A"}, "line", "load"),
    "switch": ({"positions": {"off": [], "on": [["line", "load"]]}}, "line", "load"),
    "relay": ({"coil": ["plus", "minus"], "contacts": MAKE}, "line", "load"),
    "contactor": ({"coil": ["plus", "minus"], "contacts": MAKE}, "line", "load"),
    "diode": ({"rating": "25 A"}, "anode", "cathode"),
    "shunt": ({"rating": "60 A"}, "line", "load"),
    "connector": ({"pins": ["1"]}, "1-plug", "1-socket"),
    "regulator": ({"regulates": "machine"}, "supply", "field"),
    "resistor": ({"resistance": "0.1 ohm", "power": "5 W"}, "a", "b"),
    "potentiometer": ({"resistance": "0.2 ohm"}, "a", "wiper"),
    "dimmer": ({"rating": "10 A"}, "input", "output"),
}
#: what feeds the load itself: the part, its positive, its negative
SOURCES: dict[str, tuple[dict[str, Any], str, str]] = {
    "battery": (BATTERY, "positive", "negative"),
    "alternator": ({"rating": "60 A", "excitation": "permanent-magnet"}, "output", "ground"),
    "external-power": ({"rating": "150 A"}, "positive", "negative"),
    "charger": ({"from": "solar", "set-point": "14.4 V", "current-limit": "20 A"}, "positive", "negative"),
}
#: what passes power on at other volts, from its input to its output
CONVERTERS = {"converter": {"output-voltage": "14 V", "rating": "20 A"}}
#: what is fed
USERS: dict[str, dict[str, Any]] = {"load": LOAD, "instrument": {"current": "1 A", "inputs": SIGNAL}}
#: what only closes a loop: a sensor that is grounded where it is mounted
GROUNDED = {"sensor": {"mounted-on": "engine.sender"}}
#: what needs no supply: it works while the engine turns, with its p-lead grounded nowhere
SELF_POWERED: dict[str, dict[str, Any]] = {"magneto": {"mounted-on": "engine.pad"}}
#: what lies across a source and passes nothing
ACROSS = {"capacitor": {"capacitance": "22 mF", "voltage": "25 V"}}
#: bars are drawn and joined as one place, so that nothing is carried from one terminal to another
BARS = ("bus", "ground-block", "stud", "splice", "airframe")


def design_with(kind: str) -> Design:
    """One part of a kind, named ``it``, in a loop with a battery and a load.

    Switches are on, the engine runs.
    """
    parts: dict[str, Any] = {"battery": BATTERY, "load": LOAD}
    joints = [("battery.negative", "load.return")]
    if kind in THROUGH:
        more, first, second = THROUGH[kind]
        joints += [("battery.positive", f"it.{first}"), (f"it.{second}", "load.supply")]
        if "regulates" in more:
            parts["machine"] = {"kind": "alternator", "rating": "60 A"}
        if kind == "dimmer":
            joints.append(("it.ground", "battery.negative"))
        if "coil" in more:
            joints += [("battery.positive", "it.plus"), ("it.minus", "battery.negative")]
    elif kind in SOURCES:
        more, positive, negative = SOURCES[kind]
        parts = {"load": LOAD}
        joints = [(f"it.{positive}", "load.supply"), (f"it.{negative}", "load.return")]
    elif kind in CONVERTERS:
        more = CONVERTERS[kind]
        joints += [("battery.positive", "it.input"), ("it.output", "load.supply")]
        joints.append(("it.ground", "battery.negative"))
    else:
        more = {**USERS, **GROUNDED, **SELF_POWERED, **ACROSS}[kind]
        joints.append(("battery.positive", "load.supply"))
        if kind in ACROSS:
            joints += [("battery.positive", "it.positive"), ("it.negative", "battery.negative")]
        elif kind in USERS:
            joints += [("battery.positive", "it.supply"), ("it.return", "battery.negative")]
        elif kind in SELF_POWERED:
            parts["engine"] = {"kind": "airframe", "material": "metal"}
            parts["key"] = {"kind": "switch", "positions": {"on": [], "off": [["lead", "ground"]]}}
            joints += [
                ("engine.strap", "battery.negative"),
                ("it.p-lead", "key.lead"), ("key.ground", "battery.negative"),
            ]  # fmt: skip
        else:
            parts["engine"] = {"kind": "airframe", "material": "metal"}
            parts["gauge"] = {"kind": "instrument", "current": "1 A", "inputs": SIGNAL}
            joints += [
                ("battery.positive", "gauge.supply"), ("gauge.return", "battery.negative"),
                ("engine.strap", "battery.negative"), ("it.signal", "gauge.level-in"),
            ]  # fmt: skip
    parts["it"] = {**more, "kind": kind}
    switches = {"switch": {"it": "on"}, "breaker-switch": {"it": "closed"}, "magneto": {"key": "on"}}.get(
        kind, {}
    )
    state = {"engine": "running", "switches": switches, "external-power": "connected"}
    state["chargers"] = ["it"] if kind == "charger" else []
    text = {
        "format": 1,
        "aircraft": {"name": "Bench", "nominal": "14 V", "airframe": "metal", "stage": "detailed"},
        "parts": parts,
        "wires": {
            f"W{i}": {"from": one, "to": other, "resistance": "0.01 ohm"}
            for i, (one, other) in enumerate(joints)
        },
        "operation": {"normal": "cruise", "states": {"cruise": state}},
    }
    return read_text(json.dumps(text), "bench.yaml")


@pytest.fixture(scope="module", params=list(PART_KINDS))
def kind(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module")
def facts(kind: str) -> Facts:
    return Facts(design_with(kind))


def test_the_designs_of_this_test_have_every_kind() -> None:
    kinds = [*THROUGH, *SOURCES, *CONVERTERS, *USERS, *GROUNDED, *SELF_POWERED, *ACROSS]
    assert len(kinds) == len(set(kinds)) and set(kinds) == set(PART_KINDS)


def test_the_table_of_the_network_has_every_kind() -> None:
    assert set(PLACES) == {*PART_KINDS.values(), MechanicalChannel}


def test_the_load_is_powered_and_an_open_part_takes_what_it_should(kind: str, facts: Facts) -> None:
    answer = facts.states.answer("cruise")
    assert all(answer.healthy.powered.values()), answer.healthy.powered
    opened = conduct(facts.network, answer.state, [Failure("parts/it", OPEN)], answer.healthy)
    dark = {element for element, works in opened.powered.items() if not works & 1}
    own = {**USERS, **SELF_POWERED}
    expected = {"parts/it"} if kind in own else set() if kind in (*GROUNDED, *ACROSS) else {"parts/load"}
    assert dark == expected


def test_the_failures_of_the_part_are_tried(kind: str, facts: Facts) -> None:
    """Structure does not open as a whole. What is hot can be shorted; a mounted sensor is not hot."""
    modes = {str(f.mode) for f in facts.states.answer("cruise").failures if f.element == "parts/it"}
    assert (str(OPEN) in modes) == (kind != "airframe")
    assert any("ground" in mode for mode in modes) == (kind not in GROUNDED)


def test_the_operating_point_has_the_current_of_the_part(kind: str, facts: Facts) -> None:
    point = facts.points.operating_point("cruise", None, ())
    amps = point.taken["parts/load"]
    assert 3.5 < amps < 6.0 and abs(point.balance) < 1e-6
    if kind in (*SOURCES, *CONVERTERS):
        assert point.given["parts/it"] >= amps
    elif kind in USERS:
        assert point.taken["parts/it"] > 0.5
    elif kind in SELF_POWERED:
        assert "parts/it" not in point.taken and "parts/it" not in point.given
    elif kind in ACROSS:
        assert point.volts["it.positive"] > 11 and point.given["parts/battery"] == pytest.approx(amps)
    elif kind in GROUNDED:
        assert point.volts["it.return"] == pytest.approx(point.volts["engine.sender"], abs=1e-6)
    else:
        (phase,) = solved_of(facts, "cruise").phases
        rows = [c for c in phase.paths if c.element == "parts/it" and c.amperes != 0.0]
        assert [round(c.amperes or 0.0, 6) for c in rows] == ([] if kind in BARS else [round(amps, 6)])
        _, first, second = THROUGH[kind]
        drop = point.volts[f"it.{first}"] - point.volts[f"it.{second}"]
        assert 0.0 < drop < 0.8


def test_the_part_is_drawn(kind: str, facts: Facts) -> None:
    drawn = {symbol.element for symbol in symbols_of(facts.design, facts.network)}
    assert drawn == {f"parts/{name}" for name in facts.design.parts}


def test_the_part_is_in_the_schedule_of_parts(kind: str, facts: Facts) -> None:
    table = parts_list(facts.design)
    rows = [row for row in table.rows if row[0] == kind and "it" in str(row[-1]).split(", ")]
    assert len(rows) == 1
    rating = getattr(facts.design.parts["it"], "rating", None)
    assert rating is None or rows[0][table.columns.index("rating")] == f"{rating:g} A"


def test_the_plain_evaluator_agrees(kind: str, facts: Facts) -> None:
    answer = facts.states.answer("cruise")
    plain = solve(circuit_of(facts.design), answer.state)
    assert plain.powered == {element: bool(works) for element, works in answer.healthy.powered.items()}
    assert plain.energised == {element: bool(works) for element, works in answer.healthy.energised.items()}
    assert plain.alive == {element: bool(works) for element, works in answer.healthy.alive.items()}


def test_no_rule_breaks_at_the_part(kind: str, facts: Facts) -> None:
    review = review_facts(facts, Path("bench.yaml"))
    assert [(b.rule, b.error) for b in review.breakdowns] == []


def test_the_generator_makes_every_kind() -> None:
    assert {part.kind for part in realistic(120, 1).parts.values()} == set(PART_KINDS)


class Thermocouple(p.Part):
    """A kind that nobody knows."""

    kind: ClassVar[str] = "thermocouple"
    fixed: ClassVar[tuple[str, ...]] = ("line", "load")


@pytest.fixture
def unknown(monkeypatch: pytest.MonkeyPatch) -> Design:
    """A design in which a thermocouple stands where a shunt stood."""
    monkeypatch.setitem(PART_KINDS, "thermocouple", Thermocouple)
    known = design_with("shunt")
    return replace(known, parts={**known.parts, "it": Thermocouple()})


@pytest.fixture
def in_the_network_only(unknown: Design, monkeypatch: pytest.MonkeyPatch) -> Facts:
    """The same, once somebody has told the network what a thermocouple is, and nothing else."""
    monkeypatch.setitem(PLACES, Thermocouple, PlaceInNetwork(PLACES[p.Shunt].links))  # type: ignore[index]
    return Facts(unknown)


def test_an_unknown_kind_is_no_open_circuit(unknown: Design) -> None:
    with pytest.raises(UnknownKind, match="network does not know parts of kind thermocouple"):
        build_network(unknown)


def test_an_unknown_kind_has_no_operating_point(in_the_network_only: Facts) -> None:
    assert in_the_network_only.states.answer("cruise").healthy.powered["parts/load"]
    with pytest.raises(UnknownKind, match=r"operating point.* does not know parts of kind thermocouple"):
        in_the_network_only.points.operating_point("cruise", None, ())


def test_the_failures_of_an_unknown_kind_are_not_estimated(in_the_network_only: Facts) -> None:
    with pytest.raises(UnknownKind, match=r"failures .* parts of kind thermocouple"):
        assert in_the_network_only.states.answer("cruise").failures


def test_an_unknown_kind_is_not_drawn_as_something_else(in_the_network_only: Facts) -> None:
    with pytest.raises(UnknownKind, match="drawing does not know parts of kind thermocouple"):
        symbols_of(in_the_network_only.design, in_the_network_only.network)


def test_the_plain_evaluator_does_not_estimate_either(unknown: Design) -> None:
    with pytest.raises(TypeError, match="thermocouple"):
        circuit_of(unknown)
