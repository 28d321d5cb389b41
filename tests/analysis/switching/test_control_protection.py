"""The fuse of the master's coil feeds no bus.

Its opening leaves the main bus to the alternator alone.
"""

from __future__ import annotations

from tests.analysis.small_aircraft import small


def test_the_fuse_of_the_coil_leaves_the_bus_to_the_alternator() -> None:
    (found,) = small().switches.control_protectors
    assert (found.protector, found.state) == ("parts/master-fuse", "cruise")
    assert found.buses == found.alone == ("main-bus",) and found.drops == ("parts/master",)


def test_without_an_alternator_that_runs_the_bus_is_dead() -> None:
    facts = small(("cruise: {use: flight, engine: running,", "cruise: {use: flight, engine: stopped,"))
    found = next(c for c in facts.switches.control_protectors if c.state == "cruise")
    assert found.buses == ("main-bus",) and found.alone == ()


def test_the_fuse_that_feeds_a_coil_is_known_with_its_state() -> None:
    assert small().switches.coil_fuses("master") == {"master-fuse": "cruise"}
