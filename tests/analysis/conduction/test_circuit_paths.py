"""The path of a cause: through the element that fails, of a feed, a return or a coil."""

from __future__ import annotations

from reviewer.model.review import Finding
from reviewer.network.graph import bare
from reviewer.rulebook.runner import run_rules
from tests.analysis.small_aircraft import small
from tests.analysis.small_designs import SmallDesign
from tests.rule_cases import RULES


def held() -> SmallDesign:
    """A load and a radio through a contactor whose coil has a breaker and a return of its own."""
    made = SmallDesign()
    contacts = {
        "main": {"kind": "make", "joins": ["line", "load"]},
        "second": {"kind": "make", "joins": ["second-line", "second-load"]},
    }
    made.add("contactor", "contactor", coil=["coil-plus", "coil-minus"], contacts=contacts)
    made.load("lamp", ("contactor.line", "contactor.load"))
    made.run("bus", [made.protector("coil-breaker")], "contactor.coil-plus")
    made.wire("contactor.coil-minus", "ground")
    made.function("light", "lamp")
    made.load("radio", ("contactor.second-line", "contactor.second-load"), end="lamp.return")
    return made


def names(path: tuple[str, ...]) -> str:
    return " ".join(map(bare, path))


def test_the_feed_goes_from_the_source_to_the_load_and_the_return_back_to_it() -> None:
    states = held().facts().states
    assert names(states.path_to("cruise", "parts/lamp")) == "battery W1 bus W3 contactor W4 lamp"
    assert names(states.path_back("cruise", "parts/lamp")) == "lamp W5 ground W2 battery"
    assert names(states.path_to("cruise", "wires/W7")) == "battery W1 bus W6 coil-breaker W7"


def test_an_alternator_is_fed_at_its_field() -> None:
    fed = names(small().states.path_to("cruise", "parts/alternator"))
    assert fed.endswith("main-bus P8 field-breaker P9 alternator")


def test_the_path_is_that_of_the_element_that_is_asked_for() -> None:
    states = held().facts().states
    for element, path in (
        ("parts/contactor", "battery W1 bus W3 contactor W4 lamp"),
        ("wires/W5", "lamp W5 ground W2 battery"),
        ("parts/coil-breaker", "battery W1 bus W6 coil-breaker W7 contactor"),
        ("wires/W8", "contactor W8 ground W2 battery"),
    ):
        assert names(states.circuit_path("cruise", ["parts/lamp"], element)) == path


def test_of_two_feeds_the_one_is_given_that_passes_the_element() -> None:
    made = SmallDesign()
    made.second_battery()
    made.load("lamp")
    made.run("second-bus", [made.protector("fuse", "fuse")], "lamp.supply")
    states = made.facts().states
    assert names(states.path_to("cruise", "parts/lamp", "parts/fuse")).split()[0] == "second"
    assert names(states.path_to("cruise", "parts/lamp", "parts/battery")).split()[0] == "battery"


def test_nothing_feeds_a_load_that_is_cut_off() -> None:
    made = SmallDesign()
    made.load("lamp", made.switch("key"))
    states = made.facts(switches={"key": "off"}).states
    assert states.path_to("cruise", "parts/lamp") == states.path_back("cruise", "parts/lamp") == ()


def single_points(made: SmallDesign) -> dict[str, Finding]:
    rules = [rule for name, rule in RULES.items() if name.startswith("no-s") and "failure-stops" in name]
    done, _ = run_rules(rules, made.facts())
    return {finding.subject: finding for assessment in done for finding in assessment.findings}


def test_a_single_failure_of_a_return_or_of_a_coil_is_told_with_that_path_and_as_such() -> None:
    found = single_points(held())
    lost = found["wires/W5"]
    assert "lamp loses its return" in lost.sentence and lost.path[0].part == "lamp"
    coil = found["parts/coil-breaker"]
    assert "lamp not powered" in coil.sentence and [step.part for step in coil.path][-1] == "contactor"
    for subject, finding in found.items():
        assert bare(subject) in [step.part for step in finding.path], finding.sentence


def test_two_loads_lose_their_return_and_one_that_loses_its_feed_does_not() -> None:
    made = SmallDesign()
    made.add("block", "ground-block")
    made.wire("block", "ground")
    for name in ("left", "right"):
        made.load(name, end="block")
    made.function("light", "left", "right")
    found = single_points(made)
    assert "left, right lose their return" in found["parts/block"].sentence
    assert "left, right not powered" in found["parts/bus"].sentence
