"""Pairs of a failure and a short that a protector further upstream may clear first.

Neither the failure, nor the short however it is cleared, loses the function alone. A failure that
closes a path alters which protectors are in doubt.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.late_outcomes import NONE_AFTER, Late, LateAfter
from reviewer.analysis.conduction.masks import bits
from reviewer.analysis.conduction.states import StateAnswer, function_masks
from reviewer.analysis.cut_sets.pair_works import pair_works


def late_pairs(
    answer: StateAnswer,
    functions: Collection[str],
    firsts: Sequence[Failure],
    late: Late,
    after: LateAfter = NONE_AFTER,
) -> dict[str, list[Mapping[int, Failure]]]:
    """For each function and each of ``firsts``, the shorts that lose it then: the index in
    ``answer.failures`` -> the outcome that does; one table where they are the same for several.

    ``late`` are the outcomes of each short, ``after[first]`` those after a failure that alters them.
    """
    found: dict[str, list[Mapping[int, Failure]]] = {f: [{} for _ in firsts] for f in functions}
    tables: dict[int, tuple[list[int], Late]] = {}
    for i, first in enumerate(firsts):
        table = after.get(first, late)
        tables.setdefault(id(table), ([], table))[0].append(i)
    for places, outcomes in tables.values():
        some = _late_pairs(answer, functions, [firsts[i] for i in places], outcomes, late)
        for function, each in some.items():
            for i, shorts in zip(places, each, strict=True):
                found[function][i] = shorts
    return found


def _late_pairs(
    answer: StateAnswer, functions: Collection[str], firsts: Sequence[Failure], late: Late, usual: Late
) -> dict[str, list[Mapping[int, Failure]]]:
    """:func:`late_pairs` where ``late`` are the outcomes after each of ``firsts``.

    One that is not among the ``usual`` ones does not come about without the first failure.
    """
    found: dict[str, list[Mapping[int, Failure]]] = {f: [{} for _ in firsts] for f in functions}
    outcomes = [(j, one) for j, failure in enumerate(answer.failures) for one in late.get(failure, ())]
    if not outcomes or not firsts or not functions:
        return found
    cases = [one for _, one in outcomes]
    own, alone = _works(answer, firsts), _works(answer, cases)
    new = 0
    if late is not usual:
        before = [usual.get(answer.failures[j], ()) for j, _ in outcomes]
        new = sum(1 << k for k, (_, one) in enumerate(outcomes) if one not in before[k])
    both = pair_works(answer, functions, firsts, cases)
    for function in functions:
        near = answer.functions[function]
        spared = sum(1 << k for k, (j, _) in enumerate(outcomes) if near >> j & 1)
        of_mask: dict[int, dict[int, Failure]] = {0: {}}
        for i in bits(own[function] & (1 << len(firsts)) - 1):
            lost = (alone[function] | new) & ~both[function][i] & spared
            if lost not in of_mask:
                shorts: dict[int, Failure] = {}
                for k in bits(lost):
                    shorts.setdefault(*outcomes[k])
                of_mask[lost] = shorts
            found[function][i] = of_mask[lost]
    return found


def _works(answer: StateAnswer, cases: Sequence[Failure]) -> Mapping[str, int]:
    """For each function, the cases that it survives."""
    return function_masks(answer.design, answer.failed_by(cases).powered, (1 << len(cases)) - 1)
