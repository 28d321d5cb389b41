"""Return conductors of the small aircraft: ground leads, cut elements, the star, lost grounds."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.facts import Facts
from reviewer.analysis.grounding import shared_returns
from reviewer.analysis.grounding.shared_returns import Homes, ground_leads, necessary, return_side, star
from reviewer.analysis.paths.series_leads import lead_wires
from reviewer.model.parts import Battery
from reviewer.network.graph import bare
from tests.analysis.small_aircraft import small
from tests.analysis.small_designs import SmallDesign, cruise
from tests.oracle.generator import realistic
from tests.oracle.sound import sound


def test_the_wires_between_grounds_are_ground_leads() -> None:
    facts = small()
    assert ground_leads(facts.design, facts.network) == ("N1", "N2", "N3", "N4")


def test_the_return_side_has_returns_and_no_supply() -> None:
    facts = small()
    side = {facts.network.names[n] for n in return_side(facts.network)}
    assert {"heater.return", "block", "engine", "sender.return"} <= side and "heater.supply" not in side


def test_what_cuts_a_return_is_named_in_the_order_of_its_path() -> None:
    facts = small(
        ("N5: {from: heater.return, to: block.heater,", "N5: {from: heater.return, to: engine.heater,")
    )
    network = facts.network
    cut = necessary(network, [network.node("heater.return")], {network.node("main-battery.negative")})
    assert cut == ("wires/N5", "parts/engine", "wires/N3", "parts/block", "wires/N1")


def test_returns_meet_at_the_block_of_the_batteries() -> None:
    facts = small()
    links = facts.network.links
    batteries = facts.design.of_kind(Battery)
    assert {links[i].element for i in star(facts.design, facts.network, batteries)} == {
        "wires/N1",
        "wires/N2",
        "parts/block",
    }


def test_a_panel_lead_is_lost_with_all_that_returns_through_it() -> None:
    panel = (
        ("  block: {kind: ground-block}", "  block: {kind: ground-block}\n  panel: {kind: ground-block}"),
        (
            "  N7: {from: radio",
            "  N8: {from: panel.feed, to: block.panel, resistance: 0.001 ohm}\n  N7: {from: radio",
        ),
        ("N6: {from: pump.return, to: block.pump,", "N6: {from: pump.return, to: panel.pump,"),
        ("N5: {from: heater.return, to: block.heater,", "N5: {from: heater.return, to: panel.heater,"),
    )
    lost = small(*panel).grounds.lost_grounds
    assert set(lost) == {"wires/N8"} and set(lost["wires/N8"].users) == {"heater", "pump"}
    assert small().grounds.lost_grounds == {}


def test_a_motor_shares_the_path_of_the_radio_ahead_of_the_star() -> None:
    facts = small(
        ("N6: {from: pump.return, to: block.pump,", "N6: {from: pump.return, to: engine.pump,"),
        ("N7: {from: radio.return, to: block.radio,", "N7: {from: radio.return, to: engine.radio,"),
    )
    (shared,) = facts.grounds.shared_returns("pump")
    assert shared.instrument == "radio" and shared.elements == ("parts/engine", "wires/N3")
    assert shared.path == ("wires/N6", "parts/engine", "wires/N3")


#: the pump reverses by a switch that grounds each way round at a place of its own
REVERSER = (
    (
        "pump: {kind: load, type: motor,",
        "way: {kind: switch, positions: {on: [[plus, a], [left, b]], back: [[plus, b], [right, a]]}}\n"
        "  pump: {kind: load, type: motor, reversible: true,",
    ),
    ("M2: {from: pump-breaker.load, to: pump.supply,", "M2: {from: pump-breaker.load, to: way.plus,"),
    (
        "N6: {from: pump.return, to: block.pump,",
        "Y1: {from: way.a, to: pump.supply}\n  Y2: {from: way.b, to: pump.return}\n"
        "  Y3: {from: way.right, to: engine.pump}\n  N6: {from: way.left, to: block.pump,",
    ),
    ("master-switch: on, radio-switch: on}}", "master-switch: on, radio-switch: on, way: back}}"),
    ("master-switch: off, radio-switch: on}}", "master-switch: off, radio-switch: on, way: back}}"),
    ("master-switch: off, radio-switch: off}}", "master-switch: off, radio-switch: off, way: back}}"),
)


def test_a_motor_in_reverse_goes_with_the_lead_by_which_it_returns_then() -> None:
    radio = ("N7: {from: radio.return, to: block.radio,", "N7: {from: radio.return, to: panel.radio,")
    panel = ("  block: {kind: ground-block}", "  block: {kind: ground-block}\n  panel: {kind: ground-block}")
    lead = (
        "  Y3: {from: way.right, to: engine.pump}",
        "  N8: {from: panel.out, to: block.panel}\n  Y3: {from: way.right, to: PLACE}",
    )
    on_panel, beside = (
        small(*REVERSER, radio, panel, (lead[0], lead[1].replace("PLACE", place))).grounds.lost_grounds
        for place in ("panel.pump", "engine.pump")
    )
    assert set(on_panel["wires/N8"].users) == {"radio", "pump"} and beside == {}


def test_lost_grounds_are_those_that_a_search_from_each_wire_finds() -> None:
    found = 0
    for design in (sound(150, 1), realistic(100, 1), realistic(120, 4), realistic(140, 7)):
        facts = Facts(design)
        network = facts.network
        for answer in facts.states.answers():
            lost = shared_returns.lost_grounds(facts.design, network, answer)
            parted = _parted(facts, answer)
            for element, users in parted.items():
                assert element in lost or not shared_returns._matters(facts.design, answer, users)
                if element in lost:
                    assert lost[element].users == users
                    found += 1
            assert lost.keys() <= parted.keys()
    assert found >= 3


@pytest.mark.parametrize(("at", "wanted"), [("on", {"wires/W3"}), ("off", {"wires/W5"})])
def test_a_battery_that_is_off_at_its_negative_is_no_return(at: str, wanted: set[str]) -> None:
    """Three loads: with the isolator on all lose the battery by its lead, with it off the alternator by
    the ground of that. The return wire of one load parts none of the others."""
    made = SmallDesign()
    made.wires.clear()
    made.wire("battery.positive", "bus")
    made.run("battery.negative", [made.switch("isolator")], "ground")
    made.alternator()
    for name in ("radio", "pump", "lamp"):
        made.function(f"{name}-works", made.load(name))
    facts = made.facts(switches={"isolator": at})
    lost = shared_returns.lost_grounds(facts.design, facts.network, cruise(facts))
    assert lost.keys() == wanted
    assert {ground.batteries for ground in lost.values()} == {("battery",) if at == "on" else ()}


def _parted(facts: Facts, answer: StateAnswer) -> dict[str, tuple[str, ...]]:
    """Each wire or bolt -> two users or more whose return it parts, one wire and user after another."""
    network, side, found = facts.network, shared_returns.return_side(facts.network), {}
    leads = lead_wires(facts.design, network)
    for lane, failure in enumerate(answer.failures):
        opened = network.groups.get(failure.element, (failure.element,))
        wired = failure.element in network.bolts or failure.element.startswith(
            ("wires/", "bolts/", "bundles/")
        )
        if failure.mode != OPEN or not wired or not leads.isdisjoint(opened):
            continue
        pieces = shared_returns._pieces(network, side, opened)
        users = []
        for user in network.consumers:
            kept = [
                all((n in piece) == (s.negative in piece) for piece in pieces)
                or answer.failed.returned[s.element][n] >> lane & 1
                for s, n in shared_returns._circuits(network, answer, user)
            ]
            if answer.healthy.powered[user.element] and len(pieces) > 1 and not any(kept):
                users.append(bare(user.element))
        if len(users) > 1:
            found[failure.element] = tuple(users)
    return found


def test_a_load_returns_its_current_to_the_batteries_that_feed_it() -> None:
    """A lamp that is changed over from one battery to the other, a pump that no state runs, and a lamp without a feed."""
    made = SmallDesign()
    made.second_battery()
    for name in ("select", "run"):
        made.add(name, "switch", positions={"off": [], "main": [["a", "out"]], "second": [["b", "out"]]})
        made.wire("bus", f"{name}.a")
        made.wire("second-bus", f"{name}.b")
        made.load(f"{name}-load", start=f"{name}.out")
    made.add("adrift", "load")
    made.wire("adrift.return", "ground")
    facts = made.facts(switches={"select": "main", "run": "off"})
    design, network, answer = facts.design, facts.network, cruise(facts)
    both = {"battery", "second"}
    for states in ({"flown": [answer]}, {"declared": [answer]}):
        homes = Homes(design, network, **states)
        assert homes.of("select-load") == {"battery"}
        assert homes.of("run-load") == homes.of("adrift") == both
    assert Homes(design, network).of("select-load") == both
