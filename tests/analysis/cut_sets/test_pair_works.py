"""Pairs of failures with equivalent shorts solved once, against every pair solved by itself."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, SHORT, Failure
from reviewer.analysis.cut_sets.pair_works import _PairWorks, pair_works
from reviewer.analysis.facts import Facts
from reviewer.model.design import Design
from tests.analysis.conduction.test_late_outcomes import rated
from tests.analysis.small_designs import SmallDesign, cruise
from tests.oracle.awkward import awkward
from tests.oracle.generator import realistic


def designs(seeds: int) -> Iterator[Design]:
    for seed in range(seeds):
        yield realistic(80, seed, rated)
        yield from (awkward(100 * seed + more, dress=rated) for more in range(12))


@pytest.mark.parametrize("seeds", [1, pytest.param(6, marks=pytest.mark.long)])
def test_grouped_pairs_are_those_solved_one_by_one(seeds: int) -> None:
    compared = saved = told_apart = chains = 0
    for number, design in enumerate(designs(seeds)):
        facts, chance = Facts(design), Random(number)
        for answer in facts.states.answers():
            functions = [f for f in design.functions if answer.alive[f]]
            late = [
                o for outcomes in facts.states.late_failures(answer.state.name).values() for o in outcomes
            ]
            every = [*answer.failures, *late, *answer.stuck_contacts]
            if not functions or not answer.failures:
                continue
            firsts = chance.sample(every, min(40, len(every)))
            seconds = [*chance.sample(late, min(60, len(late))), *chance.sample(answer.failures, 20)]
            works = pair_works(answer, functions, firsts, seconds)
            assert works == pair_works(answer, functions, firsts, seconds, grouped=False), number
            compared += len(firsts) * len(seconds) * len(functions)
            pairs = _PairWorks(answer, functions, firsts, seconds, True)
            saved += len(firsts) * len(seconds) - len(pairs.rows) * len(pairs.columns)
            told_apart += sum(1 for _ in pairs._apart())
            # without a short among the first ones opens of one chain are alike too
            firsts = [f for f in firsts if not f.nodes][:12]
            seconds = [*seconds[:10], *(f for f in answer.failures if f.mode is OPEN)][:80]
            works = pair_works(answer, functions, firsts, seconds)
            assert works == pair_works(answer, functions, firsts, seconds, grouped=False), number
            chains += len(seconds) - len(_PairWorks(answer, functions, firsts, seconds, True).columns)
    assert compared >= 20_000 * seeds and saved >= 5_000 * seeds, (compared, saved)
    assert told_apart >= 100 * seeds and chains >= 50 * seeds, (told_apart, chains)


def test_an_open_lead_parts_the_metal_of_two_shorts() -> None:
    made = SmallDesign()
    made.second_battery()
    made.add("breaker", "breaker", rating="5 A")
    # the load has two feeds; the lead of one is metal of the shorts at both of its ends
    made.load("left", ("breaker.line", "breaker.load"), start="second-bus")
    made.wire("bus", "left.supply")
    made.function("works", "left")
    facts = made.facts()
    answer = cruise(facts)
    lead = next(reversed(facts.design.wires))
    shorts = [Failure(e, SHORT, (facts.network.node(n),)) for e, n in (
        ("parts/bus", "bus"), ("parts/left", "left.supply"), (f"wires/{lead}", "bus"),
    )]  # fmt: skip
    for firsts, wanted in (([Failure("parts/ground", OPEN)], 0), ([Failure(f"wires/{lead}", OPEN)], 0b001)):
        assert pair_works(answer, ["works"], firsts, shorts) == {"works": [wanted]}
        assert pair_works(answer, ["works"], shorts, firsts) == {"works": [wanted >> i & 1 for i in range(3)]}
