"""One operating state solved: what is powered, and which functions each failure loses."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from functools import cached_property
from itertools import groupby
from types import MappingProxyType
from typing import Any

from reviewer.analysis.conduction.failure_modes import (
    DROPPED,
    Failure,
    single_failures,
    stuck_contacts,
    stuck_relays,
)
from reviewer.analysis.conduction.fixed_point import Conduction, conduct, conduct_states
from reviewer.analysis.conduction.masks import at_any, bits
from reviewer.analysis.conduction.scenarios import Case, failures_of, lanes_of_cases
from reviewer.analysis.conduction.stuck_contacts import grounding
from reviewer.analysis.conduction.too_low import TooLow, less
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.model.review import HazardClass
from reviewer.network.graph import Gate, Link, Network, PoweredDevice, bare, works
from reviewer.network.search import ShortestPaths, reachable_by


@record
class After:
    """What ``conducts`` after some ``cases``, a lane each, which have the relays that drop out."""

    cases: tuple[Case, ...]
    conducts: Conduction


@record
class StateAnswer:
    """One state solved.

    ``healthy`` has one lane. In ``failed`` lane i is ``failures[i]``, and so it is in
    ``functions[name]``, the failures that a function survives. What happens under failures is
    worked out when it is first asked for. ``too_low`` names what has too little voltage to work;
    without it, what has power works.
    """

    design: Design
    network: Network
    state: ResolvedState
    healthy: Conduction
    too_low: TooLow | None = field(default=None, compare=False)

    def low(
        self,
        cases: Sequence[Case],
        solved: Conduction,
        each: bool = False,
        dark: bool = False,
        minor: bool = False,
    ) -> Mapping[str, int]:
        """The lanes, a case each, in which loads have power and less than their minimum voltage; with
        ``dark`` next to none.

        Only where a function of class major or worse depends on that, with ``minor`` any function; with
        ``each`` at every load.
        """
        return self._asked(cases, solved, each=each, dark=dark, minor=minor)

    def conducting_after(self, cases: Sequence[Case], solved: Conduction | None = None) -> After:
        """What conducts after some cases, a lane each, the relays dropped out that each of them leaves with
        too few volts at their coils; a coil of which the file gives no current counts as energised.
        ``solved`` is what conducts by the cases alone, if it was solved before."""
        cases = tuple(cases)
        if solved is None:
            solved = conduct(self.network, self.state, cases, self.healthy)
        dropped = self._asked(cases, solved, coils=True)
        if not dropped:
            return After(cases, solved)
        whole = list(cases)
        for coil, mask in dropped.items():
            for i in bits(mask):
                whole[i] = (*failures_of(whole[i]), Failure(coil, DROPPED))
        after = conduct(self.network, self.state, whole, self.healthy)
        return After(tuple(whole), replace(after, energised=less(after.energised, dropped)))

    def _asked(self, cases: Sequence[Case], solved: Conduction, **how: bool) -> Mapping[str, int]:
        if self.too_low is None or not cases:
            return {}
        lanes = lanes_of_cases(self.network, self.state, cases)
        every = (1 << len(cases)) - 1

        def case_of(lane: int) -> tuple[ResolvedState, tuple[Failure, ...]]:
            return self.state, failures_of(cases[lane])

        return self.too_low(self, lanes, solved, case_of, every, **how)

    @cached_property
    def closed(self) -> tuple[bool, ...]:
        """Whether each link conducts in the healthy state, a diode in its own direction."""
        closed = [True] * len(self.network.links)
        for i in self.network.gated:  # most are not
            closed[i] = self._closed(self.network.links[i])
        return tuple(closed)

    def _closed(self, link: Link) -> bool:
        name = bare(link.element)
        if link.gate is Gate.SWITCH:
            return self.state.switches.get(name) in link.positions
        if link.gate is Gate.PROTECTOR:
            supplied = not link.unit or bool(self.healthy.energised[link.unit])
            supplied = supplied and (not link.by_input or bool(self.healthy.energised[link.element]))
            return (supplied and name not in self.state.pulled) and (
                not link.positions or self.state.switches.get(name) in link.positions
            )
        if link.gate is Gate.PLUGGED:
            return self.state.external_power
        if link.gate is Gate.OUTPUT:
            has_power = bool(self.healthy.energised[link.unit])
            commanded = not link.commanded or link.output in self.state.outputs_on
            return commanded and has_power != link.unpowered
        if link.gate in (Gate.ENERGISED, Gate.DE_ENERGISED):
            return bool(self.healthy.energised[link.element]) == (link.gate is Gate.ENERGISED)
        return True

    @cached_property
    def onward(self) -> tuple[tuple[tuple[int, str], ...], ...]:
        """For each node the (next node, element) pairs by which current can go on in the healthy
        state."""
        links, (forth, back) = self.network.links, self.conducting
        return tuple(
            tuple((other, links[i].element) for i, other, leaving in steps if (forth if leaving else back)[i])
            for steps in self.network.around
        )

    @cached_property
    def conducting(self) -> tuple[Sequence[bool], Sequence[bool]]:
        """Whether each link conducts in the healthy state from a to b, and from b to a."""
        links = self.network.links
        return self.closed, [shut and not links[i].oneway for i, shut in enumerate(self.closed)]

    @cached_property
    def searched(self) -> dict[Any, Any]:
        """What searches have found in this state, such as ``circuit_paths``, ``late_outcomes`` and
        ``own_switches``, filled as they ask."""
        return {}

    @cached_property
    def failures(self) -> tuple[Failure, ...]:
        """Every single failure that is tried in this state."""
        return single_failures(self.design, self.network, self.hot, self.held_up, self.p_leads, self.across)

    @cached_property
    def across(self) -> frozenset[int]:
        """The links of diodes whose cathode a source feeds and whose anode is joined to its negative, the
        diodes inside relays among them."""
        healthy, links = self.healthy, self.network.links
        return frozenset(
            i
            for i in self.network.one_way
            if any(
                fed[links[i].b] and healthy.returned[source][links[i].a] and not fed[links[i].a]
                for source, fed in healthy.fed.items()
            )
        )

    @cached_property
    def live(self) -> frozenset[int]:
        """Nodes that a source feeds."""
        return frozenset([n for n, lives in enumerate(self.healthy.lives) if lives])

    @cached_property
    def hot(self) -> frozenset[int]:
        """Nodes that a source feeds, and those joined to the p-lead of a magneto that fires."""
        return self.p_leads | self.live

    @cached_property
    def p_leads(self) -> frozenset[int]:
        """Nodes joined to the p-lead of a magneto that fires."""
        firing = [m.p_lead for m in self.network.magnetos if self.healthy.powered[m.element]]
        return frozenset(reachable_by(firing, self._onward))

    @cached_property
    def _held_up(self) -> Mapping[str, frozenset[int]]:
        """Those of ``held_up`` by the source that holds them."""
        held = {}
        for source in self.network.sources:
            fed, returned = self.healthy.fed[source.element], self.healthy.returned[source.element]
            starts: set[int] = set()
            for plus, minus in _circuits(self.network):
                if any(fed[n] for n in plus) and not any(returned[n] for n in minus):
                    starts.update(minus)
            reached = reachable_by(starts, self._onward)
            held[source.element] = frozenset(reached - self.live)
        return held

    @cached_property
    def held_up(self) -> frozenset[int]:
        """Nodes that no source feeds but through a load, coil or field without a return.

        A short to ground there gives it one, so that it runs.
        """
        return frozenset().union(*self._held_up.values())

    @cached_property
    def switched_returns(self) -> frozenset[int]:
        """Those of ``held_up`` that some setting of switches and relays joins to a negative.

        That is the negative of the source that holds them. The others have lost their return: what
        a short runs there is not uncommanded.
        """
        piece = self.network.pieces
        return frozenset(
            n for s in self.network.sources for n in self._held_up[s.element] if piece[n] == piece[s.negative]
        )

    def _onward(self, node: int) -> Iterator[int]:
        return (other for other, _ in self.onward[node])

    @cached_property
    def failed(self) -> Conduction:
        """The state under every single failure."""
        return conduct(self.network, self.state, self.failures, self.healthy)

    def failed_by(self, failures: Sequence[Failure]) -> Conduction:
        """The state under some single failures, a lane each; solved once where they are all of them."""
        if len(failures) == len(self.failures) and tuple(failures) == self.failures:
            return self.failed
        return conduct(self.network, self.state, failures, self.healthy)

    @cached_property
    def after_each(self) -> After:
        """:meth:`conducting_after` every single failure."""
        return self.conducting_after(self.failures, self.failed)

    @cached_property
    def stuck_relays(self) -> tuple[Failure, ...]:
        """Every relay and contactor with its contacts as if energised, and as if not."""
        return grounding(self.network, self.state, self.healthy, stuck_relays(self.design))

    @cached_property
    def stuck_contacts(self) -> tuple[Failure, ...]:
        """:attr:`stuck_relays`, every switch that stays elsewhere than the state has it, and every
        regulator that fails full on."""
        moved = stuck_contacts(self.design, dict(self.state.switches))[len(self.stuck_relays) :]
        return self.stuck_relays + grounding(self.network, self.state, self.healthy, moved)

    @cached_property
    def stuck(self) -> Conduction:
        """The state under each of :attr:`stuck_relays`."""
        return conduct(self.network, self.state, self.stuck_relays, self.healthy)

    @cached_property
    def stuck_working(self) -> Mapping[str, int]:
        """Those of :attr:`stuck_relays` under which each load works."""
        return less(self.stuck.powered, self.low(self.stuck_relays, self.stuck))

    @cached_property
    def stuck_functions(self) -> Mapping[str, int]:
        """For each function, those of :attr:`stuck_relays` that it survives."""
        every = (1 << len(self.stuck_relays)) - 1
        return MappingProxyType(function_masks(self.design, self.stuck_working, every))

    @cached_property
    def failed_working(self) -> Mapping[str, int]:
        """The failures under which each load works."""
        return less(self.failed.powered, self.low(self.failures, self.failed))

    @cached_property
    def functions(self) -> Mapping[str, int]:
        """For each function, the failures that it survives."""
        return MappingProxyType(
            function_masks(self.design, self.failed_working, (1 << len(self.failures)) - 1)
        )

    def losing(self, function: str) -> tuple[Failure, ...]:
        """The single failures that lose a function, relays with stuck contacts among them."""
        return tuple(
            failure
            for failures, survived in (
                (self.failures, self.functions[function]),
                (self.stuck_relays, self.stuck_functions[function]),
            )
            for i, failure in enumerate(failures)
            if not survived >> i & 1
        )

    @cached_property
    def lost(self) -> Mapping[int, list[str]]:
        """Number of each of :attr:`failures` that loses any -> the loads, instruments and sources that
        it loses."""
        return self._lost(len(self.failures), self.failed_working, self.failed.alive)

    @cached_property
    def stuck_lost(self) -> Mapping[int, list[str]]:
        """:attr:`lost` of :attr:`stuck_relays`."""
        return self._lost(len(self.stuck_relays), self.stuck_working, self.stuck.alive)

    def _lost(self, count: int, *after: Mapping[str, int]) -> dict[int, list[str]]:
        every, found = (1 << count) - 1, dict[int, list[str]]()
        for before, masks in zip((self.healthy.powered, self.healthy.alive), after, strict=True):
            for element, mask in masks.items():
                if before[element]:
                    for i in bits(every & ~mask):
                        found.setdefault(i, []).append(element)
        return found

    @cached_property
    def alive(self) -> Mapping[str, bool]:
        """Whether each function works in the healthy system."""
        return MappingProxyType(
            {n: bool(m) for n, m in function_masks(self.design, self.healthy.powered, 1).items()}
        )

    @cached_property
    def dead_by(self) -> Mapping[int, frozenset[int]]:
        """The fault zone of each short that has one: index of the failure -> nodes."""
        zones: dict[int, set[int]] = {}
        lanes: dict[int, tuple[int, ...]] = {}
        for node, mask in enumerate(self.failed.zone):
            if mask:
                if mask not in lanes:
                    lanes[mask] = tuple(bits(mask))
                for i in lanes[mask]:
                    zones.setdefault(i, set()).add(node)
        return MappingProxyType({i: frozenset(nodes) for i, nodes in zones.items()})

    @cached_property
    def _trees(self) -> dict[str, ShortestPaths[str]]:
        """By source, the paths from it in the healthy state, as far as they were asked for."""
        return {}

    @cached_property
    def _paths(self) -> dict[tuple[str, int], tuple[str, ...]]:
        """Answers of :func:`feed_path`, by source and node."""
        return {}

    @cached_property
    def positions(self) -> Mapping[str, str]:
        """Where each switch stands in the healthy state, those that follow something among them."""
        if not self.network.followers:
            return self.state.switches
        found = dict(self.state.switches)
        for follower in self.network.followers:
            moved = bool(self.healthy.energised[follower.element])
            name = bare(follower.element)
            found[name] = follower.moved_to if moved else self.design.parts[name].at_rest
        return MappingProxyType(found)

    @property
    def switches(self) -> tuple[tuple[str, str], ...]:
        """(switch, position) pairs, in canonical order."""
        return tuple(self.positions.items())

    def fed_by(self, node: int) -> tuple[str, ...]:
        """Sources that feed a node in the healthy state."""
        return tuple(source for source, reach in self.healthy.fed.items() if reach[node])


def solve_state(design: Design, network: Network, state: ResolvedState) -> StateAnswer:
    """Solve a state in the healthy system; the answer solves single failures when asked."""
    return StateAnswer(design, network, state, conduct(network, state))


def solve_states(
    design: Design, network: Network, states: Sequence[ResolvedState], too_low: TooLow | None = None
) -> Mapping[str, StateAnswer]:
    """:func:`solve_state` for several states, solved side by side; by name."""
    solved = conduct_states(network, states)
    return MappingProxyType(
        {
            state.name: StateAnswer(design, network, state, solved.lane(i), too_low)
            for i, state in enumerate(states)
        }
    )


def function_masks(
    design: Design, powered: Mapping[str, int], every: int, functions: Iterable[str] | None = None
) -> dict[str, int]:
    """For each function, or some, the lanes in which at least the required number of its channels works.

    ``powered[element]`` and ``every`` are masks of the same lanes. A unit that is not fed counts where
    it works on a battery of its own.
    """
    done: dict[str, int] = {}
    names = design.functions if functions is None else functions
    return {name: _enough_channels(design, powered, every, name, done) for name in names}


def _enough_channels(
    design: Design, powered: Mapping[str, int], every: int, name: str, done: dict[str, int]
) -> int:
    """The lanes in which a function or channel works; functions are entered in ``done``.

    Not a function within another that calls itself: that would be a cycle, which keeps ``powered``
    and all that it was solved from in memory where nothing collects cycles.
    """
    if name not in design.functions:
        return channel_mask(design, powered, name)
    if name not in done:
        function = design.functions[name]
        # at_least[k]: lanes in which at least k of the channels seen so far work
        at_least = [every] + [0] * function.any
        for channel in function.of:
            lives = _enough_channels(design, powered, every, channel, done)
            for k in range(function.any, 0, -1):
                at_least[k] |= at_least[k - 1] & lives
        done[name] = at_least[function.any]
    return done[name]


def function_mask(design: Design, powered: Mapping[str, int], every: int, function: str) -> int:
    """:func:`function_masks` of one function."""
    return function_masks(design, powered, every, (function,))[function]


def channel_mask(design: Design, powered: Mapping[str, int], name: str) -> int:
    """The lanes in which a channel that is no function works: it is fed, runs on a battery of its own,
    or another instrument takes its place."""
    mask = works(powered, f"parts/{name}")
    for taker in design.takers.get(name, ()):
        mask |= works(powered, f"parts/{taker}")
    return mask


def loads_of(design: Design, function: str) -> tuple[str, ...]:
    """Names of all loads and instruments that a function needs, in the order of its channels in the
    file; magnetos need no supply and are left out."""
    return design.loads_of_functions[function]


def units_of(design: Design, function: str) -> tuple[str, ...]:
    """:func:`loads_of`, with the magnetos."""
    return design.function_tree.loads[function]


def without_electricity(design: Design, answer: StateAnswer) -> Mapping[str, int]:
    """Function -> 1 where it goes on in a state with all electricity gone, by what is mechanical and
    by magnetos; else 0."""
    left = {
        c.element: answer.healthy.powered[c.element]
        for c in answer.network.channels
        if c.kind == "mechanical"
    }
    left |= {m.element: answer.healthy.powered[m.element] for m in answer.network.magnetos}
    return function_masks(design, dict.fromkeys(answer.healthy.powered, 0) | left, 1)


def loads_needed(design: Design, answer: StateAnswer, function: str) -> tuple[str, ...]:
    """:func:`loads_of`, without those under a function that goes on in a state with all electricity
    gone, by what is mechanical and by magnetos."""
    goes_on = without_electricity(design, answer)
    if not any(goes_on.values()):
        return loads_of(design, function)
    found = dict[str, None]()
    todo = [function]
    for name in todo:
        if goes_on[name]:
            continue
        for channel in design.functions[name].of:
            if channel in design.functions:
                todo.append(channel)
            else:
                found.update(dict.fromkeys((channel, *design.takers.get(channel, ()))))
    return tuple(n for n in loads_of(design, function) if n in found)


def watched(design: Design, network: Network, functions: Iterable[str]) -> frozenset[str]:
    """The elements of which it matters to some functions whether they work: their channels that are no
    functions, and every load where a source is one, which works while it powers any."""
    tree, found = design.function_tree, set[str]()
    for function in functions:
        found.update(f"parts/{name}" for name in (*tree.loads[function], *tree.others[function]))
    if any(c.kind == "source" and c.element in found for c in network.channels):
        found.update(c.element for c in network.consumers)
    return frozenset(found)


def rests_on(design: Design, outer: str, inner: str) -> bool:
    """Whether a function has another among its channels, or among theirs."""
    return inner in design.function_tree.within[outer]


def needs(design: Design, outer: str, inner: str) -> bool:
    """Whether a function is lost whenever another is: it needs all of its channels, and one is the
    other, or needs it."""
    return inner in design.function_tree.needed[outer]


def critical_functions(design: Design) -> tuple[str, ...]:
    """Functions whose loss is declared hazardous or catastrophic."""
    return tuple(n for n, f in design.functions.items() if HazardClass.of(f.loss) >= HazardClass.HAZARDOUS)


def batteries_feeding(network: Network, solved: Conduction, user: str, lane: int = 0) -> list[str]:
    """The batteries (elements) that feed a load or coil (an element) in a lane."""
    plus = network.users[user].plus
    batteries = [s.element for s in network.sources if s.kind == "battery"]
    return [b for b in batteries if any(solved.fed[b][node] >> lane & 1 for node in plus)]


def feed_path(
    network: Network, answer: StateAnswer, source: str, goal: int, without: Collection[str] = ()
) -> tuple[str, ...]:
    """Elements along the shortest path by which a source feeds a node in the healthy state.

    () where it does not feed it. ``without`` are elements that are open.
    """
    if not answer.healthy.fed[source][goal]:
        return _through_converter(network, answer, source, goal, without) if network.converters else ()
    if without:
        return _along(source, _tree(network, answer, source, without), goal)
    if (source, goal) not in answer._paths:
        if source not in answer._trees:
            answer._trees[source] = _tree(network, answer, source)
        answer._paths[source, goal] = _along(source, answer._trees[source], goal)
    return answer._paths[source, goal]


def _through_converter(
    network: Network, answer: StateAnswer, source: str, goal: int, without: Collection[str]
) -> tuple[str, ...]:
    """:func:`feed_path` by way of a converter that the source feeds; () where there is none."""
    for converter in network.converters:
        name, solved = converter.element, answer.healthy
        if name in (*without, source) or converter.supply is None or not solved.fed[name][goal]:
            continue
        if solved.fed[source][converter.supply.plus[0]]:
            first = feed_path(network, answer, source, converter.supply.plus[0], without)
            return first and (*first, *feed_path(network, answer, name, goal, without))
    return ()


def _along(source: str, tree: ShortestPaths[str], goal: int) -> tuple[str, ...]:
    """The source and the elements to a node, each run of one element once; () without a path."""
    steps = tree.path(goal)
    return () if steps is None else (source, *(e for e, _ in groupby(steps) if e != source))


def _tree(
    network: Network, answer: StateAnswer, source: str, without: Collection[str] = ()
) -> ShortestPaths[str]:
    """The shortest paths from a source to all that it feeds."""
    # not the answer itself: it keeps what is made here
    fed, around = answer.healthy.fed[source], answer.onward

    def onward(node: int) -> Iterator[tuple[int, str]]:
        for other, element in around[node]:
            if fed[other] and element not in without:
                yield other, element

    return ShortestPaths(next(s.positive for s in network.sources if s.element == source), onward)


def conducts(network: Network, answer: StateAnswer, i: int, leaving: bool = True) -> bool:
    """Whether link ``i`` conducts in the healthy state, from its a end when ``leaving``."""
    return answer.conducting[not leaving][i]


def runs_in_reverse(answer: StateAnswer, user: PoweredDevice) -> bool:
    """Whether a source feeds a load at its return and has its own return at the load's supply.

    In the healthy state; for a load that is not reversible its leads are exchanged then.
    """
    healthy = answer.healthy
    return any(
        any(fed[n] for n in user.minus) and any(healthy.returned[s][n] for n in user.plus)
        for s, fed in healthy.fed.items()
    )


def _circuits(network: Network) -> Iterator[tuple[tuple[int, ...], tuple[int, ...]]]:
    """The (plus, minus) nodes of every load, coil, field and regulator; a coil either way
    round."""
    for user in (*network.consumers, *network.acting):
        yield from user.directions
    for source in network.sources:
        if source.field is not None:
            yield (source.field,), (source.negative,)
        if source.leads is not None:
            yield source.leads.plus, source.leads.minus


@record
class ShortedSource:
    """A source whose positive is joined to its own negative with no load between."""

    source: str
    state: str
    path: tuple[str, ...]


def shorted_sources(network: Network, answer: StateAnswer) -> tuple[ShortedSource, ...]:
    """Every source that the switches of a state short."""
    healthy = answer.healthy
    return tuple(
        ShortedSource(s.element, answer.state.name, feed_path(network, answer, s.element, s.negative))
        for s in network.sources
        if healthy.alive[s.element] and healthy.fed[s.element][s.negative]
    )


def powers(design: Design, network: Network, solved: Conduction, element: str) -> int:
    """The lanes in which a source is alive and its positive feeds a bus or another source."""
    ends = {s.positive for s in network.sources if s.element != element}
    ends |= {network.index[name] for name in design.of_kind(p.Bus) if name in network.index}
    return at_any(solved.fed[element], ends) & solved.alive[element] if element in solved.fed else 0
