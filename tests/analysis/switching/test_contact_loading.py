"""What the current of a contact is for.

On invented aircraft it adds up, and on a small bench it can be seen by eye.
"""

from __future__ import annotations

import pytest

from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.switching.contact_loading import Joined, Through
from tests.analysis.operating_point.bench import bench
from tests.analysis.operating_point.dressed import dress
from tests.analysis.small_designs import SmallDesign
from tests.oracle.generator import realistic


def through(facts: Facts, state: str, element: str) -> dict[str, Through]:
    found = {}
    for use in Joined(facts.design, facts.network).uses(facts.points.operating_point(state)):
        if use.element == f"parts/{element}":
            found |= {one.element.partition("/")[2]: one for one in use.through}
    return found


@pytest.mark.parametrize("seed", range(12))
def test_on_invented_aircraft_the_loads_of_each_contact_add_up_to_its_current(seed: int) -> None:
    facts = Facts(realistic(90, seed, dress(seed, 0.0)))
    joined, seen = Joined(facts.design, facts.network), 0
    for state in facts.states.declared:
        try:
            point = facts.points.operating_point(state)
        except NotAssessable:
            continue
        for use in joined.uses(point):
            seen += 1
            assert use.amperes == pytest.approx(
                sum(one.share * one.amperes for one in use.through), rel=1e-3, abs=1e-3
            ), (state, use)
            assert all(0 <= one.share <= 1 for one in use.through)
    assert seen >= 10


def test_a_switch_carries_its_own_load_alone_and_a_contactor_carries_it_for_the_switch() -> None:
    facts = bench(("  W20: {from: main-battery.positive,", "  W20: {from: main-bus.left,"))
    assert set(through(facts, "stopped", "left-switch")) == {"left-ignition"}
    assert through(facts, "stopped", "left-switch")["left-ignition"].switched
    carried = through(facts, "stopped", "main-contactor")
    assert carried["left-ignition"].share == pytest.approx(1) and not carried["left-ignition"].switched
    assert carried["audio-panel"].switched and "right-ignition" not in carried


def test_a_switch_in_a_return_carries_what_comes_back_through_it() -> None:
    carried = through(bench(), "cruise", "master")
    assert set(carried) == {"main-contactor"} and carried["main-contactor"].switched


def test_two_contacts_side_by_side_share_a_load() -> None:
    facts = bench(
        (
            "left-switch: {kind: switch, label: LEFT IGNITION, transfer: break-before-make, positions: {down: [], up: [[line, load]]}}",
            "left-switch: {kind: switch, label: LEFT IGNITION, transfer: break-before-make, positions: {down: [], up: [[line, load], [line-b, load-b]]}}",
        ),
        (
            "  W22: {",
            "  W22A: {from: left-fuse.load, to: left-switch.line-b, gauge: 18 AWG, length: 1.4 m}\n  W22: {",
        ),
        (
            "  W23: {",
            "  W22B: {from: left-switch.load-b, to: left-ignition.supply, gauge: 18 AWG, length: 1.2 m}\n  W23: {",
        ),
    )
    uses = [
        u
        for u in Joined(facts.design, facts.network).uses(facts.points.operating_point("cruise"))
        if u.element == "parts/left-switch"
    ]
    assert [use.through[0].share for use in uses] == pytest.approx([0.5, 0.5], abs=1e-6)


def test_charging_a_battery_goes_through_its_contactor() -> None:
    carried = through(bench(), "cruise", "main-contactor")
    assert carried["main-battery"].share == pytest.approx(1)


@pytest.mark.parametrize("amperes", [0.4, 2.5])
def test_a_field_takes_through_its_switch_what_it_draws_and_nothing_when_it_is_off(amperes: float) -> None:
    facts = bench(("rating: 60 A, set-point", f"rating: 60 A, field-current: {amperes} A, set-point"))
    carried = through(facts, "cruise", "alternator-switch")
    assert set(carried) == {"alternator"} and carried["alternator"].share == pytest.approx(1)
    assert carried["alternator"].amperes == pytest.approx(amperes, rel=0.05)
    assert not through(facts, "alternator-off", "alternator-switch")


@pytest.mark.parametrize("current", ["0.5 A", None])
def test_a_switch_carries_for_a_converter_what_it_takes_at_its_input_and_nothing_while_it_is_idle(
    current: str | None,
) -> None:
    """2.5 W at 80 % are 3.1 W at the input; a lamp behind the same switch is counted beside it."""
    made = SmallDesign()
    made.parts["battery"] |= {
        "chemistry": "lead-acid",
        "capacity": "17 Ah",
        "internal-resistance": "0.01 ohm",
    }
    made.add("key", "switch", positions={"down": [], "up": [["line", "load"]]})
    made.add("lit-bus", "bus")
    made.run("bus", [("key.line", "key.load")], "lit-bus")
    made.load("lamp", start="lit-bus", type="lamp", current="1 A")
    made.add("converter", "converter", output_voltage="5 V", rating="4 A", efficiency="80 %")
    made.wire("lit-bus", "converter.input")
    made.wire("converter.ground", "ground")
    if current:
        made.load("unit", start="converter.output", type="electronic", nominal="5 V", current=current)
    facts = made.facts(engine="stopped", switches={"key": "up"})
    carried = through(facts, "cruise", "key")
    volts = facts.points.operating_point("cruise").volts["converter.input"]
    assert set(carried) == {"lamp", *(["converter"] if current else [])}
    if current:
        assert carried["converter"].amperes == pytest.approx(5 * 0.5 / 0.8 / volts, rel=0.01)
