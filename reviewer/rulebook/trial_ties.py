"""Whether a trial leaves a contact closed that the file keeps open between two live ends."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.facts import Facts
from reviewer.model import parts as p


def leaves_a_tie_closed(facts: Facts, repaired: Facts) -> bool:
    """Whether contacts that a repair exchanges join two live ends in a state in which they were apart, with
    nothing that commands it: a contact at rest between two sources or buses ties them for good."""
    if not facts.design.operation:
        return False
    return any(
        _joins(name, before, facts, repaired)
        for name in _exchanged(facts, repaired)
        for before in facts.states.answers()
    )


def _exchanged(facts: Facts, repaired: Facts) -> Iterator[str]:
    """The relays and switches (names) of which a repair has changed the contacts."""
    for name, part in repaired.design.parts.items():
        drawn = facts.design.parts.get(name)
        if isinstance(part, p.Electromagnet) and isinstance(drawn, p.Electromagnet):
            if part.contacts != drawn.contacts:
                yield name
        elif isinstance(part, p.Switch) and isinstance(drawn, p.Switch) and part.positions != drawn.positions:
            yield name


def _joins(name: str, before: StateAnswer, facts: Facts, repaired: Facts) -> bool:
    """Whether a contact of a part is closed in a state where it was open and both its ends were live; what
    the coil of a relay that has picked up closes is commanded, and a throw in place of another is no tie."""
    after = repaired.states.answer(before.state.name)
    if after.healthy.energised.get(f"parts/{name}"):
        return False
    live, index = before.healthy.live, facts.network.index
    drawn, closed = _closed(name, facts, before), _closed(name, repaired, after)
    left = frozenset[str]().union(*(drawn - closed))
    return any(
        left.isdisjoint(ends) and all(end in index and live(index[end]) for end in ends)
        for ends in closed - drawn
    )


def _closed(name: str, facts: Facts, answer: StateAnswer) -> set[frozenset[str]]:
    """The pairs of terminals that a part joins in a state."""
    network = facts.network
    ends = ((i, network.links[i]) for i in network.links_of.get(f"parts/{name}", ()) if answer.closed[i])
    return {frozenset((network.names[link.a], network.names[link.b])) for _, link in ends}
