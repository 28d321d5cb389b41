"""What one wrong move of one switch does in a state of flight: which switches a knee or a sleeve must not be able to move."""

from __future__ import annotations

from collections.abc import Iterable

from reviewer.analysis.conduction.failure_modes import STAYS, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.states import StateAnswer, critical_functions, function_masks, loads_of
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.review import HazardClass
from reviewer.network.graph import Network


@record
class Knock:
    """A switch of a state moved alone to ``position``: the critical ``functions`` that it takes, the ``channels`` (loads) of functions of
    catastrophic loss that it stops, the ``starters`` that it runs, the ``contactors`` that let go."""

    switch: str
    state: str
    position: str
    functions: tuple[str, ...]
    channels: tuple[str, ...]
    starters: tuple[str, ...]
    contactors: tuple[str, ...]


def knocks(design: Design, network: Network, answers: Iterable[StateAnswer]) -> tuple[Knock, ...]:
    """Every single move that does one of these, over some states; a combination that the file excludes cannot be set."""
    return tuple(knock for answer in answers for knock in _of_state(design, network, answer))


def _of_state(design: Design, network: Network, answer: StateAnswer) -> Iterable[Knock]:
    at = answer.state.switches
    moves = [
        (name, to)
        for name in design.of_kind(p.Switch)
        for to in design.parts[name].positions
        if to != at.get(name)
    ]
    moves = [(name, to) for name, to in moves if not is_excluded(design, {**at, name: to})]
    if not moves:
        return
    moved = conduct(
        network,
        answer.state,
        tuple(Failure(f"parts/{name}", STAYS, position=to) for name, to in moves),
        answer.healthy,
    )
    alive = function_masks(design, moved.powered, (1 << len(moves)) - 1)
    grave = [n for n, f in design.functions.items() if HazardClass.of(f.loss) is HazardClass.CATASTROPHIC]
    channels = tuple(dict.fromkeys(load for function in grave for load in loads_of(design, function)))
    starters = [n for n in design.of_kind(p.Load) if design.parts[n].type == "starter"]
    for lane, (name, to) in enumerate(moves):

        def stops(load: str, lane: int = lane) -> bool:
            return (
                bool(answer.healthy.powered[f"parts/{load}"])
                and not moved.powered[f"parts/{load}"] >> lane & 1
            )

        knock = Knock(
            f"parts/{name}",
            answer.state.name,
            to,
            tuple(f for f in critical_functions(design) if answer.alive[f] and not alive[f] >> lane & 1),
            tuple(load for load in channels if stops(load)),
            tuple(
                s
                for s in starters
                if moved.powered[f"parts/{s}"] >> lane & 1 and not answer.healthy.powered[f"parts/{s}"]
            ),
            tuple(
                c
                for c in design.of_kind(p.Contactor)
                if answer.healthy.energised[f"parts/{c}"] and not moved.energised[f"parts/{c}"] >> lane & 1
            ),
        )
        if knock.functions or knock.channels or knock.starters or knock.contactors:
            yield knock


def is_excluded(design: Design, at: dict[str, str]) -> bool:
    """Whether positions include a combination that cannot be set."""
    excluded = design.operation.excluded if design.operation else ()
    return any(all(at.get(switch) == to for switch, to in one.switches.items()) for one in excluded)
