"""The single failures that are tried."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import (
    MODE_KEYS,
    Mode,
    mode_key,
    mode_words,
    single_failures,
    stuck_contacts,
)
from tests.analysis.small_designs import SmallDesign, cruise, fails


@pytest.mark.parametrize(
    ("kinds", "as_energised", "as_not"),
    [
        (["make"], "contacts welded closed", "contacts failed open"),
        (["break"], "contacts failed open", "contacts welded closed"),
        (
            ["changeover"],
            "contacts stuck in the energised position",
            "contacts stuck in the de-energised position",
        ),
        (
            ["make", "break"],
            "contacts stuck in the energised position",
            "contacts stuck in the de-energised position",
        ),
    ],
)
def test_contacts_that_stick_are_named_by_what_they_do(
    kinds: list[str], as_energised: str, as_not: str
) -> None:
    made, contacts = SmallDesign(), {}
    for kind in kinds:
        ends = {"joins": [f"{kind}-in", f"{kind}-out"]}
        over = {"common": "over-in", "de-energised": "over-rest", "energised": "over-out"}
        contacts[kind] = {"kind": kind, **(over if kind == "changeover" else ends)}
    made.add("relay", "relay", coil=["plus", "minus"], contacts=contacts)
    made.wire("bus", "relay.plus")
    made.wire("relay.minus", "ground")
    for kind in kinds:
        made.wire("bus", f"relay.{'over' if kind == 'changeover' else kind}-in")
    network = made.facts().network
    found = [mode_words(network, "parts/relay", mode) for mode in (Mode.HELD, Mode.DROPPED)]
    assert found == [as_energised, as_not]
    keys = [mode_key(network, "parts/relay", mode) for mode in (Mode.HELD, Mode.DROPPED)]
    assert len(set(keys)) == 2 and set(keys) <= set(MODE_KEYS)


def test_a_mode_has_one_word_for_the_command_line() -> None:
    assert set(MODE_KEYS) >= {
        "shorted-to-ground",
        "shorted",
        "coil-diode-shorted",
        "welded-closed",
        "stuck-energised",
    }
    assert len(MODE_KEYS) == len(Mode) + 3


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
