"""The core of a network, and what is pendant."""

from __future__ import annotations

from reviewer.analysis.cut_sets.core import NetworkCore, network_core
from reviewer.analysis.facts import Facts
from tests.analysis.small_designs import SmallDesign, cruise


def design(lamp_on: bool = True) -> Facts:
    """A load of interest, and a lamp of none behind a breaker and a switch."""
    made = SmallDesign()
    made.load("ignition")
    made.load("lamp", made.protector("breaker"), made.switch("switch"))
    return made.facts(switches={"switch": "on" if lamp_on else "off"})


def core(facts: Facts) -> NetworkCore:
    return network_core(facts.network, cruise(facts).state, {"parts/ignition"})


def test_the_core_is_between_the_sources_and_the_loads_in_question() -> None:
    facts = design()
    names = {facts.network.names[n] for n in core(facts).core}
    assert {"battery.positive", "battery.negative", "ignition.supply", "ignition.return"} <= names
    assert not {"lamp.supply", "lamp.return"} & names


def test_what_is_pendant_has_a_place_and_the_core_has_none() -> None:
    facts = design()
    places = core(facts).places
    assert places[facts.network.node("ignition.supply")] == frozenset()
    assert {kind for kind, _ in places[facts.network.node("lamp.supply")]} >= {"end"}


def test_an_open_switch_makes_its_link_impossible() -> None:
    for on in (True, False):
        facts = design(on)
        (link,) = facts.network.links_of["parts/switch"]
        assert core(facts).possible[link] is on


def test_a_short_reaches_the_core_unless_a_protector_is_between() -> None:
    facts = design()
    node = facts.network.node
    found = core(facts)
    assert found.reaches_core(facts.network, [node("breaker.line")])
    assert not found.reaches_core(facts.network, [node("lamp.supply")])
