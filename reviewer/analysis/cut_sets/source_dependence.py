"""Functions that depend on an alternator alone, and functions whose only feed is shared."""

from __future__ import annotations

from collections.abc import Mapping

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.masks import bits, served
from reviewer.analysis.conduction.states import (
    StateAnswer,
    critical_functions,
    function_masks,
    loads_of,
    needs,
    rests_on,
)
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.review import HazardClass
from reviewer.network.graph import Network


@record
class AlternatorDependence:
    """A function that works in ``state`` after any of ``failures``, with alternators alone feeding
    it.

    ``channels`` are those that alternators alone feed after the first of the failures.
    """

    function: str
    state: str
    failures: tuple[Failure, ...]
    channels: tuple[str, ...]


def on_alternator_alone(
    design: Design, network: Network, answer: StateAnswer
) -> tuple[AlternatorDependence, ...]:
    """For each critical function that needs no alternator while nothing has failed: the single
    failures after which it does."""
    steady = _without_alternators(network, answer)
    top = len(answer.failures)
    healthy = function_masks(design, {element: mask >> top for element, mask in steady.items()}, 1)
    failed = function_masks(design, steady, (1 << top) - 1)
    dependences = []
    for function in critical_functions(design):
        mask = answer.functions[function] & ~failed[function]
        if mask and healthy[function]:
            indexes = list(bits(mask))
            first = indexes[0]
            powered = answer.failed.powered
            channels = tuple(
                n
                for n in loads_of(design, function)
                if (powered[f"parts/{n}"] & ~steady[f"parts/{n}"]) >> first & 1
            )
            failures = tuple(answer.failures[i] for i in indexes)
            dependences.append(AlternatorDependence(function, answer.state.name, failures, channels))
    return tuple(dependences)


def _without_alternators(network: Network, answer: StateAnswer) -> dict[str, int]:
    """For each consumer, the failures under which a source other than an alternator powers it.

    The bit above them is the healthy state.
    """
    top = len(answer.failures)
    steady = {}
    for consumer in network.consumers:
        mask = 0
        for solved, shift in ((answer.failed, 0), (answer.healthy, top)):
            for source in network.sources:
                if source.kind != "alternator":
                    fed, returned = solved.fed[source.element], solved.returned[source.element]
                    mask |= served(consumer, fed, returned) << shift
        steady[consumer.element] = mask & (answer.failed.powered[consumer.element] | 1 << top)
    return steady


@record
class SharedFeed:
    """Single failures that lose a function in a state and something else with it.

    ``failures[failure]`` are the buses, sources and loads that are lost too.
    """

    function: str
    state: str
    failures: Mapping[Failure, tuple[str, ...]]


def shared_feed(design: Design, network: Network, answer: StateAnswer, function: str) -> SharedFeed:
    """The single failures that lose a function and something else.

    Failures of its own loads and their branches are not among them: they lose nothing else.
    """
    if not answer.alive[function] or function in answer.state.without:
        return SharedFeed(function, answer.state.name, {})
    others = _others(design, network, answer, function)
    failures = {}
    for i, failure in enumerate(answer.failures):
        if not answer.functions[function] >> i & 1:
            lost = tuple(element for element, mask in others.items() if not mask >> i & 1)
            if lost:
                failures[failure] = lost
    return SharedFeed(function, answer.state.name, failures)


def _others(design: Design, network: Network, answer: StateAnswer, function: str) -> dict[str, int]:
    """Loads of other functions, sources and buses that are live in the healthy state -> the
    failures that they survive."""
    loads = {f"parts/{n}" for n in loads_of(design, function)}
    healthy, failed = answer.healthy, answer.failed
    others = {e: mask for e, mask in failed.powered.items() if e not in loads and healthy.powered[e]}
    others |= {e: mask for e, mask in failed.alive.items() if healthy.alive[e]}
    for name in design.of_kind(p.Bus):
        node = network.index.get(name)
        if node is not None and healthy.live(node):
            others[f"parts/{name}"] = failed.live(node)
    return others


def major_functions(design: Design) -> tuple[str, ...]:
    """Functions whose loss is declared major and that nothing replaces.

    One among the channels of a function of major or graver loss, which works without it, has its
    redundancy in the other channels; the function above it is judged for it.
    """
    classes = {n: HazardClass.of(f.loss) for n, f in design.functions.items()}
    above = [n for n, loss in classes.items() if loss >= HazardClass.MAJOR]
    return tuple(
        n
        for n, loss in classes.items()
        if loss is HazardClass.MAJOR
        and not any(rests_on(design, outer, n) and not needs(design, outer, n) for outer in above)
    )
