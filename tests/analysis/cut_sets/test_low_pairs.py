"""Two failures that leave a function power and too few volts, by hand and against every pair solved by itself."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.cut_sets.low_pairs import LowPair, low_pairs
from reviewer.analysis.facts import Facts
from reviewer.questions.solve import solved_of
from tests.analysis.small_designs import SmallDesign, cruise

#: by hand: with the first two feeds open 126 W pass the third: V x (12.6 - V) / 0.25 ohm = 126 W gives 9.2 V,
#: with 0.05 ohm 12.1 V; with the second left 0.042 ohm, 12.2 V
FIRST, SECOND = Failure("parts/first", OPEN), Failure("parts/second", OPEN)


def drawn(third: str, minimum: str = "10 V") -> Facts:
    """A pump and a heater on a bus with three feeds, of 0.001, 0.05 and ``third`` ohm."""
    made = SmallDesign()
    made.parts["battery"] |= {
        "chemistry": "lead-acid",
        "capacity": "17 Ah",
        "internal-resistance": "0.01 ohm",
    }
    made.add("second-bus", "bus")
    for name, ohms in (("first", "0.001 ohm"), ("second", "0.05 ohm"), ("third", third)):
        made.run("bus", [made.protector(name, "fuse")], "second-bus")
        made.wires[f"W{len(made.wires)}"]["resistance"] = ohms
    made.load("pump", start="second-bus", current="3 A", type="electronic", minimum=minimum)
    made.load("heater", start="second-bus", current="6 A", type="electronic")
    made.function("fuel", "pump", loss="catastrophic")
    made.more["watch"] = {"monitors": {"volts": {"shows": "voltage", "senses": "bus.volts"}}}
    return made.facts()


def found_in(facts: Facts) -> list[LowPair]:
    answer = cruise(facts)
    return list(low_pairs(facts.failures.low_volts, answer, ["fuel"], answer.failures))


@pytest.mark.parametrize(
    ("third", "minimum"), [("0.25 ohm", "10 V"), ("0.05 ohm", "10 V"), ("0.25 ohm", "8 V")]
)
def test_a_pair_is_found_where_solve_has_too_few_volts(third: str, minimum: str) -> None:
    facts = drawn(third, minimum)
    (phase,) = solved_of(facts, "cruise", ["first=open", "second=open"]).phases
    assert phase.point is not None
    low = phase.point.volts["second-bus.1"] < float(minimum.partition(" ")[0])
    assert low == ((third, minimum) == ("0.25 ohm", "10 V"))
    assert (LowPair(FIRST, SECOND, "fuel") in found_in(facts)) == low


def test_each_pair_is_one_that_is_low_by_itself_and_not_lost_in_logic() -> None:
    facts = drawn("0.25 ohm")
    answer = cruise(facts)
    number = {failure: i for i, failure in enumerate(answer.failures)}
    wanted = set()
    for one in answer.failures:
        for other in answer.failures:
            if one.element == other.element:
                continue
            solved = answer.conducting_after([(one, other)]).conducts
            low = answer.low([(one, other)], solved).get("parts/pump", 0)
            alone = answer.functions["fuel"] >> number[other] & answer.functions["fuel"] >> number[one] & 1
            if solved.powered["parts/pump"] and low and alone:
                wanted.add((one, other))
    found = {(p.first, p.second) for p in found_in(facts) if answer.functions["fuel"] >> number[p.first] & 1}
    assert found == wanted and len(wanted) > 10


@pytest.mark.parametrize(("third", "lost"), [("0.25 ohm", True), ("0.05 ohm", False)])
def test_a_latent_failure_is_one_that_leaves_too_few_volts_with_another(third: str, lost: bool) -> None:
    losses = drawn(third).detection.latent_losses
    told = {
        (element, further)
        for loss in losses.values()
        for element in (loss.element, *loss.equivalent, *loss.partners)
        for function, elements in loss.losses
        for further in elements
        if function == "fuel"
    }
    assert (("parts/first", "parts/second") in told or ("parts/second", "parts/first") in told) == lost
