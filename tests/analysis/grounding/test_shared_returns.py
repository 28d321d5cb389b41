"""Return conductors of the small aircraft: ground leads, cut elements, the star, lost grounds."""

from __future__ import annotations

from reviewer.analysis.grounding.shared_returns import ground_leads, necessary, return_side, star
from reviewer.model.parts import Battery
from tests.analysis.small_aircraft import small


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
