"""Standard states: what is made of the switches of a drawing, what is not, and what is said of it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from reviewer.analysis.facts import Facts
from reviewer.model.design import Design
from reviewer.questions.solve import solved_of
from reviewer.reading import Unreadable, read_text
from reviewer.reports.review.json import as_json
from reviewer.reports.review.text import as_text
from reviewer.reports.solve.text import solve_text
from reviewer.session import review_facts
from tests.rule_cases import RULES
from tests.screens import as_screens

#: two ignitions with switches, one on the battery and one on the bus behind the master; an alternator,
#: a starter, a radio that is turned off with the bus, a landing light that is off in flight
DRAWING = """
format: 1
aircraft: {name: Sketch, nominal: 14 V, airframe: composite, stage: concept}
parts:
  battery: {kind: battery}
  alternator: {kind: alternator}
  contactor: {kind: contactor, coil: [feed, ground], contacts: {main: {kind: make, joins: [feed, load]}}}
  master: {kind: switch, positions: {down: [], up: [[coil, ground]]}, normal: up}
  alternator-switch: {kind: switch, positions: {down: [], up: [[line, load]]}, normal: up}
  left-switch: {kind: switch, positions: {down: [], up: [[line, load]]}, normal: up}
  right-switch: {kind: switch, positions: {down: [], up: [[line, load]]}, normal: up}
  light-switch: {kind: switch, positions: {down: [], up: [[line, load]]}, normal: down}
  start: {kind: switch, momentary: [pressed], positions: {released: [], pressed: [[line, load]]}}
  starter: {kind: load, type: starter}
  left-ignition: {kind: load}
  right-ignition: {kind: load}
  light: {kind: load}
  radio: {kind: instrument}
  bus: {kind: bus}
  ground: {kind: ground-block}
wires:
  A1: {from: battery.positive, to: contactor.feed}
  A2: {from: contactor.ground, to: master.coil}
  A3: {from: master.ground, to: ground.a3}
  A4: {from: contactor.load, to: bus.feed}
  A5: {from: battery.negative, to: ground.a5}
  B1: {from: alternator.output, to: bus.b1}
  B2: {from: bus.b2, to: alternator-switch.line}
  B3: {from: alternator-switch.load, to: alternator.field}
  B4: {from: alternator.ground, to: ground.b4}
  C1: {from: bus.c1, to: start.line}
  C2: {from: start.load, to: starter.supply}
  C3: {from: starter.return, to: ground.c3}
  L1: {from: battery.positive, to: left-switch.line}
  L2: {from: left-switch.load, to: left-ignition.supply}
  L3: {from: left-ignition.return, to: ground.l3}
  R1: {from: bus.r1, to: right-switch.line}
  R2: {from: right-switch.load, to: right-ignition.supply}
  R3: {from: right-ignition.return, to: ground.r3}
  T1: {from: bus.t1, to: light-switch.line}
  T2: {from: light-switch.load, to: light.supply}
  T3: {from: light.return, to: ground.t3}
  U1: {from: bus.u1, to: radio.supply}
  U2: {from: radio.return, to: ground.u2}
functions:
  ignition: {any: 1, of: [left-ignition, right-ignition], loss: catastrophic}
  communication: {any: 1, of: [radio], loss: minor}
  landing-light: {any: 1, of: [light], loss: minor}
"""
OWN = """
operation:
  normal: cruise
  states:
    cruise: {switches: {master: up, alternator-switch: up, left-switch: up, right-switch: up, light-switch: down, start: released}}
"""


def made(text: str) -> Design:
    return read_text(text, "x")


def states(design: Design) -> dict[str, dict[str, Any]]:
    assert design.operation is not None
    return {name: dict(state.switches) for name, state in design.operation.states.items()}


def problems(text: str) -> list[str]:
    with pytest.raises(Unreadable) as caught:
        read_text(text, "x")
    return [problem.message for problem in caught.value.problems]


def test_each_standard_state_is_what_the_switches_of_the_drawing_can_set() -> None:
    design = made(DRAWING)
    found = states(design)
    assert found.pop("normal") == {
        "master": "up", "alternator-switch": "up", "left-switch": "up", "right-switch": "up",
        "light-switch": "down", "start": "released",
    }  # fmt: skip
    assert found == {
        "parked": {
            "master": "down",
            "alternator-switch": "down",
            "left-switch": "down",
            "right-switch": "down",
        },
        "before-start": {},
        "cranking": {"start": "pressed"},
        "run-up-left-ignition": {"right-switch": "down"},
        "run-up-right-ignition": {"left-switch": "down"},
        "all-on": {"light-switch": "up"},
        "alternator-failed": {"alternator-switch": "down"},
        "smoke": {"master": "down", "alternator-switch": "down"},
    }
    assert design.operation is not None and design.unmade == ()
    use = {name: (state.use, state.engine) for name, state in design.operation.states.items()}
    assert use["smoke"] == ("abnormal", None) and use["cranking"] == ("ground", "cranking")
    assert use["normal"] == ("flight", None) and use["parked"] == ("ground", "stopped")


def test_all_on_turns_on_what_takes_nothing_off_and_no_starter() -> None:
    """A change-over that feeds the heater takes off the radio; a trim motor runs while its switch is held;
    and where all is on in normal flight there is no such state."""
    more = """  choice: {kind: switch, positions: {a: [[line, one]], b: [[line, two]]}, normal: a}
  heater: {kind: load}
  second-radio: {kind: load}
  trim-switch: {kind: switch, momentary: [nose-up], positions: {centre: [], nose-up: [[line, load]]}}
  trim: {kind: load, type: motor}
"""
    wires = """  Y1: {from: bus.y1, to: choice.line}
  Y2: {from: choice.one, to: second-radio.supply}
  Y3: {from: choice.two, to: heater.supply}
  Y4: {from: second-radio.return, to: ground.y4}
  Y5: {from: heater.return, to: ground.y5}
  Y6: {from: bus.y6, to: trim-switch.line}
  Y7: {from: trim-switch.load, to: trim.supply}
  Y8: {from: trim.return, to: ground.y8}
"""
    text = DRAWING.replace("parts:\n", f"parts:\n{more}").replace("wires:\n", f"wires:\n{wires}")
    assert states(made(text))["all-on"] == {"light-switch": "up", "trim-switch": "nose-up"}
    on = DRAWING.replace("up: [[line, load]]}, normal: down}", "up: [[line, load]]}, normal: up}")
    assert on != DRAWING and "all-on" not in states(made(on))


def test_a_parked_aircraft_has_its_magnetos_silent_where_their_p_leads_are_drawn() -> None:
    magneto = DRAWING.replace("parts:\n", "parts:\n  magneto: {kind: magneto}\n")
    wired = magneto.replace("wires:\n", "wires:\n  M1: {from: magneto.p-lead, to: left-switch.spare}\n")
    wired = wired.replace(
        "left-switch: {kind: switch, positions: {",
        "left-switch: {kind: switch, positions: {off: [[spare, line]], ",
    )
    for text, silent in ((magneto, ()), (wired, ("magneto",))):
        operation = made(text).operation
        assert operation is not None and operation.states["parked"].silent == silent


#: a second battery on the same bus behind a switch of its own
SIDE_BY_SIDE = """  reserve: {kind: battery}
  reserve-switch: {kind: switch, positions: {down: [], up: [[line, load]]}, normal: up}
"""


def test_two_masters_side_by_side_stay_on_for_the_start_and_go_off_together_in_smoke() -> None:
    """Neither takes the bus off alone, and the starter turns without either of them."""
    text = DRAWING.replace("parts:\n", f"parts:\n{SIDE_BY_SIDE}").replace(
        "wires:\n",
        "wires:\n  Z1: {from: reserve.positive, to: reserve-switch.line}\n"
        "  Z2: {from: reserve-switch.load, to: bus.z2}\n  Z3: {from: reserve.negative, to: ground.z3}\n",
    )
    found = states(made(text))
    assert found["cranking"] == {"start": "pressed"}
    assert found["smoke"] == {"master": "down", "reserve-switch": "down", "alternator-switch": "down"}


def test_two_feeds_of_a_bus_behind_one_master_are_no_masters() -> None:
    """The master takes off what they do and more; for the start they are off, since nothing needs them."""
    feeds = "{kind: switch, positions: {down: [], up: [[line, load]]}, normal: up}"
    text = DRAWING.replace(
        "parts:\n", f"parts:\n  avionics: {{kind: bus}}\n  feed-a: {feeds}\n  feed-b: {feeds}\n"
    ).replace(
        "U1: {from: bus.u1,",
        "V1: {from: bus.v1, to: feed-a.line}\n  V2: {from: feed-a.load, to: avionics.v2}\n"
        "  V3: {from: bus.v3, to: feed-b.line}\n  V4: {from: feed-b.load, to: avionics.v4}\n"
        "  U1: {from: avionics.u1,",
    )
    found = states(made(text))
    assert found["cranking"] == {"start": "pressed", "feed-a": "down", "feed-b": "down"}
    assert found["smoke"] == {"master": "down", "alternator-switch": "down"}


#: a second battery and bus with a master of their own, and an engine bus that each bus feeds by a switch
TWO_BUSES = (
    """  second: {kind: battery}
  second-master: {kind: switch, positions: {down: [], up: [[line, load]]}, normal: up}
  second-bus: {kind: bus}
  engine-bus: {kind: bus}
  feed-a: {kind: switch, positions: {down: [], up: [[line, load]]}, normal: up}
  feed-b: {kind: switch, positions: {down: [], up: [[line, load]]}, normal: up}
  diode-a: {kind: diode}
  diode-b: {kind: diode}
  attitude: {kind: instrument}
  water-pump: {kind: load}
""",
    """  Z1: {from: second.positive, to: second-master.line}
  Z2: {from: second-master.load, to: second-bus.z2}
  Z3: {from: second.negative, to: ground.z3}
  Z4: {from: bus.z4, to: feed-a.line}
  Z5: {from: feed-a.load, to: diode-a.anode}
  Z6: {from: diode-a.cathode, to: engine-bus.z6}
  Z7: {from: second-bus.z7, to: feed-b.line}
  Z8: {from: feed-b.load, to: diode-b.anode}
  Z9: {from: diode-b.cathode, to: engine-bus.z9}
  Y1: {from: second-bus.y1, to: attitude.supply}
  Y2: {from: attitude.return, to: ground.y2}
  Y3: {from: engine-bus.y3, to: water-pump.supply}
  Y4: {from: water-pump.return, to: ground.y4}
""",
)


def two_buses(*changes: tuple[str, str]) -> str:
    """The drawing with an engine bus for both ignitions and a water pump whose loss is hazardous."""
    text = DRAWING.replace("parts:\n", f"parts:\n{TWO_BUSES[0]}").replace(
        "wires:\n", f"wires:\n{TWO_BUSES[1]}"
    )
    text = text.replace("L1: {from: battery.positive,", "L1: {from: engine-bus.l1,")
    text = text.replace("R1: {from: bus.r1,", "R1: {from: engine-bus.r1,")
    text += "  cooling: {any: 1, of: [water-pump], loss: hazardous}\n"
    for old, now in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, now)
    return text


def test_the_feeds_of_an_engine_bus_are_no_masters_where_the_masters_take_it_off() -> None:
    """Each master takes off one bus alone, both together the engine bus: that its feeds do too is beside it."""
    found = states(made(two_buses()))
    assert found["smoke"] == {"master": "down", "second-master": "down", "alternator-switch": "down"}


def test_an_engine_bus_on_the_battery_side_of_the_masters_stays_on_in_smoke() -> None:
    """It feeds what critical functions need, a water pump beside the ignitions: nobody turns it off for smoke."""
    ahead = ("from: bus.z4,", "from: battery.positive,"), ("from: second-bus.z7,", "from: second.positive,")
    found = states(made(two_buses(*ahead)))
    assert found["smoke"] == {"master": "down", "second-master": "down", "alternator-switch": "down"}


def test_the_buses_that_only_the_masters_feed_are_dead_in_smoke() -> None:
    """One that an alternate feed may bring back is not declared dead: the crew may close it."""
    parts = "  essential-bus: {kind: bus}\n  alternate: {kind: switch, positions: {down: [], up: [[line, load]]}, normal: down}\n"
    wires = (
        "  E1: {from: bus.e1, to: essential-bus.e1}\n  E2: {from: battery.positive, to: alternate.line}\n"
        "  E3: {from: alternate.load, to: essential-bus.e3}\n"
    )
    diode = "  E1: {from: bus.e1, to: diode.anode}\n  E4: {from: diode.cathode, to: essential-bus.e1}\n"
    apart = wires.replace("  E1: {from: bus.e1, to: essential-bus.e1}\n", diode)
    found = {}
    for name, (more, leads) in {
        "alone": ("", ""),
        "joined": (parts, wires),
        "behind a diode": (parts + "  diode: {kind: diode}\n", apart),
    }.items():
        text = DRAWING.replace("parts:\n", f"parts:\n{more}").replace("wires:\n", f"wires:\n{leads}")
        operation = made(text).operation
        assert operation is not None
        found[name] = operation.states["smoke"].dead
    assert found == {"alone": ("bus",), "joined": (), "behind a diode": ("bus",)}


def test_a_bus_with_an_ignition_and_more_beside_it_goes_off_in_smoke() -> None:
    """Where the radio and the attitude are on the engine bus too, its feeds are what smoke turns off."""
    ahead = ("from: bus.z4,", "from: battery.positive,"), ("from: second-bus.z7,", "from: second.positive,")
    beside = ("from: second-bus.y1,", "from: engine-bus.y1,"), ("from: bus.u1,", "from: engine-bus.u1,")
    lamp = (
        ("parts:\n", "parts:\n  lamp: {kind: load}\n"),
        (
            "wires:\n",
            "wires:\n  X1: {from: engine-bus.x1, to: lamp.supply}\n  X2: {from: lamp.return, to: ground.x2}\n",
        ),
    )
    found = states(made(two_buses(*ahead, *beside, *lamp)))
    assert {"feed-a": "down", "feed-b": "down"}.items() <= found["smoke"].items()


BESIDE = """
operation:
  standard-states: [smoke]
  states:
    left-alone: {like: normal, use: ground, engine-speed: run-up, switches: {right-switch: down}}
"""


def test_normal_flight_is_made_of_the_switches_beside_states_that_are_like_it() -> None:
    design = made(DRAWING + BESIDE)
    found = states(design)
    assert list(design.made) == ["normal", "smoke"] and set(found) == {"left-alone", "normal", "smoke"}
    assert found["normal"] == states(made(DRAWING))["normal"]
    assert found["smoke"] == states(made(DRAWING))["smoke"]
    assert design.operation is not None and design.operation.normal == "normal"
    assert design.operation.states["normal"].without == ("landing-light",)
    alone = made(DRAWING + BESIDE.replace("  standard-states: [smoke]\n", ""))
    assert list(alone.made) == ["normal"]


def test_a_normal_position_that_does_not_exist_is_one_mistake() -> None:
    text = DRAWING.replace(
        "positions: {down: [], up: [[coil, ground]]}, normal: up",
        "positions: {down: [], up: [[coil, ground]]}, normal: Up",
    )
    assert text != DRAWING
    assert problems(text + BESIDE) == ["switch master: there is no position `Up`; there are down, up"]


def test_a_drawn_state_named_normal_is_checked_as_any_other() -> None:
    drawn = BESIDE.replace(
        "  states:\n", "  states:\n    normal: {dead: [nothing], switches: {master: upp}}\n"
    )
    found = problems(DRAWING + drawn)
    assert "state normal: master has no position `upp` (did you mean `up`?); it has down, up" in found
    assert any(one.startswith("state normal") and "`nothing`" in one for one in found)


def test_a_state_of_the_file_named_normal_is_the_one_of_normal_flight() -> None:
    drawn = BESIDE.replace(
        "  states:\n", "  states:\n    normal: {switches: {left-switch: up, right-switch: up}}\n"
    )
    drawn = drawn.replace(
        "left-switch: up, right",
        "master: up, alternator-switch: up, light-switch: down, left-switch: up, right",
    )
    design = made(DRAWING + drawn)
    assert list(design.made) == ["smoke"] and design.operation is not None
    assert states(design)["normal"]["left-switch"] == "up"


def test_where_a_switch_does_not_say_where_it_is_in_flight_the_message_names_it() -> None:
    text = DRAWING.replace(
        "light-switch: {kind: switch, positions: {down: [], up: [[line, load]]}, normal: down}",
        "light-switch: {kind: switch, positions: {down: [], up: [[line, load]]}}",
    )
    assert text != DRAWING
    assert problems(text + BESIDE)[0] == (
        "operation: `normal` is missing; write for example `normal: cruise`, or at light-switch the position "
        "in normal flight, as `normal: up`"
    )


def test_a_made_state_claims_no_function_that_its_switches_turn_off() -> None:
    """The light is off on purpose; what the gravest function loses stays a finding."""
    design = made(DRAWING)
    assert design.operation is not None
    without = {name: state.without for name, state in design.operation.states.items()}
    assert without["normal"] == ("landing-light",)
    assert set(without["smoke"]) == {"communication", "landing-light"}
    lost = made(DRAWING.replace("L1: {from: battery.positive,", "L1: {from: bus.l1,"))
    review = review_facts(
        Facts(lost), Path("x"), [RULES["critical-functions-are-powered-in-every-flight-state"]]
    )
    assert [f.sentence for f in review.findings] == [
        "ignition is not powered in smoke with no failure present."
    ]
    assert not review_facts(
        Facts(design), Path("x"), [RULES["critical-functions-are-powered-in-every-flight-state"]]
    ).findings


@pytest.mark.parametrize(
    ("switch", "off", "on"),
    [
        ("{kind: switch, positions: {down: [], up: [[line, load]]}, normal: up}", "down", "up"),
        ("{kind: breaker-switch, rating: 5 A, normal: closed}", "open", "closed"),
    ],
)
def test_the_start_is_made_with_all_off_that_it_does_not_need(switch: str, off: str, on: str) -> None:
    """A radio is off at its switch; a switch in the feed of the starter stays as it is."""
    between = DRAWING.replace("parts:\n", f"parts:\n  radio-switch: {switch}\n  start-guard: {switch}\n")
    between = between.replace(
        "U1: {from: bus.u1,", "U0: {from: bus.u1, to: radio-switch.line}\n  U1: {from: radio-switch.load,"
    ).replace(
        "C1: {from: bus.c1,", "C0: {from: bus.c1, to: start-guard.line}\n  C1: {from: start-guard.load,"
    )
    assert states(made(between))["cranking"] == {"start": "pressed", "radio-switch": off}


@pytest.mark.parametrize("tied", [True, False])
def test_a_battery_that_turns_the_starter_stays_on_for_the_start(tied: bool) -> None:
    """A second battery that is tied to the bus would turn it too; the alternator has a switch of its own."""
    text = DRAWING.replace("parts:\n", "parts:\n  second: {kind: battery}\n")
    tie = "to: bus.v1}" if tied else "to: spare.supply}"
    text = text.replace(
        "wires:\n",
        f"wires:\n  V1: {{from: second.positive, {tie}\n  V2: {{from: second.negative, to: ground.v2}}\n",
    )
    text = text if tied else text.replace("parts:\n", "parts:\n  spare: {kind: load}\n", 1)
    assert "master" not in states(made(text))["cranking"]


#: the starter behind a contactor with a diode across its coil, and a switch that springs back
STARTED_BY_COIL = """  flaps: {kind: switch, normal: middle, momentary: [down],
      positions: {middle: [], down: [[line, motor], [%s, ground]]}}
  start-contactor: {kind: contactor, coil: [coil-plus, coil-minus], suppression: diode,
      contacts: {main: {kind: make, joins: [line, load]}}}
  flap-motor: {kind: load}
"""
COIL_WIRES = """
  C2: {from: start.load, to: start-contactor.coil-plus}
  C4: {from: start-contactor.coil-minus, to: ground.c4}
  C5: {from: bus.c5, to: start-contactor.line}
  C6: {from: start-contactor.load, to: starter.supply}
  F1: {from: bus.f1, to: flaps.line}
  F2: {from: flaps.motor, to: flap-motor.supply}
  F3: {from: flap-motor.return, to: ground.f3}
  F4: {from: flaps.ground, to: ground.f4}"""


@pytest.mark.parametrize("joined", ["spare", "line"])
def test_a_position_that_shorts_a_source_is_not_taken_for_the_start(joined: str) -> None:
    """With a source shorted, ground is live, and the diode of a coil with it."""
    text = DRAWING.replace("parts:\n", f"parts:\n{STARTED_BY_COIL % joined}")
    text = text.replace("\n  C2: {from: start.load, to: starter.supply}", COIL_WIRES)
    assert states(made(text))["cranking"] == {"start": "pressed"}


@pytest.mark.parametrize(
    ("switch", "off"),
    [
        ("{kind: switch, positions: {down: [], up: [[line, load]]}, normal: down}", "down"),
        ("{kind: breaker-switch, rating: 5 A, normal: open}", "open"),
    ],
)
def test_what_is_off_at_its_switch_in_normal_flight_is_off_on_purpose(switch: str, off: str) -> None:
    drawn = DRAWING.replace("parts:\n", f"parts:\n  radio-switch: {switch}\n").replace(
        "U1: {from: bus.u1,", "U0: {from: bus.u1, to: radio-switch.line}\n  U1: {from: radio-switch.load,"
    )
    design = made(drawn)
    assert design.operation is not None and states(design)["normal"]["radio-switch"] == off
    assert set(design.operation.states["normal"].without) == {"communication", "landing-light"}


def test_a_function_that_a_missing_wire_takes_off_is_not_off_on_purpose() -> None:
    broken = made(DRAWING.replace("  U1: {from: bus.u1, to: radio.supply}\n", ""))
    assert broken.operation is not None and "communication" not in broken.operation.states["normal"].without


def test_a_sketch_without_an_operation_gets_its_single_points_and_its_twin_has_none() -> None:
    rule = [RULES["no-single-supply-failure-stops-a-critical-function"]]
    sound = review_facts(Facts(made(DRAWING)), Path("x"), rule)
    shared = DRAWING.replace(
        "R1: {from: bus.r1, to: right-switch.line}", "R1: {from: left-switch.load, to: right-switch.line}"
    )
    guilty = review_facts(Facts(made(shared)), Path("x"), rule)
    assert not sound.gaps and {"parts/left-switch", "wires/L1"} & {f.subject for f in guilty.findings}
    assert "parts/left-switch" not in {f.subject for f in sound.findings}


def test_made_states_say_that_they_are_made() -> None:
    facts = Facts(made(DRAWING))
    review = review_facts(facts, Path("x"), [])
    assert "9 states (9 of them made)" in as_screens([review])
    told = " ".join(as_text([review]).split())
    assert "smoke: as normal, but master down, alternator-switch down (made: " in told
    assert "States made, not declared: normal, parked, before-start" in told
    assert '"smoke": "master down, alternator-switch down"' in as_json([review]).replace(
        "alternator-switch down, master down", "master down, alternator-switch down"
    )
    known = DRAWING.replace("{kind: battery}", "{kind: battery, chemistry: lead-acid, capacity: 17 Ah}")
    known = known.replace("{kind: alternator}", "{kind: alternator, rating: 40 A}")
    facts = Facts(made(known))
    assert "The state smoke was made, not declared" in solve_text(
        "x", facts.design, solved_of(facts, "smoke")
    )
    declared = Facts(made(known + OWN))
    assert "was made" not in solve_text("x", declared.design, solved_of(declared))


def test_a_file_with_states_gets_none_unless_it_asks_and_its_own_stand() -> None:
    assert list(states(made(DRAWING + OWN))) == ["cruise"]
    asked = OWN.replace("  states:", "  standard-states: [smoke, parked]\n  states:")
    design = made(DRAWING + asked)
    assert states(design)["smoke"] == {"master": "down", "alternator-switch": "down"}
    assert list(design.made) == ["parked", "smoke"]
    own = made(DRAWING + asked + "    smoke: {like: cruise, use: abnormal, switches: {master: down}}\n")
    assert states(own)["smoke"] == {"master": "down"} and list(own.made) == ["parked"]


def test_what_no_switch_can_set_is_not_made_and_told() -> None:
    text = DRAWING.replace(
        "B3: {from: alternator-switch.load, to: alternator.field}", "B3: {from: bus.b3, to: alternator.field}"
    )
    design = made(
        text.replace(", momentary: [pressed]", "").replace(
            "pressed: [[line, load]]}}", "pressed: [[line, load]]}, normal: released}"
        )
    )
    assert "alternator-failed: no switch or breaker turns alternator off" in design.unmade
    assert "cranking: no momentary position of a switch powers starter" in design.unmade
    review = review_facts(Facts(design), Path("x"), [])
    assert any("Not made: " in limit for limit in review.limits)


def test_where_a_switch_does_not_say_its_normal_position_it_is_asked_for() -> None:
    some = made(
        DRAWING.replace(
            "positions: {down: [], up: [[coil, ground]]}, normal: up",
            "positions: {down: [], up: [[coil, ground]]}",
        )
    )
    assert some.operation is None and some.unstated == ("master",)
    rule = [RULES["no-single-supply-failure-stops-a-critical-function"]]
    review = review_facts(Facts(some), Path("x"), rule)
    assert [gap.needs for gap in review.gaps] == ["`normal` of master, from which the states are made"]
    assert [(q.kind, q.keys, q.items) for q in review.questions] == [
        ("switch", ("normal",), ("parts/master",))
    ]
    none = made(DRAWING.replace(", normal: up", "").replace(", normal: down", ""))
    asked = review_facts(Facts(none), Path("x"), rule)
    assert asked.gaps[0].needs.startswith("`operation` with its normal state")
    assert "or, in place of `operation`: `normal:` at " in asked.questions[0].snippet
    assert problems(DRAWING.replace(", normal: down", "") + "operation: {endurance: 30 min}\n") == [
        "operation: `states` is missing; the standard states are made where each switch has a `normal` "
        "position: write it at light-switch"
    ]


def test_phases_and_checks_may_name_made_states_and_no_others() -> None:
    phased = DRAWING + "operation: {phases: {flight: {state: normal, duration: 1 h}, taxi: {state: STATE}}}\n"
    assert made(phased.replace("STATE", "run-up-left-ignition")).operation is not None
    (unknown,) = problems(phased.replace("STATE", "cruise"))
    assert "there is no state `cruise`" in unknown
    (unmade,) = problems(
        phased.replace("STATE", "cranking").replace("  C1: {from: bus.c1, to: start.line}\n", "")
    )
    assert unmade.startswith("phase taxi: the state `cranking` is not made: cranking: no momentary position")


@pytest.mark.parametrize(
    ("switch", "parked"),
    [
        # a toggle that grounds one p-lead: down is off, up joins nothing
        ("positions: {down: [[lead, ground]], up: []}, normal: up", "down"),
        ("positions: {off: [[lead, ground]], on: [], start: [[a, b]]}, momentary: [start]", "off"),
        # the off position that the file states goes before
        ("positions: {one: [[lead, ground]], two: [], three: []}, normal: two, off: three", "three"),
    ],
)
def test_a_switch_of_a_p_lead_is_off_where_it_grounds_it(switch: str, parked: str) -> None:
    text = f"""
format: 1
aircraft: {{name: x, nominal: 14 V, airframe: metal, stage: concept}}
parts:
  magneto: {{kind: magneto, mounted-on: engine.magneto}}
  engine: {{kind: airframe, material: metal}}
  splice: {{kind: splice}}
  ignition: {{kind: switch, {switch.replace("normal: up", "normal: up") if "normal" in switch else switch + ", normal: on"}}}
wires:
  W1: {{from: magneto.p-lead, to: splice.a}}
  W2: {{from: splice.b, to: ignition.lead}}
  W3: {{from: ignition.ground, to: engine.switch}}
"""
    assert states(made(text))["parked"] == {"ignition": parked}


@pytest.mark.parametrize("between", ["fuse", "breaker"])
def test_a_p_lead_is_followed_through_circuit_protection(between: str) -> None:
    assert states(made(_with_plug(f"joint: {{kind: {between}}}", "line", "load", "other.p")))["parked"] == {
        "ignition": "down",
        "pump-switch": "down",
    }


def test_a_p_lead_is_followed_pin_by_pin_and_not_into_the_circuits_beside_it() -> None:
    plug = "joint: {kind: connector, pins: [a, b]}"
    operation = made(_with_plug(plug, "a-plug", "a-socket", "joint.b-socket"))
    assert states(operation)["parked"] == {"ignition": "down", "pump-switch": "down"}


def _with_plug(joint: str, one: str, other: str, beside: str) -> str:
    """A magneto whose p-lead passes a part, with a pump's switch that leads to another terminal."""
    return f"""
format: 1
aircraft: {{name: x, nominal: 14 V, airframe: metal, stage: concept}}
parts:
  magneto: {{kind: magneto, mounted-on: engine.magneto}}
  engine: {{kind: airframe, material: metal}}
  battery: {{kind: battery}}
  pump: {{kind: load}}
  other: {{kind: bus}}
  {joint}
  ignition: {{kind: switch, positions: {{down: [[lead, ground]], up: []}}, normal: up}}
  pump-switch: {{kind: switch, positions: {{down: [], up: [[line, load]]}}, normal: up}}
wires:
  W1: {{from: magneto.p-lead, to: joint.{one}}}
  W2: {{from: joint.{other}, to: ignition.lead}}
  W3: {{from: ignition.ground, to: engine.switch}}
  W4: {{from: battery.positive, to: pump-switch.line}}
  W5: {{from: pump-switch.load, to: {beside}}}
  W6: {{from: {beside.replace("socket", "plug")}, to: pump.supply}}
  W7: {{from: pump.return, to: battery.negative}}
"""


@pytest.mark.parametrize(
    ("by", "said"),
    [
        ("normal: middle", "there is no position `middle`"),
        ("off: sideways", "there is no position `sideways`"),
        ("normal: up, momentary: [up]", "`up` is a spring-return position; write one that stays"),
        (
            "normal: up, operated-by: pressure, at-rest: down, follows: radio",
            "remove `normal`",
        ),
    ],
)
def test_a_position_that_cannot_be_is_a_mistake(by: str, said: str) -> None:
    text = DRAWING.replace(
        "positions: {down: [], up: [[coil, ground]]}, normal: up",
        "positions: {down: [], up: [[coil, ground]]}, " + by,
    )
    assert any(said in problem for problem in problems(text))


def test_a_path_says_the_normal_position_too() -> None:
    line = "circuits: {c: 'bus + breaker 5 A X > switch 5 A as pump-switch (positions down/up, normal up) > pump (2 A) > ground'}\n"
    assert states(made(DRAWING + line))["normal"]["pump-switch"] == "up"


SENSING = """
  gear-pressure: {kind: switch, operated-by: pressure, at-rest: closed, normal: open, positions: {closed: [[line, load]], open: []}}
wires:"""


def test_what_senses_something_says_where_it_stands_in_flight_and_rests_without_the_engine() -> None:
    found = states(made(DRAWING.replace("\nwires:", SENSING, 1)))
    assert found["normal"]["gear-pressure"] == "open"
    assert {name: at["gear-pressure"] for name, at in found.items() if "gear-pressure" in at} == {
        "normal": "open", "parked": "closed", "before-start": "closed", "cranking": "closed",
    }  # fmt: skip


def test_what_a_load_moves_says_nothing_of_flight() -> None:
    text = DRAWING.replace("\nwires:", SENSING.replace("at-rest", "follows: radio, at-rest"), 1)
    assert problems(text) == [
        "switch gear-pressure: radio moves it, which says where it stands; remove `normal`"
    ]


def test_a_state_of_normal_flight_of_ones_own_need_not_repeat_the_normal_positions() -> None:
    own = "operation: {states: {normal: {switches: {light-switch: up}}, dark: {like: normal, switches: {light-switch: down}}}}"
    found = states(made(DRAWING + own))
    assert found["normal"] == {**states(made(DRAWING))["normal"], "light-switch": "up"}
    assert found.keys() == {"normal", "dark"}


def test_another_state_that_is_like_none_says_where_all_stand_or_begins_with_normal() -> None:
    own = "operation: {states: {normal: {}, dark: {switches: {light-switch: down}}}}"
    (said,) = problems(DRAWING + own)
    assert said.startswith("state dark gives no position for master")
    assert said.endswith(", or begin it with `like: normal`")
