"""Switches that take off what a regulator senses and leave its field fed: it senses nothing then, and gives
no output or drives the field full on, by its type."""

from __future__ import annotations

from collections.abc import Sequence

from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.analysis.conduction.masks import bits, join, served
from reviewer.analysis.conduction.other_starts import kept_moves
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.crew.moves import ActionSequence, after_failures, continued
from reviewer.analysis.sources.alternators import source_of
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, PoweredDevice, bare
from reviewer.network.regulators import regulation


@record
class SwitchedSense:
    """The positions ``moved`` in a ``state``, a switch and what an exclusion moves along, take off what a
    regulator senses and the loads ``with_it``; ``switches`` are all positions then."""

    state: str
    moved: tuple[tuple[str, str], ...]
    with_it: tuple[str, ...]
    switches: tuple[tuple[str, str], ...]


def switched_sense(
    design: Design, network: Network, answers: Sequence[StateAnswer], element: str
) -> SwitchedSense | None:
    """The first switch that does so to an alternator, in states in which that is at work.

    One that takes off nothing else is the switch of the alternator, where without its sense lead that
    gives no output.
    """
    held = regulation(design, bare(element))
    source = source_of(network, element)
    if not held.separate or held.senses != "sense" or source.field is None:
        return None
    alone = design.part(held.owner, p.Regulator).without_sense != "full-field"
    sensed = PoweredDevice("", (network.node(held.plus),), (source.negative,))
    field = PoweredDevice("", (source.field,), (source.negative,))
    for answer in answers:
        moves = list(kept_moves(design, answer.state))
        if not moves:
            continue
        courses = [ActionSequence((), state, done, done) for done, state in moves]
        start = after_failures(network, answer.state, [()], answer.healthy)
        solved = continued(network, start, [()], courses).solved
        for i in bits(_on(solved, field) & ~_on(solved, sensed)):
            before = answer.healthy.powered.items()
            lost = tuple(bare(e) for e, mask in before if mask and not solved.powered[e] >> i & 1)
            if lost or not alone:
                done, state = moves[i]
                return SwitchedSense(answer.state.name, done, lost, tuple(state.switches.items()))
    return None


def _on(solved: Conduction, one: PoweredDevice) -> int:
    return join(served(one, fed, solved.returned[source]) for source, fed in solved.fed.items())
