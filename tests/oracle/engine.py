"""The engine's answers and the plain evaluator's side by side: the one place that knows both."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from reviewer.analysis.conduction import failure_modes as engine
from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.model.design import Design
from reviewer.network.graph import Network
from tests.oracle import plain
from tests.oracle.plain import Answer, Fault, working

MODES = {
    plain.OPEN: engine.OPEN,
    plain.SHORT: engine.SHORT,
    plain.THROUGH: engine.DIODE_SHORT,
    plain.HELD: engine.HELD,
    plain.DROPPED: engine.DROPPED,
    plain.STAYS: engine.STAYS,
    plain.SEVERED: engine.SEVERED,
    plain.FULL_ON: engine.FULL_ON,
    plain.STUCK_ON: engine.STUCK_ON,
}
WORDS = {ours: theirs for theirs, ours in MODES.items()}


def failures_of(network: Network, case: Sequence[Fault]) -> tuple[Failure, ...]:
    """A case in the engine's terms: nodes by number."""
    return tuple(
        Failure(f.element, MODES[f.mode], tuple(network.index[n] for n in f.nodes), f.position, f.passes)
        for f in case
    )


def fault_of(network: Network, failure: Failure) -> Fault:
    """One of the engine's failures in the plain evaluator's terms: nodes by name."""
    nodes = tuple(network.names[n] for n in failure.nodes)
    return Fault(failure.element, WORDS[failure.mode], nodes, failure.position, failure.passes)


def differences(network: Network, result: Conduction, answers: Sequence[Answer]) -> Iterator[tuple[str, int]]:
    """Every answer in which the engine's lanes differ from the plain ones, with the mask of the lanes that do.

    Where a case is unsettled by the plain answer, that flag alone is compared: nothing else means anything.
    """
    unsettled = _lanes(answers, lambda answer: answer.unsettled)
    counted = (1 << len(answers)) - 1 & ~unsettled
    yield "unsettled", result.unsettled ^ unsettled
    for what, theirs in (
        ("powered", result.powered),
        ("energised", result.energised),
        ("alive", result.alive),
    ):
        kind = [getattr(answer, what) for answer in answers]
        yield f"elements {what}", counted if set(theirs) != set(kind[0]) else 0
        for element in kind[0]:
            yield (
                f"{what} {element}",
                (theirs[element] ^ _lanes(kind, lambda one, element=element: one[element])) & counted,
            )
    for what, reached in (("fed", result.fed), ("returned", result.returned)):
        for source in reached:
            ours = _masks([getattr(answer, what)[source] for answer in answers])
            yield from _by_node(network, f"{what} {source}", reached[source], ours, counted)
    yield from _by_node(network, "dead", result.zone, _masks([answer.dead for answer in answers]), counted)


def function_differences(
    design: Design, masks: Mapping[str, int], result: Conduction, answers: Sequence[Answer]
) -> Iterator[tuple[str, int]]:
    """The same for functions: ``masks`` are the engine's lanes in which each works."""
    works = [working(design, answer.powered) for answer in answers]
    for name in design.functions:
        yield (
            f"function {name}",
            (masks[name] ^ _lanes(works, lambda one, name=name: one[name])) & ~result.unsettled,
        )


def _lanes(answers: Sequence, yes) -> int:
    return sum(1 << lane for lane, answer in enumerate(answers) if yes(answer))


def _masks(nodes: Sequence[set[str]]) -> dict[str, int]:
    """For each node, the lanes whose set holds it."""
    masks: dict[str, int] = {}
    for lane, some in enumerate(nodes):
        bit = 1 << lane
        for node in some:
            masks[node] = masks.get(node, 0) | bit
    return masks


def _by_node(
    network: Network, what: str, theirs: Sequence[int], ours: dict[str, int], counted: int
) -> Iterator[tuple[str, int]]:
    for node, number in network.index.items():
        difference = (theirs[number] ^ ours.pop(node, 0)) & counted
        if difference:
            yield f"{what} {node}", difference
    for node, mask in ours.items():
        yield f"{what} {node}, which the engine has no node for", mask & counted
