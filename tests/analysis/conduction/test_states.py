"""One state solved, and functions."""

from __future__ import annotations

from reviewer.analysis.conduction.states import (
    conducts,
    critical_functions,
    feed_path,
    function_masks,
    loads_of,
    rests_on,
    shorted_sources,
)
from tests.analysis.small_designs import SmallDesign, cruise, fails


def three_lamps() -> SmallDesign:
    made = SmallDesign()
    for name in ("left", "right", "spare"):
        made.load(name, made.protector(f"{name}-breaker"))
    made.function("pair", "left", "right", any=2, loss="minor")
    made.function("light", "pair", "spare")
    return made


def test_a_function_needs_the_number_of_channels_that_it_declares() -> None:
    design = three_lamps().facts().design
    masks = function_masks(
        design, {"parts/left": 0b0011, "parts/right": 0b0101, "parts/spare": 0b1000}, 0b1111
    )
    assert masks == {"pair": 0b0001, "light": 0b1001}


def test_loads_of_a_function_are_those_of_its_channels_too() -> None:
    design = three_lamps().facts().design
    assert loads_of(design, "light") == ("left", "right", "spare")
    assert rests_on(design, "light", "pair") and not rests_on(design, "pair", "light")
    assert critical_functions(design) == ("light",)


def test_a_failure_is_survived_where_enough_channels_work() -> None:
    facts = three_lamps().facts()
    answer = cruise(facts)
    place = {f: i for i, f in enumerate(answer.failures)}
    breaker, bus = place[fails(facts, "parts/left-breaker")], place[fails(facts, "parts/bus")]
    assert not answer.functions["pair"] >> breaker & 1 and answer.functions["light"] >> breaker & 1
    assert not answer.functions["light"] >> bus & 1


def test_the_path_of_a_feed_lists_each_element_once() -> None:
    facts = three_lamps().facts()
    goal = facts.network.node("left.supply")
    assert feed_path(facts.network, cruise(facts), "parts/battery", goal) == (
        "parts/battery", "wires/W1", "parts/bus", "wires/W3", "parts/left-breaker", "wires/W4",
    )  # fmt: skip
    assert feed_path(facts.network, cruise(facts), "parts/battery", goal, {"parts/left-breaker"}) == ()


def test_a_pulled_breaker_does_not_conduct() -> None:
    for pulled in ([], ["left-breaker"]):
        facts = three_lamps().facts(pulled=pulled)
        (link,) = facts.network.links_of["parts/left-breaker"]
        assert conducts(facts.network, cruise(facts), link) == (not pulled)


def test_a_source_is_shorted_where_no_load_is_between() -> None:
    assert shorted_sources(three_lamps().facts().network, cruise(three_lamps().facts())) == ()
    made = three_lamps()
    made.run("bus", [made.switch("shorting")], "ground")
    (short,) = shorted_sources(made.facts().network, cruise(made.facts()))
    assert short.source == "parts/battery" and "parts/shorting" in short.path
