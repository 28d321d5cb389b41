"""Pairs of a failure and a short that a protector further upstream may clear first.

Neither the failure, nor the short however it is cleared, loses the function alone. Which protectors
are in doubt is judged with nothing else failed.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.late_outcomes import Late
from reviewer.analysis.conduction.masks import bits
from reviewer.analysis.conduction.states import StateAnswer, function_masks
from reviewer.analysis.cut_sets.pair_works import pair_works


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
    alone, own = _works(answer, cases), _works(answer, firsts)
    both = pair_works(answer, functions, firsts, cases)
    for function in functions:
        near = answer.functions[function]
        for i in range(len(firsts)):
            lost = alone[function] & ~both[function][i] if own[function] >> i & 1 else 0
            for k in bits(lost):
                j, one = outcomes[k]
                if near >> j & 1:
                    found[function][i].setdefault(j, one)
    return found


def _works(answer: StateAnswer, cases: Sequence[Failure]) -> Mapping[str, int]:
    """For each function, the cases that it survives."""
    powered = conduct(answer.network, answer.state, cases, answer.healthy).powered
    return function_masks(answer.design, powered, (1 << len(cases)) - 1)
