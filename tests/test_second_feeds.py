"""Where a trial gives a load a feed of its own: at which wire, behind what it shares."""

from __future__ import annotations

import pytest

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from reviewer.rulebook.change_words import change_words
from reviewer.rulebook.second_feeds import second_feeds
from reviewer.rulebook.source_joints import kept_apart
from tests.analysis.small_designs import SmallDesign


def two_loads(*, dedicated: tuple[str, ...] = ()) -> SmallDesign:
    """Two loads on one bus, each behind its breaker, and a second battery on the same ground."""
    made = SmallDesign()
    made.second_battery(dedicated_to=list(dedicated)) if dedicated else made.second_battery()
    for name in ("left", "right"):
        made.load(name, made.protector(f"{name}-breaker"))
    return made


@pytest.mark.parametrize(("dedicated", "moved"), [((), "left"), (("right",), "right")])
def test_of_two_loads_one_is_moved_at_the_first_wire_that_it_has_alone(
    dedicated: tuple[str, ...], moved: str
) -> None:
    """That wire leaves the bus for the new breaker; the breaker that is there stays behind it."""
    facts = two_loads(dedicated=dedicated).facts()
    change, *_ = second_feeds(["left", "right"], "cruise", facts)
    assert change.sources == {"parts/second"}
    design = change.made_in(facts.design)
    (alone,) = (w for w in facts.design.wires.values() if w.to == f"{moved}-breaker.line")
    (now,) = (w for w in design.wires.values() if w.to == f"{moved}-breaker.line")
    assert alone.from_.startswith("bus.") and now.from_ == f"{moved} second breaker.load"
    other = "right" if moved == "left" else "left"
    assert [w for w in design.wires.values() if w.to.startswith(f"{other}")] == [
        w for w in facts.design.wires.values() if w.to.startswith(f"{other}")
    ]


def test_a_load_alone_keeps_its_feed_and_has_another_one_besides() -> None:
    made = SmallDesign()
    made.second_battery()
    made.load("left", made.protector("left-breaker"))
    facts = made.facts()
    change, *_ = second_feeds(["left"], "cruise", facts)
    design = change.made_in(facts.design)
    assert design.parts["left"].supplies == ("supply", "supply-2")
    assert {w.to for w in design.wires.values()} >= {"left.supply", "left.supply-2"}


def of_two_displays(*, drives: bool = False) -> tuple[str, ...]:
    """How one of two displays on one bus is fed where the other battery is dedicated to a lamp on its bus."""
    made = SmallDesign()
    made.second_battery(dedicated_to=["lamp"])
    made.load("lamp", made.protector("lamp-breaker"), start="second-bus")
    for name in ("left", "right"):
        outputs = {"drive": {"terminal": "drive", "switches": "ground", "when": "commanded"}}
        made.add(name, "instrument", **({"outputs": outputs} if drives else {}))
        made.run("bus", [made.protector(f"{name}-breaker")], f"{name}.supply")
        made.wire(f"{name}.return", "ground")
    facts = made.facts()
    return tuple(change_words(way, facts.design) for way in second_feeds(["left", "right"], "cruise", facts))


def test_another_bus_comes_before_a_battery_inside_and_is_tried_once_where_the_battery_of_others_leads_there() -> (
    None
):
    bus, inside = of_two_displays()
    assert bus == "Feed left, by W8, from second-bus through a breaker of its own."
    assert inside == "Fit a battery inside left (tried with 30 min)."


def test_a_return_of_its_own_is_a_way_apart_for_it_would_put_another_fault_right() -> None:
    """Two loads on one breaker whose returns share a stud are two faults."""
    facts = two_loads().facts()
    ways = {r: second_feeds(["left", "right"], "cruise", facts, returns=r) for r in (False, True)}
    moved = {r: [end for way in made for end in way.moved.values()] for r, made in ways.items()}
    assert not any("second.negative" in ends.values() for ends in moved[False])
    assert any("second.negative" in ends.values() for ends in moved[True])


def test_a_unit_that_drives_others_gets_no_battery_inside_it() -> None:
    """The battery would not feed what it drives."""
    assert not any("inside" in words for words in of_two_displays(drives=True))


def test_a_bus_that_only_a_converter_feeds_is_no_second_feed_for_its_loads_have_other_volts() -> None:
    made = SmallDesign()
    made.load("left", made.protector("left-breaker"))
    made.add("converter", "converter", **{"output-voltage": "5 V", "rating": "4 A"})
    made.add("low-bus", "bus")
    made.run("bus", [made.protector("converter-breaker")], "converter.input")
    made.wire("converter.ground", "ground")
    made.wire("converter.output", "low-bus")
    facts = made.facts()
    assert facts.states.answer("cruise").healthy.live(facts.network.nodes_of["parts/low-bus"][0])
    assert not second_feeds(["left"], "cruise", facts)


def test_a_wire_that_joins_two_sources_alone_has_no_joint_at_which_they_are_kept_apart() -> None:
    """With a joint, as at a bus, they are: the one that feeds loads there keeps them."""
    made = SmallDesign()
    made.second_battery()
    made.wire("battery.positive", "second.positive")
    made.wire("bus", "second-bus")
    made.load("left")
    facts = made.facts()

    def wire(one: str, other: str) -> str:
        ends = {n: {w.from_.partition(".")[0], w.to.partition(".")[0]} for n, w in facts.design.wires.items()}
        (found,) = (name for name, both in ends.items() if both == {one, other})
        return f"wires/{found}"

    direct, tie = wire("battery", "second"), wire("bus", "second-bus")
    assert kept_apart(("parts/battery", direct, "parts/second"), {direct}, "cruise", facts) == ()
    first, last = wire("battery", "bus"), wire("second", "second-bus")
    through = (first, "parts/bus", tie, "parts/second-bus", last)
    assert kept_apart(("parts/battery", *through, "parts/second"), {tie}, "cruise", facts)


@pytest.mark.parametrize("joined", [False, True], ids=["by one throw", "by both throws at once"])
def test_a_battery_that_a_selector_joins_to_the_charger_in_no_position_is_charged_by_the_tie_alone(
    joined: bool,
) -> None:
    """The tie gets a diode by which the reserve is charged on; where the selector joins it to the main bus in
    the declared position, the tie is opened instead."""
    both = "both: [[common, main], [common, reserve]], " if joined else ""
    facts = Facts(read_text(SELECTOR.format(both=both, at="both" if joined else "main"), "x"))
    path = ("parts/reserve", "wires/T1", "parts/reserve-bus", "wires/T2", "parts/main-bus", "wires/T3")
    ways = kept_apart((*path, "parts/battery"), path, "cruise", facts)
    said = "Take T2 off reserve-bus.tie." if joined else "Put a diode into T2, cathode to reserve-bus.tie."
    assert change_words(ways[0], facts.design) == said


SELECTOR = """\
format: 1
aircraft: {{name: X, nominal: 14 V, airframe: metal, stage: concept}}
parts:
  battery: {{kind: battery}}
  alternator: {{kind: alternator, rating: 40 A, regulator: internal}}
  reserve: {{kind: battery, purpose: reserve, dedicated-to: [standby]}}
  main-bus: {{kind: bus}}
  reserve-bus: {{kind: bus}}
  selector: {{kind: switch, positions: {{{both}main: [[common, main]], reserve: [[common, reserve]]}}}}
  radio: {{kind: load}}
  standby: {{kind: load}}
wires:
  M1: {{from: alternator.output, to: main-bus.alternator}}
  M2: {{from: main-bus.control, to: alternator.field}}
  T1: {{from: reserve.positive, to: reserve-bus.battery}}
  T2: {{from: reserve-bus.tie, to: main-bus.tie}}
  T3: {{from: battery.positive, to: main-bus.battery}}
  S1: {{from: main-bus.selector, to: selector.main}}
  S2: {{from: reserve.positive, to: selector.reserve}}
  S3: {{from: selector.common, to: radio.supply}}
  L1: {{from: reserve-bus.standby, to: standby.supply}}
  G1: {{from: radio.return, to: battery.negative}}
  G2: {{from: standby.return, to: battery.negative}}
  G3: {{from: reserve.negative, to: battery.negative}}
  G4: {{from: alternator.ground, to: battery.negative}}
operation:
  normal: cruise
  states: {{cruise: {{engine: running, switches: {{selector: {at}}}}}}}
"""
