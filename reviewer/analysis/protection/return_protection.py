"""Wires that alone carry back what a protective device protects.

A device lets its rating through without opening, whatever draws it: a failed load, a shorted cell
of a battery under charge. All of it comes back by the return, so that the return is protected by
the device that feeds the load. The one nearest to the load counts, in each declared state; a load
that no declared state feeds counts where one switch moved from the normal state feeds it. The
winding of a coil limits itself, so that the thin wire of its return is left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from reviewer.analysis.conduction.circuit_paths import path_back, path_to
from reviewer.analysis.conduction.feeds import feeding_of
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.wiring.peak_drop import fed_by_a_move
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.contraction import cut_dead_ends
from reviewer.network.graph import Gate, Network, bare
from reviewer.network.search import shortest


@record
class ReturnDuty:
    """A wire that alone carries back to the sources what ``user`` gets through ``protector``.

    The user is a load, an instrument or a reserve battery under charge, by name; so is the
    protector. ``answer`` is the first state in which it is so, or the normal state with one switch
    ``moved``.
    """

    user: str
    protector: str
    answer: StateAnswer
    moved: bool

    @property
    def state(self) -> str:
        """The declared state; "" where a switch is moved from it."""
        return "" if self.moved else self.answer.state.name


def return_loop(duty: ReturnDuty, wire: str) -> tuple[str, ...]:
    """The feed of the user through the protective device, and its return through a wire."""
    user = f"parts/{duty.user}"
    feed = path_to(duty.answer, user, (f"parts/{duty.protector}",))
    return (*feed, *path_back(duty.answer, user, (wire,))[1:])


@record
class _User:
    """What takes current from ``plus`` to ``minus``; ``own`` where it is a source itself."""

    element: str
    plus: tuple[int, ...]
    minus: tuple[int, ...]
    own: bool = False


#: from a node to another by an element
_Step = tuple[int, str]
#: (nodes, goals) -> the wires without which none of the nodes reaches any of the goals
_Known = dict[tuple[tuple[int, ...], frozenset[int]], tuple[str, ...] | None]
#: as ``pendant`` of a contracted graph
_DeadEnds = Mapping[int, tuple[int, bool, int]]


def return_duties(
    design: Design, network: Network, answers: Sequence[StateAnswer]
) -> dict[str, tuple[ReturnDuty, ...]]:
    """Wire (its pointer) -> what it alone carries back, each user and protector once.

    Not a wire in parallel with another way back, nor the return of what a source reaches with no
    protective device between. Shields are no way back.
    """
    found: dict[str, dict[tuple[str, str], ReturnDuty]] = {}
    dead_ends = _dead_ends(network)
    moved_answers = ((answer, True) for answer in _moved(design, network, answers))
    for answer, moved in (*((answer, False) for answer in answers), *moved_answers):
        ways_back = _WaysBack(network, answer, dead_ends)
        for user, protectors, goals in _protected_users(design, network, answer):
            for wire in ways_back.sole(user.minus, goals):
                for protector in map(bare, protectors):
                    duty = ReturnDuty(bare(user.element), protector, answer, moved)
                    found.setdefault(wire, {}).setdefault((duty.user, protector), duty)
    return {wire: tuple(duties.values()) for wire, duties in found.items()}


def _moved(design: Design, network: Network, answers: Sequence[StateAnswer]) -> list[StateAnswer]:
    """The normal state with one switch moved, for loads that no declared state feeds."""
    if not answers:
        return []
    unfed = [c.element for c in network.consumers if not any(a.healthy.powered[c.element] for a in answers)]
    places = fed_by_a_move(design, network, answers[0], unfed)
    return list({place.moved: place.answer for place in places.values()}.values())


def _protected_users(
    design: Design, network: Network, answer: StateAnswer
) -> Iterator[tuple[_User, tuple[str, ...], frozenset[int]]]:
    """Users that are fed through protective devices alone: (user, the devices, negatives).

    The devices are the nearest ones, the negatives those of the sources that feed the user.
    """
    users = list(_users(design, network, answer))
    ends = [(node, "") for user in users for node in user.plus]
    fed = iter(feeding_of(network, [answer], ends)[0]) if ends else iter(())
    negatives = {s.element: s.negative for s in network.sources}
    for user in users:
        for node in user.plus:
            sources, protectors = next(fed)
            own = {user.element} if user.own else set()
            goals = frozenset(negatives[s] for s in answer.fed_by(node) if s not in own)
            if protectors and goals and not set(sources) - own:
                yield user, protectors, goals


def _users(design: Design, network: Network, answer: StateAnswer) -> Iterator[_User]:
    for consumer in network.consumers:
        if answer.healthy.powered[consumer.element]:
            healthy, ways = answer.healthy, consumer.directions
            plus, minus = next(
                (way for way in ways if any(healthy.live(n) for n in way[0]) and _returns(answer, way[1])),
                ways[0],
            )
            yield _User(consumer.element, plus, minus)
    for source in network.sources:
        if getattr(design.parts[bare(source.element)], "purpose", None) == "reserve":
            yield _User(source.element, (source.positive,), (source.negative,), own=True)


def _returns(answer: StateAnswer, nodes: Sequence[int]) -> bool:
    """Whether any of some nodes returns to a source."""
    return any(back[n] for back in answer.healthy.returned.values() for n in nodes)


def _dead_ends(network: Network) -> _DeadEnds:
    """The dead ends of what return current may pass, but for the negatives of sources and users with
    several returns."""
    around = [
        {
            i: (other, leaving)
            for i, other, leaving in steps
            if other != n and network.links[i].gate is not Gate.SHIELD
        }
        for n, steps in enumerate(network.around)
    ]
    wanted = {s.negative for s in network.sources}
    for consumer in network.consumers:
        for nodes in (consumer.plus, consumer.minus):
            wanted.update(nodes if len(nodes) > 1 else ())
    return cut_dead_ends(around, wanted)


class _WaysBack:
    """The ways from users back to the sources of a state: dead ends lead on to their parents, all else
    is searched."""

    def __init__(self, network: Network, answer: StateAnswer, dead_ends: _DeadEnds):
        self.network, self.conducting, self.dead_ends = network, answer.conducting, dead_ends
        links, (forth, back) = network.links, answer.conducting
        #: for each node off the dead ends the others to which current can go on, with the elements between
        self.steps: list[tuple[_Step, ...]] = [()] * len(network.around)
        for node, around in enumerate(network.around):
            if node not in dead_ends:
                self.steps[node] = tuple(
                    [
                        (other, links[i].element)
                        for i, other, leaving in around
                        if (forth if leaving else back)[i]
                        and other not in dead_ends
                        and links[i].gate is not Gate.SHIELD
                    ]
                )
        self.known: _Known = {}

    def sole(self, starts: tuple[int, ...], goals: frozenset[int]) -> tuple[str, ...]:
        """:func:`_sole_wires`; () where none of some nodes reaches any of the goals."""
        passed: list[str] = []
        while len(starts) == 1 and starts[0] in self.dead_ends:
            i, into, parent = self.dead_ends[starts[0]]
            if not self.conducting[into][i]:
                return ()
            passed.append(self.network.links[i].element)
            starts = (parent,)
        rest = _back_by(self.steps, starts, goals, self.known)
        return () if rest is None else (*(e for e in passed if e.startswith("wires/")), *rest)


def _back_by(
    steps: Sequence[Sequence[_Step]], starts: tuple[int, ...], goals: frozenset[int], known: _Known
) -> tuple[str, ...] | None:
    """:func:`_sole_wires`, by what is ``known`` of the place to which the only way leads."""
    passed: dict[int, str] = {}
    while len(starts) == 1 and starts[0] not in goals and starts[0] not in passed:
        (node,) = starts
        onward = [step for step in steps[node] if step[0] not in passed]
        if len(onward) != 1:
            break
        ((other, passed[node]),) = onward
        starts = (other,)
    if (starts, goals) not in known:
        known[starts, goals] = _sole_wires(steps, starts, goals)
    rest = known[starts, goals]
    return None if rest is None else (*(e for e in passed.values() if e.startswith("wires/")), *rest)


def _sole_wires(
    steps: Sequence[Sequence[_Step]], starts: Sequence[int], goals: frozenset[int]
) -> tuple[str, ...] | None:
    """The wires without which none of some nodes reaches any of the goals; None where none does.

    They lie on any one way. What is reached grows along it: where it stops short of all that comes
    after the next wire, that wire is one of them, and is passed.
    """
    ways = (
        shortest(start, goals, lambda node: ((step[0], step) for step in steps[node])) for start in starts
    )
    nearest = next((found[1] for found in ways if found is not None), None)
    if nearest is None:
        return None
    way = [element for _, element in nearest if element.startswith("wires/")]
    place = {wire: i for i, wire in enumerate(way)}
    #: node of the way -> how many of its wires come before
    before: dict[int, int] = {}
    count = 0
    for node, element in nearest:
        count += element in place
        before[node] = count
    sole: list[str] = []
    reached, todo, passed = set(starts), list(starts), 0
    waiting: list[tuple[int, int]] = []
    while passed < len(way):
        while todo:
            for other, element in steps[todo.pop()]:
                at = place.get(element, -1)
                if at >= passed:
                    waiting.append((at, other))
                elif other not in reached:
                    reached.add(other)
                    todo.append(other)
        if not reached.isdisjoint(goals):
            return tuple(sole)
        beyond = max((wires for node, wires in before.items() if node in reached), default=0)
        if beyond <= passed:
            sole.append(way[passed])
            beyond = passed + 1
        passed = beyond
        ready = {other for at, other in waiting if at < passed} - reached
        waiting = [(at, other) for at, other in waiting if at >= passed]
        reached |= ready
        todo = list(ready)
    return tuple(sole)
