"""Latent failures that complete a loss: hidden ones which, with one more failure, take a critical function that neither takes alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from reviewer.analysis.bits import bits
from reviewer.analysis.conduction import Conduction, conduct, conduct_pairs
from reviewer.analysis.cut_sets import BLOCK
from reviewer.analysis.failures import OPEN, SHORT, Failure
from reviewer.analysis.single_points import outermost
from reviewer.analysis.states import StateAnswer, critical_functions, function_masks
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network


@record
class LatentLoss:
    """An element whose hidden failure completes a loss in a state.

    ``modes`` are its hidden failures that do; ``losses`` pairs of a critical function and the elements of which one more failure then takes it;
    ``alike`` other elements whose hidden failure does the same.
    """

    element: str
    state: str
    modes: tuple[str, ...]
    losses: tuple[tuple[str, tuple[str, ...]], ...]
    alike: tuple[str, ...] = ()


class _Pair(NamedTuple):
    first: Failure
    second: Failure
    function: str


def latent_losses(design: Design, network: Network, dispatch: StateAnswer, latent: Sequence[Failure]) -> tuple[LatentLoss, ...]:
    """Every element with a latent failure that completes a loss in the dispatch state; elements that do the same are told of once."""
    by_element: dict[str, list[_Pair]] = {}
    for pair in completing_pairs(design, network, dispatch, latent):
        if pair.second.element != pair.first.element:
            by_element.setdefault(pair.first.element, []).append(pair)
    order = {element: i for i, element in enumerate((*network.elements, *(f"bundles/{b}" for b in network.bundles)))}
    found = [_loss(design, network, dispatch, element, by_element[element]) for element in sorted(by_element, key=order.__getitem__)]
    groups: dict[object, list[LatentLoss]] = {}
    for loss in found:
        groups.setdefault(loss.losses, []).append(loss)
    done = []
    for group in groups.values():
        # told of at one that matters when open: what is wired there is easier to see than where a short may be
        first = next((loss for loss in group if OPEN in loss.modes), group[0])
        done.append(replace(first, alike=tuple(loss.element for loss in group if loss is not first)))
    return tuple(sorted(done, key=lambda loss: order[loss.element]))


def _loss(design: Design, network: Network, dispatch: StateAnswer, element: str, pairs: Sequence[_Pair]) -> LatentLoss:
    functions = outermost(design, tuple(dict.fromkeys(p.function for p in pairs)))
    modes = dict.fromkeys(p.first.words(network) for p in pairs if p.function in functions)
    losses = tuple((f, tuple(sorted({p.second.element for p in pairs if p.function == f}))) for f in functions)
    return LatentLoss(element, dispatch.state.name, tuple(modes), losses)


def completing_pairs(design: Design, network: Network, dispatch: StateAnswer, latent: Sequence[Failure]) -> Iterator[_Pair]:
    """Every pair of a latent failure and a single one that loses a critical function in the dispatch state which neither loses alone.

    One of each kind of latent failure is solved for all that act alike. For a second failure within the same chain or zone they need not: these pairs
    are solved one by one.
    """
    functions = [f for f in critical_functions(design) if dispatch.alive[f] and f not in dispatch.state.without]
    seconds = dispatch.failures
    if not functions or not seconds or not latent:
        return
    alike: dict[object, list[Failure]] = {}
    for failure, kind in zip(latent, _kinds(network, dispatch, latent), strict=True):
        if kind is not None:
            alike.setdefault(kind, []).append(failure)
    inside = {kind: _inside(network, kind, seconds) if len(same) > 1 else frozenset() for kind, same in alike.items()}
    rows = list(alike.items())
    size = max(1, BLOCK // len(seconds))
    each = (1 << len(seconds)) - 1
    for start in range(0, len(rows), size):
        block = rows[start : start + size]
        solved = conduct_pairs(network, dispatch.state, [same[0] for _, same in block], seconds, dispatch.healthy)
        for function, alive in _alive(design, solved, functions).items():
            for i, (kind, same) in enumerate(block):
                lost = ~(alive >> i * len(seconds)) & each & dispatch.functions[function]
                for j in bits(lost):
                    for first in same[:1] if j in inside[kind] else same:
                        yield _Pair(first, seconds[j], function)
    ones = [(first, j) for kind, same in rows for first in same[1:] for j in sorted(inside[kind])]
    if ones:
        solved = conduct(network, dispatch.state, [(first, seconds[j]) for first, j in ones], dispatch.healthy)
        for function, alive in _alive(design, solved, functions).items():
            for i in bits(~alive & (1 << len(ones)) - 1):
                first, j = ones[i]
                if dispatch.functions[function] >> j & 1:
                    yield _Pair(first, seconds[j], function)


def _alive(design: Design, solved: Conduction, functions: Sequence[str]) -> Mapping[str, int]:
    masks = function_masks(design, solved.powered, (1 << solved.width) - 1)
    return {function: masks[function] for function in functions}


def _kinds(network: Network, dispatch: StateAnswer, latent: Sequence[Failure]) -> Iterator[object]:
    """What stands for each failure among those that act alike; None for one that acts on nothing that is powered.

    Opens are alike in one chain, for nothing is powered inside it; shorts where they make the same zone dead.
    """
    owned = {c.element for c in (*network.consumers, *network.coils)} | {s.element for s in network.sources}
    chain_of = network.trunk.chain_of
    number = {failure: i for i, failure in enumerate(dispatch.failures)}
    for failure in latent:
        if failure.mode == SHORT and failure in number:
            yield SHORT, dispatch.dead_by.get(number[failure], frozenset())
        elif failure.mode == OPEN and failure.element not in owned:
            chains = {chain_of[i] for i in network.links_of.get(failure.element, ()) if i in chain_of}
            yield (OPEN, chains.pop() if len(chains) == 1 else failure.element) if chains else None
        else:
            yield failure


def _inside(network: Network, kind: object, seconds: Sequence[Failure]) -> frozenset[int]:
    """The indexes of the second failures that are in the chain or zone of a kind too."""
    if not (isinstance(kind, tuple) and isinstance(kind[1], (int, frozenset))):
        return frozenset()
    if isinstance(kind[1], int):
        chain = network.trunk.chains[kind[1]]
        elements, nodes = {network.links[i].element for i, _ in chain.steps}, {*chain.inner, chain.a, chain.b}
    else:
        nodes = set(kind[1])
        elements = {element for element, own in network.nodes_of.items() if not nodes.isdisjoint(own)}
    elements |= {f"bundles/{name}" for name, wires in network.bundles.items() if not elements.isdisjoint(wires)}
    return frozenset(j for j, second in enumerate(seconds) if second.element in elements or not nodes.isdisjoint(second.nodes))
