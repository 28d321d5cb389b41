"""Diodes: the side that they face, what they lie across, which way they conduct."""

from __future__ import annotations

import pytest

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from tests.analysis.small_designs import SmallDesign
from tests.rule_cases import design, yaml_text

RELAY = {"coil": ["plus", "minus"], "contacts": {"main": {"kind": "make", "joins": ["in", "out"]}}}


@pytest.mark.parametrize(
    ("near", "far", "stands"), [("anode", "cathode", "right"), ("cathode", "anode", "reversed")]
)
def test_a_diode_is_right_with_its_cathode_at_what_it_protects(near: str, far: str, stands: str) -> None:
    made = SmallDesign()
    made.second_battery()
    made.add("diode", "diode", duty="isolation", protects="second")
    made.run("bus", [(f"diode.{near}", f"diode.{far}")], "second-bus")
    assert made.facts().paths.diode_placement("diode").stands == stands


def test_a_diode_on_neither_side_of_its_part_is_beside_it() -> None:
    made = SmallDesign()
    made.second_battery()
    made.add("diode", "diode", duty="isolation", protects="second")
    made.load("lamp", ("diode.anode", "diode.cathode"))
    assert made.facts().paths.diode_placement("diode").stands == "beside"


@pytest.mark.parametrize(("top", "right"), [("cathode", True), ("anode", False)])
def test_a_diode_across_a_coil_has_its_cathode_on_the_fed_side(top: str, right: bool) -> None:
    made = SmallDesign()
    made.add(
        "relay", "relay", coil=["plus", "minus"], contacts={"main": {"kind": "make", "joins": ["in", "out"]}}
    )
    made.wire("bus", "relay.plus")
    made.wire("relay.minus", "ground")
    made.add("diode", "diode", duty="suppression")
    made.wire("relay.plus", f"diode.{top}")
    made.wire("relay.minus", "diode.anode" if top == "cathode" else "diode.cathode")
    assert made.facts().paths.coil_diodes("relay") == {"diode": right}


def steered(near: str, far: str, where: str) -> SmallDesign:
    """A relay with a diode in the feed or in the return of its coil, its contacts beside the coil."""
    made = SmallDesign()
    made.add("relay", "relay", **RELAY)
    made.add("diode", "diode", duty="steering", protects="relay")
    made.add("switch", "switch", positions={"off": [], "on": [["line", "load"]]})
    made.wire("bus", "switch.line")
    made.wire("switch.load", "relay.in")
    made.load("other", start="switch.load")
    if where == "feed":
        made.wire("switch.load", f"diode.{near}")
        made.wire(f"diode.{far}", "relay.plus")
        made.wire("relay.minus", "ground")
    else:
        made.wire("switch.load", "relay.plus")
        made.wire("relay.minus", f"diode.{near}")
        made.wire(f"diode.{far}", "ground")
    return made


@pytest.mark.parametrize("where", ["feed", "return"])
@pytest.mark.parametrize(
    ("near", "far", "found"), [("anode", "cathode", "right"), ("cathode", "anode", "reversed")]
)
def test_a_diode_conducts_the_way_in_which_the_relay_is_energised(
    near: str, far: str, found: str, where: str
) -> None:
    facts = steered(near, far, where).facts(switches={"switch": "on"})
    assert facts.states.answer("cruise").healthy.energised["parts/relay"] == (found == "right")
    assert facts.paths.diode_direction("diode") == found
    assert facts.paths.diode_placement("diode").stands == found
    assert not facts.paths.suppresses("diode")


@pytest.mark.parametrize(
    ("top", "bottom", "found"), [("cathode", "anode", "blocks"), ("anode", "cathode", "shorts")]
)
def test_a_diode_across_a_supply_blocks_or_shorts_it(top: str, bottom: str, found: str) -> None:
    made = SmallDesign()
    made.add("diode", "diode", duty="polarity")
    made.wire("bus", f"diode.{top}")
    made.wire("ground", f"diode.{bottom}")
    made.load("lamp")
    assert made.facts().paths.diode_direction("diode") == found


def test_a_diode_on_dead_wires_tells_nothing() -> None:
    made = SmallDesign()
    made.add("diode", "diode", duty="steering")
    made.add("far", "bus")
    made.wire("far", "diode.anode")
    assert made.facts().paths.diode_direction("diode") == "idle"


@pytest.mark.parametrize(
    ("case", "diode", "lead", "contacts"),
    [
        ("a second switch that goes around the diode and is on", "aux-diode", "D8", ["parts/around-switch"]),
        ("a wire around the diode of one of two inputs", "lamp-diode", "D7", []),
        ("a switch between a diode and the bus that it protects does not matter", "aux-diode", "", []),
    ],
)
def test_what_leads_around_a_diode_is_named(case: str, diode: str, lead: str, contacts: list[str]) -> None:
    text = yaml_text(design("diodes-have-the-right-polarity", case))
    place = Facts(read_text(text, "design.yaml")).paths.diode_placement(diode)
    assert (place.lead.removeprefix("wires/"), list(place.around)) == (lead, contacts)
    assert not lead or (place.bypass[0], place.bypass[-1]) == (f"parts/{diode}", place.protects)


#: a trim motor that a switch reverses, with a diode in the lead at its supply
TRIM = """
format: 1
aircraft: {name: Trim, nominal: 14 V, airframe: metal, stage: concept}
parts:
  battery: {kind: battery}
  trim: {kind: switch, positions: {up: [[plus, a], [minus, b]], off: [], down: [[plus, b], [minus, a]]}}
  diode: {kind: diode}
  motor: {kind: load, type: motor, reversible: REVERSIBLE}
wires:
  W1: {from: battery.positive, to: trim.plus}
  W2: {from: battery.negative, to: trim.minus}
  W3: {from: trim.a, to: diode.NEAR}
  W4: {from: diode.FAR, to: motor.supply}
  W5: {from: trim.b, to: motor.return}
"""


@pytest.mark.parametrize(
    ("near", "reversible", "direction"),
    [
        ("anode", "true", "right"),
        ("anode", "false", "right"),
        ("cathode", "true", "right"),
        ("cathode", "false", "reversed"),
    ],
)
def test_a_diode_that_lets_a_motor_run_in_reverse_is_right(
    near: str, reversible: str, direction: str
) -> None:
    far = "cathode" if near == "anode" else "anode"
    text = TRIM.replace("NEAR", near).replace("FAR", far).replace("REVERSIBLE", reversible)
    assert Facts(read_text(text, "trim.yaml")).paths.diode_direction("diode") == direction
