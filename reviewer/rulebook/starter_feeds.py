"""The remedy of a starter that is fed through the protection of its control circuit: a contactor."""

from __future__ import annotations

from reviewer.analysis.facts import Facts
from reviewer.model import parts
from reviewer.network.graph import bare


def by_contactor(state: str, element: str, facts: Facts) -> str:
    """That a starter is to be fed by a contactor, where its path in a state passes an element (a pointer) and
    circuit protection rated below its current; "" elsewhere."""
    for starter in facts.switches.starters if state in facts.states.declared else ():
        path = facts.states.path_to(state, starter)
        part, own = (
            facts.design.part(bare(starter), parts.Load),
            [facts.design.parts.get(bare(e)) for e in path],
        )
        small = [
            d
            for d in own
            if isinstance(d, parts.Protector) and (d.rating or 0.0) < max(part.currents, default=0.0)
        ]
        if element not in path or not small or None in [d.rating for d in small]:
            continue
        after = path[max(i for i, d in enumerate(own) if d in small) :]
        switch = next(
            (bare(e) for e in after if isinstance(facts.design.parts.get(bare(e)), parts.Switch)), ""
        )
        takes = f"; {switch} and what protects it carry its coil alone" if switch else ""
        return f"Feed {bare(starter)} from the battery cable by a contactor{takes}."
    return ""
