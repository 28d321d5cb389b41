"""How functions are fed: which of them would hang on an alternator alone, and which have but one feed that something else takes with it."""

from __future__ import annotations

from collections.abc import Mapping

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.masks import served
from reviewer.analysis.conduction.states import StateAnswer, critical_functions, function_masks, loads_of
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.review import HazardClass
from reviewer.network.graph import Network


@record
class Alone:
    """After any of ``failures`` the function lives in ``state`` by channels that only alternators feed: ``channels`` of the first of them."""

    function: str
    state: str
    failures: tuple[Failure, ...]
    channels: tuple[str, ...]


def on_alternator_alone(design: Design, network: Network, answer: StateAnswer) -> tuple[Alone, ...]:
    """For each critical function that lives without the alternators while nothing has failed: the single failures that leave it to them alone."""
    steady = _without_alternators(network, answer)
    top = len(answer.failures)
    healthy = function_masks(design, {element: mask >> top for element, mask in steady.items()}, 1)
    failed = function_masks(design, steady, (1 << top) - 1)
    found = []
    for function in critical_functions(design):
        mask = answer.functions[function] & ~failed[function]
        if mask and healthy[function]:
            indexes = [i for i in range(top) if mask >> i & 1]
            loads = [
                n
                for n in loads_of(design, function)
                if (answer.failed.powered[f"parts/{n}"] & ~steady[f"parts/{n}"]) >> indexes[0] & 1
            ]
            found.append(
                Alone(function, answer.state.name, tuple(answer.failures[i] for i in indexes), tuple(loads))
            )
    return tuple(found)


def _without_alternators(network: Network, answer: StateAnswer) -> dict[str, int]:
    """For each consumer, the failures under which a source other than an alternator powers it; one bit above them, the healthy state."""
    top = len(answer.failures)
    found = {}
    for consumer in network.consumers:
        mask = 0
        for solved, shift in ((answer.failed, 0), (answer.healthy, top)):
            for source in network.sources:
                if source.kind != "alternator":
                    mask |= (
                        served(consumer, solved.fed[source.element], solved.returned[source.element]) << shift
                    )
        own = answer.failed.powered[consumer.element] | 1 << top
        found[consumer.element] = mask & own
    return found


@record
class SharedFeed:
    """Single failures that take a function in a state and something else with it: for each failure, what else, a bus, a source or a load."""

    function: str
    state: str
    failures: Mapping[Failure, tuple[str, ...]]


def shared_feed(design: Design, network: Network, answer: StateAnswer, function: str) -> SharedFeed:
    """The single failures that take a function together with something that is not its own; those of a load and of its own branch are not among them."""
    if not answer.alive[function] or function in answer.state.without:
        return SharedFeed(function, answer.state.name, {})
    own = {f"parts/{n}" for n in loads_of(design, function)}
    others = {
        element: mask
        for element, mask in answer.failed.powered.items()
        if element not in own and answer.healthy.powered[element]
    }
    others |= {
        element: mask for element, mask in answer.failed.alive.items() if answer.healthy.alive[element]
    }
    for name in design.of_kind(p.Bus):
        node = network.index.get(name)
        if node is not None and answer.healthy.live(node):
            others[f"parts/{name}"] = answer.failed.live(node)
    found = {}
    for i, failure in enumerate(answer.failures):
        if not answer.functions[function] >> i & 1:
            taken = tuple(element for element, mask in others.items() if not mask >> i & 1)
            if taken:
                found[failure] = taken
    return SharedFeed(function, answer.state.name, found)


def major_functions(design: Design) -> tuple[str, ...]:
    """Functions whose loss is declared major."""
    return tuple(n for n, f in design.functions.items() if HazardClass.of(f.loss) is HazardClass.MAJOR)
