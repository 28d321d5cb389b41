"""Returns that lead to no source which feeds the load: what is missing, and where the return ends.

A return counts with every contact and protective device closed. A shield is the return of a sensor
at most. What a battery or external power
feeds must get back to the negative of one of these: an alternator alone does not hold it, for it
runs only with a battery.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import cached_property

from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.paths.returns import signal_returns, unknown_joints
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import CHARGES, Gate, Link, Network, PoweredDevice, Source, bare
from reviewer.network.search import ShortestPaths, anything_along, conductors, reachable, reachable_by

#: grounds, of which the farthest tells where a return ends
_GROUNDS = (p.Airframe, p.GroundBlock, p.Stud)


@record
class MissingReturn:
    """The return of ``element`` reaches the negative of none of ``sources``.

    These feed it in ``state``, or could where that is ""; () where nothing can. Of a load or coil those
    come first that no contact of a relay parts from it. For an alternator
    they are the batteries that it charges, for another source itself: nothing that it feeds returns
    to it. ``path`` leads from the element as far as its return goes, to a ground where there is
    one.
    """

    element: str
    sources: tuple[str, ...]
    state: str
    path: tuple[str, ...]


def unsaid_structure(design: Design, missing: MissingReturn) -> str:
    """See :meth:`reviewer.analysis.paths.answers.Paths.unsaid_structure`."""
    if design.aircraft.airframe == "metal":
        return ""
    wire = design.wires.get(bare(missing.path[-1])) if missing.path else None
    ends = [getattr(design.parts[bare(missing.element)], "mounted_on", None)]
    ends += [wire.from_, wire.to] if wire else []
    for part, name in ((design.parts[n], n) for n in (end.partition(".")[0] for end in ends if end)):
        if isinstance(part, p.Airframe) and part.material is None:
            return name
    return ""


class MissingReturns:
    """The missing returns of a design, in the declared states ``answers``.

    With ``unknown_joined`` an instrument whose signal returns are not declared joins them to its
    power return.
    """

    def __init__(
        self, design: Design, network: Network, answers: Sequence[StateAnswer], unknown_joined: bool = False
    ):
        self.design, self.network, self.answers = design, network, answers
        self.users = {u.element: u for u in (*network.consumers, *network.coils)}
        self.sources = {s.element: s for s in network.sources}
        self._joints = unknown_joints(design, network) if unknown_joined else {}
        self._fed = {s.element: reachable(network, [s.positive], anything_along) for s in network.sources}
        self._home = {s.element: self._reaching({s.negative}) for s in network.sources}

    def missing(self, element: str) -> MissingReturn | None:
        """What is missing of the return of a load, instrument, coil, sensor or source.

        None as well for a load where the sources that feed it get nothing back from anything: the
        failure is theirs.
        """
        if element in self.sources:
            return self._of_source(self.sources[element])
        return self._of_user(self.users[element]) if element in self.users else self._of_sensor(element)

    def _of_user(self, user: PoweredDevice) -> MissingReturn | None:
        ends = user.outlets
        if not user.either_way and all(not home.isdisjoint(ends) for home in self._home.values()):
            return None  # whatever feeds it, in any state
        for state, fed in self._feeding(user):
            if not any(self._returns(user, s, fed[s]) for s in fed) and not self._fail_themselves(fed):
                sources = self._nearest_first(user, fed)
                return MissingReturn(user.element, sources, state, self._as_far(user.element, ends))
        if not any(self._feeding(user)) and not any(home.intersection(ends) for home in self._home.values()):
            return MissingReturn(user.element, (), "", self._as_far(user.element, ends))
        return None

    def _nearest_first(self, user: PoweredDevice, fed: Collection[str]) -> tuple[str, ...]:
        """Sources that feed a user, first those that no contact of a relay parts from it: its own."""
        return tuple(sorted(fed, key=lambda source: self._past_no_relay[source].isdisjoint(user.inlets)))

    @cached_property
    def _past_no_relay(self) -> Mapping[str, set[int]]:
        def passes(link: Link, leaving: bool) -> bool:
            return anything_along(link, leaving) and link.gate not in (Gate.ENERGISED, Gate.DE_ENERGISED)

        return {e: reachable(self.network, [s.positive], passes) for e, s in self.sources.items()}

    def _fail_themselves(self, sources: Collection[str]) -> bool:
        return all(self._of_source(self.sources[s]) for s in sources)

    def _of_source(self, source: Source) -> MissingReturn | None:
        if source.kind == "converter" and source.supply is not None:
            return self._of_user(source.supply)
        if source.kind not in CHARGES:
            own = source.element in self._adrift
            path = self._as_far(source.element, [source.negative])
            return MissingReturn(source.element, (source.element,), "", path) if own else None
        for state, batteries in self._charged(source):
            if not any(source.negative in self._home[b] for b in batteries):
                path = self._as_far(source.element, [source.negative])
                return MissingReturn(source.element, batteries, state, path)
        return None

    def _of_sensor(self, element: str) -> MissingReturn | None:
        """A sensor returns to an instrument that reads it, or to a source that feeds that."""
        own = self.network.node(f"{bare(element)}.return")
        readers, goals = signal_returns(self.design, self.network, bare(element))
        feeding = [fed for name in readers for _, fed in self._feeding(self.users[f"parts/{name}"])]
        named = tuple(dict.fromkeys(s for fed in feeding for s in fed)) or tuple(self.sources)
        goals |= {self.sources[s].negative for s in named}
        if own in self._reaching(goals, shields=True):
            return None
        return MissingReturn(element, named if feeding else (), "", self._as_far(element, [own]))

    def _feeding(self, user: PoweredDevice) -> Iterator[tuple[str, dict[str, Collection[int]]]]:
        """The sources that feed a user in each declared state in which any does, with what they do.

        Where there is no such state, those that could. Alternators only where nothing else does.
        """
        ends, found = user.inlets, False
        for answer in self.answers:
            fed = {s: [n for n in ends if answer.healthy.fed[s][n]] for s in self.sources}
            if kept := self._steady(fed):
                found = True
                yield answer.state.name, kept
        could = self._steady({s: [n for n in ends if n in self._fed[s]] for s in self.sources})
        if could and not found:
            yield "", could

    def _steady(self, fed: dict[str, list[int]]) -> dict[str, Collection[int]]:
        feeding = {s: nodes for s, nodes in fed.items() if nodes}
        return {s: n for s, n in feeding.items() if self.sources[s].kind not in CHARGES} or {**feeding}

    def _returns(self, user: PoweredDevice, source: str, fed: Collection[int]) -> bool:
        """Whether a user that a source feeds at some nodes returns to it from the others."""
        home = self._home[source]
        if user.either_way:
            both = {*user.plus, *user.minus}
            return any(home.intersection(both - {node}) for node in fed)
        return not home.isdisjoint(user.minus)

    @cached_property
    def _adrift(self) -> frozenset[str]:
        """The sources that feed several users and get nothing back from any; no alternators."""
        found = set()
        for name, source in self.sources.items():
            returns = {u.element: self._returns(u, name, fed) for u, fed in self._fed_by(name)}
            if source.kind not in CHARGES and len(returns) > 1 and not any(returns.values()):
                found.add(name)
        return frozenset(found)

    def _fed_by(self, source: str) -> Iterator[tuple[PoweredDevice, tuple[int, ...]]]:
        """The users that a source feeds in some declared state, with the nodes where it does.

        Where it feeds none, those that it could.
        """
        feeds = [a.healthy.fed[source] for a in self.answers]
        live = [n for n in range(len(self.network.names)) if any(fed[n] for fed in feeds)]
        for reach in (frozenset(live), self._fed[source]):
            users = [(u, tuple(n for n in u.inlets if n in reach)) for u in self.users.values()]
            users = [(user, fed) for user, fed in users if fed]
            if users:
                yield from users
                return

    def _charged(self, alternator: Source) -> Iterator[tuple[str, tuple[str, ...]]]:
        """The batteries that an alternator feeds in each declared state in which it does.

        Where there is no such state, those that it could. Not those adrift.
        """
        batteries = [s for s in self.network.sources if s.kind == "battery" and s.element not in self._adrift]
        found = False
        for answer in self.answers:
            fed = answer.healthy.fed[alternator.element]
            if charged := tuple(b.element for b in batteries if fed[b.positive]):
                found = True
                yield answer.state.name, charged
        could = tuple(b.element for b in batteries if b.positive in self._fed[alternator.element])
        if could and not found:
            yield "", could

    def _reaching(self, goals: Collection[int], shields: bool = False) -> set[int]:
        """The nodes from which current can reach one of some goals."""

        def passes(link: Link, leaving: bool) -> bool:
            return not (leaving and link.oneway) and (shields or link.gate is not Gate.SHIELD)

        if not self._joints:
            return reachable(self.network, goals, passes)

        def back(node: int) -> Iterator[int]:
            for i, other, leaving in self.network.around[node]:
                if passes(self.network.links[i], leaving):
                    yield other
            yield from (other for _, other in self._joints.get(node, ()))

        return reachable_by(goals, back)

    def _as_far(self, element: str, ends: Collection[int]) -> tuple[str, ...]:
        """The elements from some ends of an element to the farthest ground that they are joined to.

        The element alone where there is none.
        """
        network = self.network

        def onward(node: int) -> Iterator[tuple[int, str]]:
            for i, other, leaving in network.around[node]:
                if conductors(network.links[i], leaving):
                    yield other, network.links[i].element

        grounds = {n for name in self.design.of_kind(_GROUNDS) for n in network.nodes_of[f"parts/{name}"]}
        for end in ends:
            trees, joined = ShortestPaths(end, onward), reachable(network, [end], conductors)
            steps = [trees.path(node) or [] for node in sorted(joined & grounds)]
            if steps:
                return tuple(dict.fromkeys((element, *max(steps, key=len))))
        return (element,)
