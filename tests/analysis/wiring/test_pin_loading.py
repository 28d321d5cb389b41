"""Current of connector pins, worked by hand."""

from __future__ import annotations

import pytest

from reviewer.analysis.wiring.pin_loading import pin_groups
from tests.analysis.wiring.wired import wired

PLUG = "wing-plug: {kind: connector, zone: wing, pins: [heat, heat-return, spare], pin-rating: 10 A}"
W73 = "W73: {from: wing-plug.heat-plug, to: pitot-heater.supply, gauge: 12 AWG, length: 0.9 m, bundle: wing}"


def test_pins_in_parallel_are_found_by_what_joins_them_on_both_sides() -> None:
    facts = wired(
        (PLUG, PLUG.replace("[heat, heat-return, spare]", "[heat, heat-b, heat-c, heat-return]")),
        (
            W73,
            W73
            + "\n  X1: {from: wing-plug.heat-plug, to: wing-plug.heat-b-plug, gauge: 12 AWG, length: 0.1 m}"
            "\n  X2: {from: wing-plug.heat-socket, to: wing-plug.heat-b-socket, gauge: 12 AWG, length: 0.1 m}"
            "\n  X3: {from: wing-plug.heat-plug, to: wing-plug.heat-c-plug, gauge: 12 AWG, length: 0.1 m}",
        ),
    )
    groups = pin_groups(facts.design, facts.network, "wing-plug")
    assert groups == (("heat", "heat-b"), ("heat-c",), ("heat-return",))  # heat-c is joined on one side only
    load = next(load for load in facts.wires.pin_loads("wing-plug") if "heat" in load.pins)
    alone = next(load for load in facts.wires.pin_loads("wing-plug") if load.pins == ("heat-return",))
    assert (
        load.amperes == pytest.approx(alone.amperes)
        and load.shares == 1
        and load.weight == pytest.approx(alone.weight)
    )


def test_a_full_connector_leaves_six_tenths() -> None:
    load = wired((PLUG, PLUG.replace(", spare", ""))).wires.pin_loads("wing-plug")[0]
    assert (load.full, load.factor) == (False, 1.0)  # a supply and its return
    facts = wired(
        (PLUG, PLUG.replace("spare", "flaps")),
        ("flap-motor.return, to: main-ground.flaps", "flap-motor.return, to: wing-plug.flaps-plug"),
    )
    assert all(
        not load.full for load in facts.wires.pin_loads("wing-plug")
    )  # the flaps do not run in any state
