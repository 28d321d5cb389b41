"""Minimal cut sets of one and two open elements: the engine's lanes against a satisfiability solver.

The encoding, told in full in ``tests/oracle/cuts.py``: "the function is lost" as clauses over one variable an element (open) and, for each
step in which relays and sources drop out, over what each source *may* feed and *may* get back, each coil and source *may* be. Reaching
is a rule from one end of a way to the other; lost is that the function may not work in the last step. Solutions with one, then with two
open elements are listed, each blocked with all that contain it. It is exact where no contact is closed at rest, so the circuits here
have none. The elements are all parts and all wires; a cut set of a function that does not work anyway is not asked for. What
:mod:`reviewer.analysis.cut_sets.minimal_cut_sets` lists, with failures that are alike grouped, is compared too.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from random import Random

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct, conduct_pairs
from reviewer.analysis.conduction.states import function_masks, solve_state
from reviewer.analysis.cut_sets.minimal_cut_sets import cut_sets
from reviewer.model.design import Design
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Network
from reviewer.network.network_build import build_network
from tests.oracle.circuit import circuit_of
from tests.oracle.cuts import LossClauses
from tests.oracle.generator import awkward, random_states
from tests.oracle.plain import OPEN as PLAIN_OPEN
from tests.oracle.plain import Fault, solve, working

pytestmark = pytest.mark.long  # another solver enumerates the same cut sets

BLOCKS, DESIGNS = 3, 20


def engine_cut_sets(
    design: Design, network: Network, state: ResolvedState, elements: Sequence[str]
) -> dict[str, set[frozenset[str]]]:
    """For each function, the sets of one and of two elements whose opening loses it, without those that hold a smaller one."""
    before = conduct(network, state)
    cases = [(Failure(element, OPEN),) for element in elements]
    single, pairs = (
        conduct(network, state, cases, before),
        conduct_pairs(network, state, cases, cases, before),
    )
    count = len(elements)
    found = {}
    alone = function_masks(design, single.powered, (1 << count) - 1)
    both = function_masks(design, pairs.powered, (1 << count * count) - 1)
    for name in design.functions:
        lost = [not alone[name] >> i & 1 for i in range(count)]
        cuts = {frozenset([element]) for element, gone in zip(elements, lost, strict=True) if gone}
        for i, j in combinations(range(count), 2):
            if not both[name] >> (i * count + j) & 1 and not lost[i] and not lost[j]:
                cuts.add(frozenset([elements[i], elements[j]]))
        found[name] = cuts
    return found


@pytest.mark.parametrize("block", [0, *(pytest.param(b, marks=pytest.mark.long) for b in range(1, BLOCKS))])
def test_the_engine_finds_the_minimal_cut_sets_that_the_solver_finds(block: int) -> None:
    first = second = relays = 0
    for seed in range(block * DESIGNS, (block + 1) * DESIGNS):
        design, chance = awkward(seed, breaks=False), Random(seed)
        circuit, network = circuit_of(design), build_network(design)
        parts = {f"parts/{name}" for name in design.parts}
        for state in random_states(design, chance, 2):
            clauses = LossClauses(design, circuit, state)
            wanted = {
                name: clauses.minimal_cut_sets(name) for name in design.functions if clauses.works(name)
            }
            found = engine_cut_sets(design, network, state, clauses.elements) if wanted else {}
            answer = solve_state(design, network, state)
            for name, cuts in wanted.items():
                assert found[name] == cuts, (seed, state.name, name, sorted(map(sorted, found[name] ^ cuts)))
                told = {
                    frozenset(f.element for f in c.failures)
                    for c in cut_sets(answer, name)
                    if all(f.mode == OPEN for f in c.failures)
                }
                # structure is not among the failures that are tried
                assert told == {
                    cut
                    for cut in cuts
                    if not any(
                        design.parts[e.partition("/")[2]].kind == "airframe" for e in cut if e in parts
                    )
                }
                first += sum(len(cut) == 1 for cut in cuts)
                second += sum(len(cut) == 2 for cut in cuts)
                relays += any(
                    f"parts/{name}" in cut
                    for cut in cuts
                    for name in design.parts
                    if design.parts[name].kind in ("relay", "contactor")
                )
    assert first >= 200 and second >= 1_000 and relays >= 5


def test_the_solver_reads_the_healthy_system_as_the_plain_evaluator_does() -> None:
    """The two share how a circuit is taken apart, and nothing of how it is solved."""
    for seed in range(60):
        design, chance = awkward(seed, breaks=False), Random(seed)
        circuit = circuit_of(design)
        for state in random_states(design, chance, 2):
            clauses, answer = LossClauses(design, circuit, state), solve(circuit, state)
            assert {name for name, works in working(design, answer.powered).items() if works} == {
                n for n in design.functions if clauses.works(n)
            }
            up = {key[2] for key in clauses.healthy if key[0] == "up"}
            assert up == {element for element, yes in (answer.energised | answer.alive).items() if yes}


def test_a_cut_set_is_lost_and_loses_nothing_less() -> None:
    """One by one, by the plain evaluator: each cut set loses the function, and none of its parts alone does."""
    checked = 0
    for seed in range(100, 110):
        design, chance = awkward(seed, breaks=False), Random(seed)
        circuit = circuit_of(design)
        state = random_states(design, chance, 1)[0]
        clauses, before = LossClauses(design, circuit, state), solve(circuit, state)

        def works(
            name: str, cut: Sequence[str], design=design, circuit=circuit, state=state, before=before
        ) -> bool:
            return working(
                design, solve(circuit, state, [Fault(element, PLAIN_OPEN) for element in cut], before).powered
            )[name]

        for name in filter(clauses.works, design.functions):
            for cut in clauses.minimal_cut_sets(name):
                assert not works(name, sorted(cut))
                assert len(cut) == 1 or all(works(name, [element]) for element in cut)
                checked += 1
    assert checked > 100


def test_circuits_with_contacts_closed_at_rest_are_refused() -> None:
    design = next(
        d for d in map(awkward, range(50)) if any(way.when == "at rest" for way in circuit_of(d).ways)
    )
    with pytest.raises(ValueError, match="closed at rest"):
        LossClauses(design, circuit_of(design), random_states(design, Random(0), 1)[0])
