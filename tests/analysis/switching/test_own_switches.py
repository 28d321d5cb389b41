"""Loads that stay on though their own switch is off."""

from __future__ import annotations

from tests.analysis.small_designs import SmallDesign

THROWS = {"main": [["line", "load"]], "backup": [["other", "load"]]}
OFF_ON = {"off": [], "on": [["line", "load"]]}


def changed_over(switch_first: bool, **throws: list) -> SmallDesign:
    """An ignition with a switch and a change-over: the switch before the change-over or after it."""
    made = SmallDesign()
    made.second_battery()
    made.add("switch", "switch", positions=OFF_ON)
    made.add("source", "switch", positions={**THROWS, **throws})
    chain = [("switch.line", "switch.load"), ("source.line", "source.load")]
    made.load("ignition", *(chain if switch_first else chain[::-1]))
    made.run("second-bus", [], "source.other")
    made.function("spark", "ignition")
    return made


def found(made: SmallDesign, **switches: str) -> tuple[tuple[str, str], ...] | None:
    on = made.facts(switches={"switch": "on", "source": "main", **switches}).switches.stays_on(
        "parts/ignition"
    )
    return on.combination.moved if on else None


def test_a_change_over_after_the_switch_feeds_the_load_around_it() -> None:
    assert found(changed_over(True)) == (("source", "backup"),)


def test_a_switch_after_the_change_over_takes_the_load_off_in_every_position() -> None:
    assert found(changed_over(False)) is None


def test_a_second_supply_with_a_switch_of_its_own_is_no_change_over() -> None:
    made = SmallDesign()
    made.second_battery()
    for name in ("switch", "spare"):
        made.add(name, "switch", positions=OFF_ON)
    made.load("ignition", ("switch.line", "switch.load"))
    made.run("second-bus", [("spare.line", "spare.load")], "ignition.supply")
    facts = made.facts(switches={"switch": "on", "spare": "off"})
    assert [(o.load, o.switch) for o in facts.switches.switched_loads] == [("parts/ignition", "switch")]
    assert facts.switches.stays_on("parts/ignition") is None


def test_a_master_that_takes_a_bus_off_is_nobody_s_own_switch() -> None:
    made = SmallDesign()
    made.add("master", "switch", positions=OFF_ON)
    made.add("far", "bus")
    made.run("bus", [("master.line", "master.load")], "far")
    made.load("radio", start="far")
    assert made.facts(switches={"master": "on"}).switches.switched_loads == ()
