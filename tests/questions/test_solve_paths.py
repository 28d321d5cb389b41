"""What each path carries: drops and currents of one point."""

from __future__ import annotations

import pytest

from reviewer.analysis.facts import Facts
from reviewer.questions.solve import PathCurrent, solved_of
from tests.analysis.operating_point.bench import bench


def paths(facts: Facts) -> dict[str, PathCurrent]:
    return {c.element: c for c in solved_of(facts, "cruise").phases[0].paths}


def test_the_drop_of_each_path_is_its_current_times_its_resistance_and_fuse_and_wire_carry_alike() -> None:
    facts = bench()
    found = paths(facts)
    fuse, wire = found["parts/left-fuse"], found["wires/W21"]
    assert fuse.amperes == pytest.approx(wire.amperes) and fuse.amperes is not None
    assert fuse.drop == pytest.approx(fuse.amperes * 0.07 / 7.5)
    assert (wire.a, wire.b) == ("left-fuse.load", "left-switch.line")


def test_what_no_source_reaches_has_no_volts_and_no_drop() -> None:
    facts = bench(
        (
            "main-battery: {kind: battery, chemistry: lead-acid, capacity: 17 Ah}",
            "main-battery: {kind: battery, chemistry: lead-acid, capacity: 17 Ah}\n  lone-bus: {kind: bus}\n  lone-fuse: {kind: fuse, rating: 5 A, label: LONE}",
        ),
        ("wires:\n", "wires:\n  L1: {from: lone-bus.a, to: lone-fuse.line, gauge: 20 AWG, length: 1 m}\n"),
    )
    found = paths(facts)
    assert (found["wires/L1"].volts_a, found["wires/L1"].drop, found["wires/L1"].amperes) == (None, None, 0)
