"""The resistance between one node of a network of resistors and every other: what a milliohm meter would read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

#: an ideal joint is taken for this much, ohms
JOINT_OHMS = 1e-9


def effective_ohms(resistors: Iterable[tuple[int, int, float]], start: int) -> Mapping[int, float]:
    """Ohms from ``start`` to each node that resistors (a, b, ohms) join it to. From the inverse of the conductances with ``start`` held at nothing."""
    import numpy as np

    kept = list(resistors)
    around: dict[int, list[int]] = {}
    for i, (a, b, _) in enumerate(kept):
        around.setdefault(a, []).append(i)
        around.setdefault(b, []).append(i)
    row, todo = {start: -1}, [start]
    while todo:
        for i in around.get(todo.pop(), ()):
            for node in kept[i][:2]:
                if node not in row:
                    row[node] = len(row) - 1
                    todo.append(node)
    conductances = np.zeros((len(row) - 1, len(row) - 1))
    for a, b, ohms in kept:
        if a in row and a != b:
            g, at = 1 / max(ohms, JOINT_OHMS), [row[n] for n in (a, b)]
            for one, other in ((at[0], at[1]), (at[1], at[0])):
                if one >= 0:
                    conductances[one, one] += g
                    if other >= 0:
                        conductances[one, other] -= g
    inverse = np.linalg.inv(conductances) if len(conductances) else conductances
    return {node: float(inverse[at, at]) if at >= 0 else 0.0 for node, at in row.items()}
