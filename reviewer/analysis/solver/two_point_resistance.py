"""The resistance between two nodes of a network of resistors: what a milliohm meter would read."""

from __future__ import annotations

from collections.abc import Iterable

#: an ideal joint is taken for this much, ohms
JOINT_OHMS = 1e-9


def effective_ohms(resistors: Iterable[tuple[int, int, float]], one: int, other: int) -> float | None:
    """Ohms between two nodes that resistors (a, b, ohms) join; None where they do not.

    Every other node is taken away, those with the fewest neighbours first, and its star of conductances replaced by the mesh that does the same.
    """
    if one == other:
        return 0.0
    around: dict[int, dict[int, float]] = {one: {}, other: {}}
    for a, b, ohms in resistors:
        if a != b:
            siemens = 1 / max(ohms, JOINT_OHMS)
            for here, there in ((a, b), (b, a)):
                own = around.setdefault(here, {})
                own[there] = own.get(there, 0.0) + siemens
    todo = [node for node in around if node not in (one, other)]
    while todo:
        todo.sort(key=lambda node: -len(around[node]))
        star = around.pop(todo.pop())
        whole = sum(star.values())
        for a in star:
            gone = [n for n in around[a] if n not in around]
            for node in gone:
                del around[a][node]
            for b in star:
                if a != b:
                    around[a][b] = around[a].get(b, 0.0) + star[a] * star[b] / whole
    siemens = around[one].get(other, 0.0)
    return 1 / siemens if siemens > 0 else None
