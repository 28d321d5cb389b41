"""What the declared states say of the aircraft and the network does not do with nothing failed."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.record import record


@record
class UnmetDeclaration:
    """A declared state (a name) in which an element is not as the state declares: a function that is to work,
    an alternator or magneto that is to run, a bus or magneto that is to be off, a starter that is to run or
    to rest."""

    state: str
    element: str


def unmet_declarations(facts: Facts) -> frozenset[UnmetDeclaration]:
    """Those of all declared states; a made state declares nothing."""
    if not facts.design.operation:
        return frozenset()
    searched = facts.network.searched
    known: frozenset[UnmetDeclaration] | None = searched.get("unmet declarations")
    if known is None:
        known = frozenset(
            UnmetDeclaration(answer.state.name, element)
            for answer in facts.states.answers()
            if answer.state.name not in facts.design.made
            for element in _unmet(answer, facts)
        )
        searched["unmet declarations"] = known
    return known


def _unmet(answer: StateAnswer, facts: Facts) -> Iterator[str]:
    """The elements that are not as a state declares."""
    yield from _unmet_on_the_ground_too(answer, facts)
    design, state = facts.design, answer.state
    if state.use == "ground":
        return
    for name in design.functions:
        if name not in state.without and not facts.states.works_for_a_time(answer, name):
            yield f"functions/{name}"
    if state.use != "flight" or state.engine != "running":
        return
    for name in design.of_kind(p.Alternator):
        standby = design.part(name, p.Alternator).standby_for
        if not standby and not answer.healthy.alive.get(f"parts/{name}"):
            yield f"parts/{name}"


def _unmet_on_the_ground_too(answer: StateAnswer, facts: Facts) -> Iterator[str]:
    """Buses, magnetos and starters that are not as a state declares."""
    design, state, healthy = facts.design, answer.state, answer.healthy
    for name in state.dead:
        if any(map(healthy.live, facts.network.nodes_of.get(f"parts/{name}", ()))):
            yield f"parts/{name}"
    for name in state.silent:
        if healthy.hot[f"parts/{name}"]:
            yield f"parts/{name}"
    for name in design.starters:
        wanted = state.engine_of(getattr(design.parts[name], "turns", None) or "") == "cranking"
        if bool(healthy.powered[f"parts/{name}"]) is not wanted:
            yield f"parts/{name}"
    if state.engine == "running":
        for name in design.of_kind(p.Magneto):
            if name not in state.silent and not state.is_off(name) and not healthy.hot[f"parts/{name}"]:
                yield f"parts/{name}"
