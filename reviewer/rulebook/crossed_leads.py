"""P-leads of magnetos that stand on each other's terminal of a switch, and their exchange."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.record import record
from reviewer.network.graph import bare
from reviewer.rulebook.trial_repairs import Change, part_of

#: what a p-lead passes on its way to the switch
_PASSED = (p.Connector, p.Splice, p.Stud)


@record
class SwitchEnd:
    """A wire by which the p-lead of a magneto comes to a terminal of a hand switch."""

    wire: str
    terminal: str


def exchanges(magneto: str, facts: Facts, others: Sequence[str]) -> Iterator[Change]:
    """The lead of a magneto (a name) exchanged with that of each of some ``others`` in turn, each on the
    terminal of a hand switch on which the other was."""
    own = _switch_ends(magneto, facts)
    for other in others:
        for one in own:
            for two in _switch_ends(other, facts) if other != magneto else ():
                if one.wire != two.wire and one.terminal != two.terminal:
                    moved = {one.wire: {one.terminal: two.terminal}, two.wire: {two.terminal: one.terminal}}
                    yield Change(moved)


def crossed(magneto: str, facts: Facts) -> Change | None:
    """The exchange of two leads with which every magneto is grounded in all states that declare it silent and
    in no other in which its engine runs; None where there is none."""
    for change in exchanges(magneto, facts, sorted(facts.design.of_kind(p.Magneto))):
        if _right(Facts(change.made_in(facts.as_written))):
            return change
    return None


def is_exchange(change: Change) -> bool:
    """Whether a change is that one end each of two wires takes the place of the other, and no more."""
    ends = [tuple(moved.items()) for moved in change.moved.values()]
    if len(ends) != 2 or change.wires or change.parts or change.senses or any(len(one) != 1 for one in ends):
        return False
    ((one, there),), ((other, here),) = ends
    return (one, there) == (here, other)


def exchange_words(change: Change) -> str:
    """Which wire goes on which terminal."""
    (one, ends), (two, others) = sorted(change.moved.items())
    (there,), (here,) = ends.values(), others.values()
    return f"Exchange {one} and {two}: {one} on {there}, {two} on {here}."


def _right(facts: Facts) -> bool:
    magnetos = facts.design.of_kind(p.Magneto)
    return all(
        not answer.healthy.hot[f"parts/{name}"]
        if name in answer.state.silent
        else answer.healthy.hot[f"parts/{name}"]
        for answer in facts.states.answers()
        for name in magnetos
        if name in answer.state.silent or (answer.state.engine == "running" and not answer.state.is_off(name))
    )


def _switch_ends(magneto: str, facts: Facts) -> list[SwitchEnd]:
    """Those of a magneto (a name), through connectors and splices."""
    network, design = facts.network, facts.design
    start = network.index.get(f"{magneto}.p-lead")
    found, todo = list[SwitchEnd](), [] if start is None else [start]
    seen = set(todo)
    for node in todo:
        for i, other, _ in network.around[node]:
            element = network.links[i].element
            wire = element.startswith("wires/")
            if other in seen or not (wire or isinstance(design.parts.get(bare(element)), _PASSED)):
                continue
            seen.add(other)
            terminal = network.names[other]
            if wire and part_of(terminal) in design.hand_switches:
                found.append(SwitchEnd(bare(element), terminal))
            else:
                todo.append(other)
    return found
