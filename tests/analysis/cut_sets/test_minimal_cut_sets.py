"""Minimal cut sets with failures that are alike solved once, against every pair solved by itself; and what they are, by hand."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from random import Random

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.masks import bits
from reviewer.analysis.conduction.states import StateAnswer, function_masks, solve_state
from reviewer.analysis.cut_sets.minimal_cut_sets import BLOCK, CutSet, blocks, pair_losses
from reviewer.analysis.facts import Facts
from reviewer.network.network_build import build_network
from reviewer.reading import read_design, read_text
from tests.oracle.generator import awkward, random_states, realistic
from tests.rule_cases import RULES, design, text

ROOT = Path(__file__).parents[3]
BASE = ROOT / "tests" / "rules" / "bases" / "bench.yaml"
EXAMPLES = sorted((ROOT / "examples").glob("*.design.yaml"))


def compared(answers: Iterable[StateAnswer]) -> tuple[int, int]:
    """Compare all pairs of some states; gives how many pairs were minimal, and how many lanes the grouping saved."""
    minimal = saved = 0
    for answer in answers:
        grouped, plain = pair_losses(answer), pair_losses(answer, grouped=False)
        for function, rows in plain.rows.items():
            for i, (row, wanted) in enumerate(zip(grouped.rows[function], rows, strict=True)):
                wrong = [(answer.failures[i], answer.failures[j]) for j in bits(row ^ wanted)]
                assert not wrong, (answer.design.aircraft.name, answer.state.name, function, wrong[0])
                minimal += wanted.bit_count()
        assert grouped == plain
        saved += plain.lanes - grouped.lanes
    return minimal // 2, saved


def awkward_answers(seed: int, states: int) -> list[StateAnswer]:
    design = awkward(seed)
    network = build_network(design)
    return [solve_state(design, network, state) for state in random_states(design, Random(seed), states)]


@pytest.mark.long
def test_grouping_loses_nothing_on_the_designs_of_the_rules_and_the_examples() -> None:
    pairs = saved = 0
    unmet = [read_text(text(design(rule, "unmet")), rule) for rule in list(RULES)[::3]]  # they are much alike
    for read in (*unmet, *map(read_design, EXAMPLES)):
        facts = Facts(read)
        answers = facts.states.answers()[:2] if facts.design.operation else ()
        one, two = compared(answers)
        pairs, saved = pairs + one, saved + two
    assert pairs > 20_000 and saved > 500_000


@pytest.mark.parametrize("block", [1, *(pytest.param(b, marks=pytest.mark.long) for b in (0, 2, 3))])
def test_grouping_loses_nothing_on_awkward_designs(block: int) -> None:
    """Relays that break, change over and hunt, opposed diodes, loops of buses, bundles: 120 designs from fixed seeds, a quarter at a time."""
    pairs = saved = 0
    for seed in range(block * 30, block * 30 + 30):
        one, two = compared(awkward_answers(seed, 2))
        pairs, saved = pairs + one, saved + two
    assert pairs > 1_000 and saved > 50_000


def test_grouping_loses_nothing_on_a_plausible_aircraft() -> None:
    facts = Facts(realistic(120, 3))
    pairs, saved = compared([facts.states.answer("cruise")])
    assert pairs > 1_000 and saved > 100_000


def test_the_comparison_notices_pairs_that_are_grouped_too_boldly(monkeypatch: pytest.MonkeyPatch) -> None:
    """A short inside a chain is not alike for every open of that chain: without the pairs told of one by one the answer is wrong."""
    monkeypatch.setattr("reviewer.analysis.cut_sets.equivalence._Grouper._met", lambda self, every: iter(()))
    with pytest.raises(AssertionError, match="shorted to ground"):
        for seed in range(60):
            compared(awkward_answers(seed, 1))


def test_the_functions_of_one_state_can_be_asked_for_one_by_one() -> None:
    facts = Facts(read_design(ROOT / "examples" / "tourer.design.yaml"))
    answer = facts.states.answer("cruise")
    alone, together = pair_losses(answer, ("attitude",)), facts.failures.pair_losses("cruise")
    assert alone.rows["attitude"] == together.rows["attitude"]
    assert alone.lanes < together.lanes < len(answer.failures) ** 2 / 8


def test_a_cut_set_of_two_loses_the_function_and_neither_of_its_failures_does() -> None:
    facts = Facts(read_design(BASE))
    answer = facts.states.answer("cruise")
    cuts = facts.failures.cut_sets("cruise", "ignition")
    assert facts.failures.cut_sets("cruise", "ignition") is cuts
    lives = function_masks(
        facts.design,
        conduct(facts.network, answer.state, [c.failures for c in cuts], answer.healthy).powered,
        (1 << len(cuts)) - 1,
    )
    assert lives["ignition"] == 0
    for cut in cuts:
        assert len(cut.failures) == 1 or all(
            answer.functions["ignition"] >> answer.failures.index(f) & 1 for f in cut.failures
        )
    opens = {
        frozenset(f.element.partition("/")[2] for f in c.failures)
        for c in cuts
        if all(f.mode == OPEN for f in c.failures)
    }
    # by hand from bench.yaml: the left way from the main battery and back, the right way from the reserve battery and back. Each battery can stand
    # in for the other only through the contactor, the bus and the charging line, one way: so the reserve's own lead and post are no cut
    left = {"W20", "left-fuse", "W21", "left-switch", "W22", "left-ignition", "W23"}
    right = {"W30", "right-fuse", "W31", "right-switch", "W32", "right-ignition", "W33"}
    assert {frozenset({a, b}) for a in left for b in right} <= opens
    assert frozenset({"left-fuse", "reserve-battery"}) not in opens


def test_order_one_is_the_single_failures() -> None:
    facts = Facts(read_design(ROOT / "examples" / "faulted-tourer.design.yaml"))
    for function in facts.design.functions:
        answer = facts.states.answer("cruise")
        singles = facts.failures.cut_sets("cruise", function, 1)
        assert singles == tuple(
            c for c in facts.failures.cut_sets("cruise", function, 2) if len(c.failures) < 2
        )
        lost = tuple((f,) for i, f in enumerate(answer.failures) if not answer.functions[function] >> i & 1)
        assert tuple(c.failures for c in singles) == (lost if answer.alive[function] else ((),))
    with pytest.raises(ValueError, match="order 3"):
        facts.failures.cut_sets("cruise", "fuel", 3)
    with pytest.raises(KeyError):
        facts.failures.cut_sets("cruise", "no such function")


def test_a_function_that_does_not_live_anyway_is_cut_by_nothing() -> None:
    facts = Facts(read_design(BASE))
    assert facts.failures.cut_sets("parked", "ignition") == (CutSet("ignition", "parked", ()),)


def test_blocks_hold_every_pair_and_are_never_too_wide() -> None:
    for count in (0, 1, 2, 181, 182, 700):
        seen = set()
        for start, stop, left, right in blocks(count):
            assert (stop - start) * (right - left) <= BLOCK
            seen |= {(i, j) for i in range(start, stop) for j in range(left, right) if i < j}
        assert len(seen) == count * (count - 1) // 2
    wide = list(blocks(BLOCK + 3))
    assert all((stop - start) * (right - left) <= BLOCK for start, stop, left, right in wide[:8])
    assert list(bits(0b1010011)) == [0, 1, 4, 6]
