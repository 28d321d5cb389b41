"""Whether a trial puts a lead on a device that is too small for what the lead then carries."""

from __future__ import annotations

from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model import parts as p
from reviewer.model.rounding import exceeds
from reviewer.network.graph import bare
from reviewer.rulebook.trial_repairs import Change


def overloads(change: Change, facts: Facts, repaired: Facts) -> bool:
    """Whether a breaker, fuse or contact in one circuit with a moved lead is rated too low with a
    change made, and not as drawn. What the file gives no figures for is not overloaded."""
    if repaired.design.operation is None or not change.moved:
        return False
    devices = sorted(_passed(change, repaired))
    return any(_overloaded(name, repaired) and not _overloaded(name, facts) for name in devices)


def _passed(change: Change, repaired: Facts) -> set[str]:
    """The protective devices, switches and relays (names) that are in one circuit with a moved lead."""
    moved, found = {f"wires/{wire}" for wire in change.moved}, set[str]()
    network, tree = repaired.network, repaired.states.cones.tree
    poles = [node for source in network.sources for node in (source.positive, source.negative)]
    leads = {i for wire in moved for i in network.links_of.get(wire, ())}
    # no path of any other passes one
    passing = [
        user.element
        for user in network.users.values()
        if not leads.isdisjoint(tree.between((*user.plus, *user.minus, *poles)))
    ]
    for state in repaired.states.declared:
        for user in passing:
            path = repaired.states.path_to(state, user) + repaired.states.path_back(state, user)
            if not moved.isdisjoint(path):
                found.update(bare(element) for element in path if element.startswith("parts/"))
    kinds = (p.Protector, p.Switch, p.Electromagnet)
    return {name for name in found if isinstance(repaired.design.parts[name], kinds)}


def _overloaded(name: str, facts: Facts) -> bool:
    """Whether a device carries more than its rating allows in what is flown; False where nobody can say."""
    part = facts.design.parts[name]
    try:
        if not isinstance(part, p.Protector):
            demands = facts.switches.contact_demands(f"parts/{name}")
            return any(d.limit is not None and d.is_over for d in demands)
        if part.rating is None or not facts.protection.solved_places:
            return False
        asked = facts.protection.worst_continuous, facts.protection.worst_peak
        carried = (worst(name, part.rating) for worst in asked)
        return any(c is not None and exceeds(c.amps, c.most) for c in carried)
    except NotAssessable:
        return False
