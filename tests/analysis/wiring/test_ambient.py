"""The ambient of a wire: of its zone, else of the zones of its ends, else the hottest of all."""

from __future__ import annotations

import pytest

from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.wiring.ambient import ambient_of
from tests.analysis.wiring.wired import wired

W73 = "W73: {from: wing-plug.heat-plug, to: pitot-heater.supply, gauge: 12 AWG, length: 0.9 m, bundle: wing}"


def test_the_air_of_a_wire_is_that_of_its_zone_else_the_hottest_of_its_ends_else_of_all() -> None:
    design = wired(
        (W73, W73[:-1] + ", zone: cabin}"),
        ("bus-limiter: {kind: limiter, zone: cabin,", "bus-limiter: {kind: limiter,"),
    ).design
    ambients = {wire: ambient_of(design, wire) for wire in ("W73", "W72", "W13", "W3")}
    assert [(a.celsius, a.zone, a.known) for a in ambients.values() if a] == [
        (50, "cabin", True), (60, "wing", True), (90, "engine", True), (90, "engine", False),
    ]  # fmt: skip


def test_a_zone_without_a_temperature_is_asked_for() -> None:
    with pytest.raises(NotAssessable, match=r"`max-ambient` of wing in `aircraft.zones`"):
        wired(("wing: {max-ambient: 60 C}", "wing: {wet: true}")).wires.wire_loads.worst("W73")
