"""Latent failures that complete a loss: hidden ones which, with one more failure, take a critical function that neither takes alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from reviewer.analysis.conduction.failure_modes import OPEN, SHORT, Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct, conduct_pairs
from reviewer.analysis.conduction.masks import bits
from reviewer.analysis.conduction.states import StateAnswer, critical_functions, function_masks
from reviewer.analysis.cut_sets.minimal_cut_sets import BLOCK
from reviewer.analysis.cut_sets.single_points import outermost
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


def latent_losses(
    design: Design, network: Network, dispatch: StateAnswer, latent: Sequence[Failure]
) -> tuple[LatentLoss, ...]:
    """Every element with a latent failure that completes a loss in the dispatch state; elements that do the same are told of once."""
    by_element: dict[str, list[_Pair]] = {}
    for pair in completing_pairs(design, network, dispatch, latent):
        if pair.second.element != pair.first.element:
            by_element.setdefault(pair.first.element, []).append(pair)
    order = {
        element: i
        for i, element in enumerate((*network.elements, *(f"bundles/{b}" for b in network.bundles)))
    }
    found = [
        _loss(design, network, dispatch, element, by_element[element])
        for element in sorted(by_element, key=order.__getitem__)
    ]
    groups: dict[object, list[LatentLoss]] = {}
    for loss in found:
        groups.setdefault(loss.losses, []).append(loss)
    done = []
    for group in groups.values():
        # told of at one that matters when open: what is wired there is easier to see than where a short may be
        first = next((loss for loss in group if OPEN in loss.modes), group[0])
        done.append(replace(first, alike=tuple(loss.element for loss in group if loss is not first)))
    return tuple(sorted(done, key=lambda loss: order[loss.element]))


def _loss(
    design: Design, network: Network, dispatch: StateAnswer, element: str, pairs: Sequence[_Pair]
) -> LatentLoss:
    functions = outermost(design, tuple(dict.fromkeys(p.function for p in pairs)))
    modes = dict.fromkeys(p.first.words(network) for p in pairs if p.function in functions)
    losses = tuple(
        (f, tuple(sorted({p.second.element for p in pairs if p.function == f}))) for f in functions
    )
    return LatentLoss(element, dispatch.state.name, tuple(modes), losses)


def completing_pairs(
    design: Design, network: Network, dispatch: StateAnswer, latent: Sequence[Failure]
) -> Iterator[_Pair]:
    """Every pair of a latent failure and a single one that loses a critical function in the dispatch state which neither loses alone.

    One of each kind of latent failure is solved for all that act alike. For a second failure within the same chain or zone they need not: these pairs
    are solved one by one. A chain that ends where it begins joins nothing: what is open in it is solved with the failures within it alone.
    """
    functions = [
        f for f in critical_functions(design) if dispatch.alive[f] and f not in dispatch.state.without
    ]
    seconds = dispatch.failures
    if not functions or not seconds or not latent:
        return
    alike: dict[object, list[Failure]] = {}
    for failure, kind in zip(latent, _kinds(network, dispatch, latent), strict=True):
        if kind is not None:
            alike.setdefault(kind, []).append(failure)
    places = _Places(network, seconds)
    inside = {
        kind: places.inside(kind) if len(same) > 1 or _closed(network, kind) else frozenset()
        for kind, same in alike.items()
    }
    rows = [(kind, same) for kind, same in alike.items() if not _closed(network, kind)]
    size = max(1, BLOCK // len(seconds))
    each = (1 << len(seconds)) - 1
    for start in range(0, len(rows), size):
        block = rows[start : start + size]
        solved = conduct_pairs(
            network, dispatch.state, [same[0] for _, same in block], seconds, dispatch.healthy
        )
        for function, alive in _alive(design, solved, functions).items():
            for i, (kind, same) in enumerate(block):
                lost = ~(alive >> i * len(seconds)) & each & dispatch.functions[function]
                for j in bits(lost):
                    for first in same[:1] if j in inside[kind] else same:
                        yield _Pair(first, seconds[j], function)
    alone = [
        (kind, first)
        for kind, same in alike.items()
        for first in (same if _closed(network, kind) else same[1:])
    ]
    ones = [(first, j) for kind, first in alone for j in sorted(inside[kind])]
    if ones:
        solved = conduct(
            network, dispatch.state, [(first, seconds[j]) for first, j in ones], dispatch.healthy
        )
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


def _closed(network: Network, kind: object) -> bool:
    """Whether a kind is of opens in a chain that ends where it begins."""
    if not (isinstance(kind, tuple) and isinstance(kind[1], int)):
        return False
    chain = network.trunk.chains[kind[1]]
    return chain.a == chain.b


class _Places:
    """Where the second failures are."""

    def __init__(self, network: Network, seconds: Sequence[Failure]):
        self.network = network
        self.at: dict[object, list[int]] = {}
        for j, second in enumerate(seconds):
            for place in (second.element, *second.nodes):
                self.at.setdefault(place, []).append(j)
        self.bundles: dict[str, list[str]] = {}
        for name, wires in network.bundles.items():
            for wire in wires:
                self.bundles.setdefault(wire, []).append(f"bundles/{name}")
        self.elements_of: dict[int, list[str]] = {}
        for element, nodes in network.nodes_of.items():
            for node in nodes:
                self.elements_of.setdefault(node, []).append(element)
        self.hanging: dict[int, list[int]] = {}
        for node, (_, _, parent) in network.trunk.hung.items():
            self.hanging.setdefault(parent, []).append(node)

    def inside(self, kind: object) -> frozenset[int]:
        """The indexes of the second failures that are in the chain or zone of a kind too, or on a dead end that hangs on the chain."""
        if not (isinstance(kind, tuple) and isinstance(kind[1], (int, frozenset))):
            return frozenset()
        if isinstance(kind[1], int):
            chain = self.network.trunk.chains[kind[1]]
            elements, nodes = (
                {self.network.links[i].element for i, _ in chain.steps},
                {*self._hung(chain.inner), chain.a, chain.b},
            )
        else:
            nodes = set(kind[1])
            elements = {element for node in nodes for element in self.elements_of.get(node, ())}
        places = {
            *elements,
            *nodes,
            *(bundle for element in elements for bundle in self.bundles.get(element, ())),
        }
        return frozenset(j for place in places for j in self.at.get(place, ()))

    def _hung(self, nodes: Sequence[int]) -> list[int]:
        """Some nodes with all that hangs on them."""
        found = list(nodes)
        for node in found:
            found += self.hanging.get(node, ())
        return found
