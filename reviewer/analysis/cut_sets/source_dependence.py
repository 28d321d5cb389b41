"""Functions that depend on an alternator alone, and functions whose only feed is shared."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from functools import reduce
from operator import and_

from reviewer.analysis.conduction.failure_modes import OPEN, SEVERED, Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.analysis.conduction.masks import bits, join, serves
from reviewer.analysis.conduction.own_generators import own_generators
from reviewer.analysis.conduction.states import (
    StateAnswer,
    critical_functions,
    function_mask,
    function_masks,
    loads_of,
    needs,
    rests_on,
    units_of,
)
from reviewer.analysis.conduction.too_low import less
from reviewer.model import parts as p
from reviewer.model.canonical_order import gravest_loss
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.review import HazardClass
from reviewer.network.graph import CHARGES, Network, Source, bare, holder
from reviewer.network.graph import works as goes_on


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
    failures, stuck contacts of relays included, after which it needs one alternator: none that work
    on after them could be lost as well, and no other channel takes over by itself as they are. A generator
    of a unit's own counts as any other source: it has no battery at any time."""
    own = own_generators(answer)
    healthy = function_masks(design, _steady(network, answer.healthy, own), 1)
    tried = (
        (answer.failures, answer.failed, answer.functions),
        (answer.stuck_relays, answer.stuck, answer.stuck_functions),
    )
    steady = [_steady(network, solved, own) for _, solved, _ in tried]
    alternators = [s.element for s in network.sources if s.kind == "alternator"]
    spared = [[_steady(network, solved, own, a) for a in alternators] for _, solved, _ in tried]
    dependences = []
    for function in critical_functions(design):
        found: list[Failure] = []
        channels: tuple[str, ...] = ()
        for (failures, solved, functions), powered, others in zip(tried, steady, spared, strict=True):
            every = (1 << len(failures)) - 1
            left = function_mask(design, powered, every, function)
            without = [function_mask(design, masks, every, function) for masks in others]
            left |= reduce(and_, without) if without else 0
            indexes = list(bits(functions[function] & ~left)) if healthy[function] else []
            indexes = _not_taken_over(design, answer, function, failures, indexes, own)
            if indexes and not found:
                channels = tuple(
                    n
                    for n in (*loads_of(design, function), *design.function_tree.others[function])
                    if (solved.powered[f"parts/{n}"] & ~powered[f"parts/{n}"]) >> indexes[0] & 1
                )
            found += [failures[i] for i in indexes]
        if found:
            dependences.append(AlternatorDependence(function, answer.state.name, tuple(found), channels))
    return tuple(dependences)


def _not_taken_over(
    design: Design,
    answer: StateAnswer,
    function: str,
    failures: Sequence[Failure],
    indexes: list[int],
    own: Collection[str],
) -> list[int]:
    """Those of some failures after which a function is lost with the alternators: it does not go on
    by a channel that rested while they worked. Not lost are those that are a unit's ``own``."""
    if not indexes:
        return indexes
    network = answer.network
    lost = (s.element for s in network.sources if s.kind == "alternator" and s.element not in own)
    gone = [Failure(element, OPEN) for element in lost]
    cases = [(failures[i], *(f for f in gone if f.element != failures[i].element)) for i in indexes]
    solved = conduct(network, answer.state, cases, answer.healthy)
    working = less(solved.powered, answer.low(cases, solved))
    works = function_mask(design, working, (1 << len(cases)) - 1, function) & ~solved.unsettled
    return [i for lane, i in enumerate(indexes) if not works >> lane & 1]


def _steady(network: Network, solved: Conduction, own: Collection[str], without: str = "") -> dict[str, int]:
    """For each consumer, the lanes in which a source other than an alternator powers it, one of those that
    are a unit's ``own``, or one other than one alternator, ``without``, where that is given; a magneto needs
    none; for other channels of functions, those in which they work so."""

    def counts(source: Source) -> bool:
        if without and source.kind == "alternator":
            return source.element != without
        if source.element in own:
            return True
        return source.kind not in (*CHARGES, "converter")

    steady = {m.element: solved.powered[m.element] for m in network.magnetos}
    for consumer in network.consumers:
        mask = 0
        for source in network.sources:
            if counts(source):
                mask |= serves(network, solved, source.element, consumer)
        steady[consumer.element] = mask & solved.powered[consumer.element]
    others = [s.element for s in network.sources if s.kind != "alternator" or counts(s)]
    for channel in network.channels:
        mask = solved.powered[channel.element]
        if channel.node is not None:
            feeding = [e for e in others if channel.kind == "bus" or e == channel.element]
            mask &= join(solved.fed[source][channel.node] for source in feeding)
        steady[channel.element] = mask
    return steady


@record
class SharedFeed:
    """Single failures that lose a function in a state and something else with it, first those that
    lose a load of a graver function, then those that lose more.

    ``failures[failure]`` are the buses, sources and loads that are lost too, and
    ``functions[failure]`` the other functions of major or graver loss. ``spare`` says whether the
    function works without any one of its units.
    """

    function: str
    state: str
    spare: bool
    failures: Mapping[Failure, tuple[str, ...]]
    functions: Mapping[Failure, tuple[str, ...]]


def shared_feed(design: Design, network: Network, answer: StateAnswer, function: str) -> SharedFeed:
    """The single failures, stuck contacts of relays included, that lose a function and more.

    Failures of its own loads and their branches are not among them: they lose nothing else; nor is
    a severed bundle of a function without a spare channel, whose wire has to run in some bundle.
    """
    if not answer.alive[function]:
        return SharedFeed(function, answer.state.name, False, {}, {})
    failures, functions = {}, {}
    spare = _has_spare_channel(design, function)
    grave = [n for n, f in design.functions.items() if HazardClass.of(f.loss) >= HazardClass.MAJOR]
    for tried, solved, works in (
        (answer.failures, answer.failed, answer.functions),
        (answer.stuck_relays, answer.stuck, answer.stuck_functions),
    ):
        others = _others(design, network, answer, function, solved)
        for i, failure in enumerate(tried):
            if not works[function] >> i & 1:
                lost = tuple(element for element, mask in others.items() if not mask >> i & 1)
                if lost and (spare or failure.mode != SEVERED):
                    failures[failure] = lost
                    functions[failure] = tuple(
                        n for n in grave if n != function and answer.alive[n] and not works[n] >> i & 1
                    )
    needed = gravest_loss(design.functions)

    def milder(failure: Failure) -> tuple[int, int]:
        lost = failures[failure]
        return -max(needed.get(bare(element), -1) for element in lost), -len(lost)

    graver_first = {failure: failures[failure] for failure in sorted(failures, key=milder)}
    return SharedFeed(function, answer.state.name, spare, graver_first, functions)


def _has_spare_channel(design: Design, function: str) -> bool:
    """Whether a function works without any one of its units."""
    units = (*units_of(design, function), *design.function_tree.others[function])
    works = {f"parts/{n}": -1 for n in design.parts}
    alone = ({**works, f"parts/{unit}": 0} for unit in units)
    return all(function_mask(design, masks, 1, function) for masks in alone)


def _others(
    design: Design, network: Network, answer: StateAnswer, function: str, failed: Conduction
) -> dict[str, int]:
    """Loads of other functions, sources and buses that are live in the healthy state -> the
    failures, of those solved in ``failed``, that they survive, by a battery inside them too."""
    channels = (*units_of(design, function), *design.function_tree.others[function])
    loads = {f"parts/{n}" for n in channels}
    healthy = answer.healthy
    others = {
        e: goes_on(failed.powered, e)
        for e in failed.powered
        if holder(e) == e not in loads and healthy.powered[e]
    }
    others |= {e: mask for e, mask in failed.alive.items() if healthy.alive[e] and e not in loads}
    for name in design.of_kind(p.Bus):
        node = network.index.get(name)
        if node is not None and healthy.live(node) and f"parts/{name}" not in loads:
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
