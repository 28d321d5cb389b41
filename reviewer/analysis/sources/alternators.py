"""Alternators that must be stopped, that must not run without a battery, and whose return must
hold: without volts and amperes."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from types import MappingProxyType

from reviewer.analysis.conduction.failure_modes import OPEN
from reviewer.analysis.conduction.feeds import kept_by_another
from reviewer.analysis.conduction.fixed_point import Conduction, conduct_from
from reviewer.analysis.conduction.masks import at_any, join, serves
from reviewer.analysis.conduction.states import StateAnswer, feed_path, powers
from reviewer.analysis.conduction.switch_combinations import (
    Combination,
    Cones,
    grid_of,
    held_momentary,
    lanes_of_grid,
)
from reviewer.analysis.crew.moves import ActionSequence, after_failures, continued, moved, single_moves
from reviewer.analysis.paths.reverse_feed import not_varied
from reviewer.analysis.paths.series_leads import negative_leads
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import CHARGES, Link, Network, Source, bare
from reviewer.network.search import conductors, reachable, shortest

#: kinds of sources that may charge a battery; a converter only as long as another of them feeds it
_GIVERS = (*CHARGES, "converter")


def source_of(network: Network, element: str) -> Source:
    """The source of an element. Raises StopIteration where it is none."""
    return next(s for s in network.sources if s.element == element)


def steadied(network: Network, solved: Conduction, element: str, users: Collection[int]) -> int:
    """The lanes in which a live battery takes or gives the difference between output and load: the
    source charges it, and it feeds the source's output, or all ``users`` (nodes) that the source feeds, as
    where a diode is in the output of a generator."""
    own = source_of(network, element)
    fed = solved.fed.get(element)
    lanes = 0
    for battery in (
        s for s in network.sources if s.kind == "battery" and {s.element, element} <= solved.fed.keys()
    ):
        assert fed is not None
        there = fed[battery.positive] & solved.returned[element][battery.negative]
        beside = solved.fed[battery.element]
        alone = join(fed[n] & ~beside[n] for n in users)
        lanes |= (
            there
            & (beside[own.positive] | ~alone)
            & solved.returned[battery.element][own.negative]
            & solved.alive[battery.element]
        )
    return lanes


@record
class Disconnection:
    """How the crew disconnects an alternator in a state: ``ways`` are moves that do it,
    ``unreached`` breakers that would and that do not say whether they are in reach."""

    state: str
    ways: tuple[tuple[tuple[str, str], ...], ...]
    unreached: tuple[str, ...]


def disconnection(design: Design, network: Network, answer: StateAnswer, element: str) -> Disconnection:
    """Every switch moved and every breaker pulled by itself, and every declared action: which of
    them leave an alternator powering nothing."""
    tried = single_moves(design, answer.state)
    courses = []
    for move in tried:
        state, done = moved(design, answer.state, dict(move))
        courses.append(ActionSequence((), state, done, done))
    start = after_failures(network, answer.state, [()], answer.healthy)
    solved = continued(network, start, [()], courses).solved
    on = powers(design, network, solved, element)
    off = [(move, reach) for i, (move, reach) in enumerate(tried.items()) if not on >> i & 1]
    return Disconnection(
        answer.state.name,
        tuple(m for m, reach in off if not reach),
        tuple(reach for _, reach in off if reach),
    )


def runs_without_battery(
    design: Design, network: Network, cones: Cones, answer: StateAnswer, element: str
) -> tuple[Combination | None, str]:
    """The permitted combination of switches, nearest to a state, in which a running alternator
    powers something with no battery in parallel, nor at another alternator; and a sentence on the
    switches that were not varied, or ""."""
    own = source_of(network, element)
    nodes = {own.positive, own.negative} | {
        n for s in network.sources if s.kind == "battery" for n in (s.positive, s.negative)
    }
    grid = grid_of(design, answer.state, cones.switches(nodes), engines=("running",))
    assert grid is not None
    users = {n for user in network.consumers for n in user.plus}
    users |= {network.index[name] for name in design.of_kind(p.Bus) if name in network.index}
    every = (1 << grid.width) - 1

    def wide(masks: Mapping[str, int]) -> Mapping[str, int]:
        return MappingProxyType({e: every if mask & 1 else 0 for e, mask in masks.items()})

    solved = conduct_from(
        network, lanes_of_grid(network, grid), wide(answer.healthy.energised), wide(answer.healthy.alive)
    )
    lanes = (
        powers(design, network, solved, element)
        & ~steadied(network, solved, element, users)
        & ~kept_by_another(network, solved, own.positive)
        & grid.legal
        & ~held_momentary(design, grid)
    )
    if len(grid.outsides) > 1:
        lanes &= grid.pattern(-2, [grid.outsides.index(False)])
    untried = not_varied(grid, f"{bare(element)} running without a battery") if grid.left_out else ""
    return (grid.combination(grid.nearest(lanes)) if lanes else None), untried


@record
class ReverseCurrent:
    """In a state a ``battery`` (an element) drives a generator by a ``path``."""

    battery: str
    state: str
    path: tuple[str, ...]


def driven_in_reverse(
    network: Network, answers: Collection[StateAnswer], element: str
) -> ReverseCurrent | None:
    """The first state in which a battery reaches the output of a generator and gets its current back at
    the ground of that."""
    own = source_of(network, element)
    for answer in answers:
        solved = answer.healthy
        for battery in (s.element for s in network.sources if s.kind == "battery"):
            if solved.fed[battery][own.positive] and solved.returned[battery][own.negative]:
                path = feed_path(network, answer, battery, own.positive)
                return ReverseCurrent(battery, answer.state.name, path)
    return None


@record
class Charge:
    """An alternator or a charger (``giver``), or a converter that one of these feeds, charges a
    battery in a state: it feeds the battery's positive and gets its negative back."""

    state: str
    giver: str
    battery: str


def charges(network: Network, answer: StateAnswer, giver: str) -> Iterator[Charge]:
    """The batteries that an alternator, a charger or a converter charges in a state."""
    driven = _driven(network, answer.healthy, source_of(network, giver))
    for battery in (s for s in network.sources if s.kind == "battery"):
        if charging(answer.healthy, giver, battery) & driven:
            yield Charge(answer.state.name, giver, battery.element)


def _driven(network: Network, solved: Conduction, giver: Source) -> int:
    """The lanes in which what a source gives is no other battery's: of a converter those in which an
    alternator or a charger feeds it."""
    if giver.kind != "converter":
        return -1
    first = (s.element for s in network.sources if s.kind in CHARGES and s.element in solved.fed)
    assert giver.supply is not None
    return join(serves(network, solved, s, giver.supply) & solved.alive[s] for s in first)


def charging(solved: Conduction, alternator: str, battery: Source) -> int:
    """The lanes in which an alternator or a charger charges a battery; 0 where it is solved for no
    such source.

    Its current enters at the battery or, in a string of batteries, above it, and comes back at it or
    below. What enters below it, at a tap, goes out through it to the loads.
    """
    if alternator not in solved.fed:
        return 0
    fed, returned = solved.fed[alternator], solved.returned[alternator]
    whole = solved.alive[alternator]
    if not battery.string:
        return whole & fed[battery.positive] & returned[battery.negative]
    string = whole
    for other in battery.string:
        string &= solved.alive[other]
    enters = (fed[battery.charged_at] & string | fed[battery.positive]) & ~fed[battery.minus]
    back = (returned[battery.negative] & string | returned[battery.minus]) & ~returned[battery.positive]
    return whole & enters & back


def carrying(network: Network, solved: Conduction, alternator: str) -> int:
    """The lanes in which an alternator supplies a load or a coil, or charges a battery."""
    users = join(serves(network, solved, alternator, u) for u in (*network.consumers, *network.coils))
    batteries = (s for s in network.sources if s.kind == "battery")
    return (users | join(charging(solved, alternator, b) for b in batteries)) & solved.alive[alternator]


def no_longer_charged(network: Network, before: Conduction, solved: Conduction) -> Mapping[str, int]:
    """For each battery that an alternator, a charger or a converter charges in the one lane of ``before``,
    the lanes of ``solved`` in which it is not lost and none charges it."""
    givers = [s for s in network.sources if s.kind in _GIVERS]
    charged = {s.element: _driven(network, before, s) for s in givers}
    goes_on = {s.element: _driven(network, solved, s) for s in givers}
    found = {}
    for battery in (s for s in network.sources if s.kind == "battery"):
        if any(charging(before, each, battery) & lanes for each, lanes in charged.items()):
            still = join(charging(solved, each, battery) & lanes for each, lanes in goes_on.items())
            found[battery.element] = solved.alive[battery.element] & ~still
    return MappingProxyType(found)


def depended_on(network: Network, answers: Collection[StateAnswer]) -> Iterator[str]:
    """The batteries that power a load or a coil in one of some states."""
    for source in (s.element for s in network.sources if s.kind == "battery"):
        if any(
            source in answer.healthy.fed and serves(network, answer.healthy, source, user)
            for answer in answers
            for user in (*network.consumers, *network.coils)
        ):
            yield source


def without_charging_return(
    network: Network, answers: Collection[StateAnswer], battery: str
) -> Iterator[str]:
    """The alternators, chargers and converters that feed the positive of a battery in one of some
    states; that none of them charges it, the return is missing."""
    own = source_of(network, battery)
    for giver in (s for s in network.sources if s.kind in _GIVERS):
        if any(
            giver.element in a.healthy.fed
            and a.healthy.fed[giver.element][own.positive]
            & a.healthy.alive[giver.element]
            & _driven(network, a.healthy, giver)
            for a in answers
        ):
            yield giver.element


def stopped_by_batteries(
    design: Design, network: Network, answer: StateAnswer, element: str
) -> Iterator[tuple[str, bool]]:
    """What stops an alternator in a state when it opens, or leaves it powering nothing: batteries,
    and relays that take every bus with it. With each whether the overvoltage trip is what stops it,
    as where its regulator senses what others alone feed then."""
    fed = answer.healthy.fed[element]
    lives = at_any(
        answer.failed.lives,
        [network.index[n] for n in design.of_kind(p.Bus) if n in network.index and fed[network.index[n]]],
    )
    on = powers(design, network, answer.failed, element)
    batteries = {s.element for s in network.sources if s.kind == "battery"}
    relays = {c.element for c in network.coils}
    for i, failure in enumerate(answer.failures):
        with_buses = failure.element in relays and not lives >> i & 1
        if failure.mode == OPEN and not on >> i & 1 and (failure.element in batteries or with_buses):
            yield failure.element, bool(answer.failed.tripped.get(element, 0) >> i & 1)


def ground_cuts(design: Design, network: Network, element: str) -> tuple[str, ...] | None:
    """The elements that every path passes from the ground terminal of an alternator to the negative
    of a main battery, to which its charging current returns; of any battery where none is a main
    one. The negative leads of batteries are left out; the alternator itself stands for its
    mounting. None where there is no path."""
    own = source_of(network, element)
    batteries = [s for s in network.sources if s.kind == "battery"]
    mains = [s for s in batteries if design.parts[bare(s.element)].purpose == "main"]
    goals = {s.negative for s in mains or batteries}
    path = _path(network, own.negative, goals, ())
    if path is None:
        return None
    last = {network.links[i].element for lead in negative_leads(design, network) for i in lead.links}
    structure = {f"parts/{n}" for n in (*design.of_kind(p.Airframe), *design.of_kind(p.GroundBlock))}
    on_path = [e for e in dict.fromkeys(path) if e not in last | structure]
    cuts = tuple(e for e in on_path if _path(network, own.negative, goals, (e,)) is None)
    bolts = (f"bolts/{name}" for name, wires in network.bolts.items() if last.isdisjoint(wires))
    return cuts or tuple(b for b in bolts if _path(network, own.negative, goals, network.groups[b]) is None)


def _path(network: Network, start: int, goals: set[int], without: Collection[str]) -> list[str] | None:
    def passes(link: Link, leaving: bool) -> bool:
        return conductors(link, leaving) and link.element not in without

    def onward(node: int) -> Iterator[tuple[int, str]]:
        for i, other, leaving in network.around[node]:
            if passes(network.links[i], leaving):
                yield other, network.links[i].element

    if not goals & reachable(network, [start], passes):
        return None
    found = shortest(start, goals, onward)
    return found[1] if found else None
