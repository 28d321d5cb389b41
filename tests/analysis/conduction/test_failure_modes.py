"""The single failures that are tried."""

from __future__ import annotations

from reviewer.analysis.conduction.failure_modes import Mode, single_failures, stuck_contacts
from tests.analysis.small_designs import SmallDesign, cruise, fails


def test_a_mode_has_one_word_for_the_command_line() -> None:
    assert [m.key for m in (Mode.SHORT, Mode.DIODE_SHORT, Mode.HELD)] == [
        "shorted-to-ground",
        "shorted",
        "welded-closed",
    ]
    assert len({mode.key for mode in Mode}) == len(Mode)


def test_a_short_is_tried_at_energized_nodes_only() -> None:
    made = SmallDesign()
    made.load("lamp", made.switch("switch"))
    facts = made.facts(switches={"switch": "off"})
    shorted = {n for f in cruise(facts).failures if f.mode is Mode.SHORT for n in f.nodes}
    assert facts.network.node("switch.line") in shorted and facts.network.node("switch.load") not in shorted


def test_a_failure_names_the_terminal_where_a_part_has_several() -> None:
    made = SmallDesign()
    made.load("lamp", made.protector("breaker"))
    facts = made.facts()
    assert (
        fails(facts, "parts/breaker", Mode.SHORT, "breaker.load").words(facts.network)
        == "shorted to ground at breaker.load"
    )
    assert fails(facts, "parts/bus", Mode.SHORT).words(facts.network) == "shorted to ground"


def test_metal_structure_does_not_open() -> None:
    made = SmallDesign()
    made.add("engine", "airframe", material="metal")
    made.wire("engine.strap", "ground")
    facts = made.facts()
    opened = {f.element for f in single_failures(facts.design, facts.network, ()) if f.mode is Mode.OPEN}
    assert "parts/ground" in opened and "parts/engine" not in opened


def test_a_bundle_is_severed_where_it_holds_more_than_one_wire() -> None:
    made = SmallDesign()
    made.add("lamp", "load")
    made.wire("bus", "lamp.supply", bundle="pair")
    made.wire("lamp.return", "ground", bundle="pair")
    made.load("other")
    made.wire("bus", "ground", bundle="single")
    severed = {f.element for f in cruise(made.facts()).failures if f.mode is Mode.SEVERED}
    assert severed == {"bundles/pair"}


def test_a_switch_stays_at_each_position_but_its_own() -> None:
    made = SmallDesign()
    made.add("switch", "switch", positions={"one": [], "two": [["line", "load"]], "three": []})
    facts = made.facts(switches={"switch": "two"})
    stays = stuck_contacts(facts.design, {"switch": "two"})
    assert [(f.mode, f.position) for f in stays] == [(Mode.STAYS, "one"), (Mode.STAYS, "three")]
