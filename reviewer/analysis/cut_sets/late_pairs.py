"""Pairs of a failure and a short that a protector further upstream may clear first.

Neither the failure, nor the short however it is cleared, loses the function alone. Which protectors
are in doubt is judged with nothing else failed.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.fixed_point import conduct, conduct_pairs
from reviewer.analysis.conduction.late_outcomes import Late
from reviewer.analysis.conduction.masks import bits
from reviewer.analysis.conduction.states import StateAnswer, function_masks
from reviewer.analysis.cut_sets.minimal_cut_sets import BLOCK


def late_pairs(
    answer: StateAnswer, functions: Collection[str], firsts: Sequence[Failure], late: Late
) -> dict[str, list[dict[int, Failure]]]:
    """For each function and each of ``firsts``, the shorts that lose it then: the index in
    ``answer.failures`` -> the outcome that does."""
    found: dict[str, list[dict[int, Failure]]] = {f: [{} for _ in firsts] for f in functions}
    outcomes = [(j, one) for j, failure in enumerate(answer.failures) for one in late.get(failure, ())]
    if not outcomes or not firsts or not functions:
        return found
    cases = [one for _, one in outcomes]
    alone, every = _works(answer, cases), (1 << len(cases)) - 1
    step = max(1, BLOCK // len(cases))
    for start in range(0, len(firsts), step):
        block = firsts[start : start + step]
        own = _works(answer, block)
        solved = conduct_pairs(answer.network, answer.state, block, cases, answer.healthy)
        both = function_masks(answer.design, solved.powered, (1 << solved.width) - 1)
        for function in functions:
            near = answer.functions[function]
            for i in range(len(block)):
                lost = alone[function] & ~(both[function] >> i * len(cases)) & every
                for k in bits(lost if own[function] >> i & 1 else 0):
                    j, one = outcomes[k]
                    if near >> j & 1:
                        found[function][start + i].setdefault(j, one)
    return found


def _works(answer: StateAnswer, cases: Sequence[Failure]) -> Mapping[str, int]:
    """For each function, the cases that it survives."""
    powered = conduct(answer.network, answer.state, cases, answer.healthy).powered
    return function_masks(answer.design, powered, (1 << len(cases)) - 1)
