"""Wires that alone carry back what a protective device protects.

A device lets its rating through without opening, whatever draws it: a failed load, a shorted cell
of a battery under charge. All of it comes back by the return, so that the return is protected by
the device that feeds the load. The one nearest to the load counts, in each declared state; a load
that no declared state feeds counts where one switch moved from the normal state feeds it. The
winding of a coil limits itself, so that the thin wire of its return is left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reviewer.analysis.conduction.circuit_paths import path_back, path_to
from reviewer.analysis.conduction.feeds import feeding_of
from reviewer.analysis.conduction.states import StateAnswer, conducts
from reviewer.analysis.wiring.peak_drop import fed_by_a_move
from reviewer.model.design import Design
from reviewer.model.record import record
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


def return_duties(
    design: Design, network: Network, answers: Sequence[StateAnswer]
) -> dict[str, tuple[ReturnDuty, ...]]:
    """Wire (its pointer) -> what it alone carries back, each user and protector once.

    Not a wire in parallel with another way back, nor the return of what a source reaches with no
    protective device between. Shields are no way back.
    """
    found: dict[str, dict[tuple[str, str], ReturnDuty]] = {}
    moved_answers = ((answer, True) for answer in _moved(design, network, answers))
    for answer, moved in (*((answer, False) for answer in answers), *moved_answers):
        for user, protectors, goals in _protected_users(design, network, answer):
            for wire in _sole_wires(network, answer, user.minus, goals):
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
            yield _User(consumer.element, consumer.plus, consumer.minus)
    for source in network.sources:
        if getattr(design.parts[bare(source.element)], "purpose", None) == "reserve":
            yield _User(source.element, (source.positive,), (source.negative,), own=True)


def _sole_wires(
    network: Network, answer: StateAnswer, starts: Sequence[int], goals: frozenset[int]
) -> tuple[str, ...]:
    """The wires without which none of some nodes reaches any of the goals in a state."""

    def path(element: str) -> list[str] | None:
        def onward(node: int) -> Iterator[tuple[int, str]]:
            for i, other, leaving in network.around[node]:
                link = network.links[i]
                barred = link.gate is Gate.SHIELD or link.element == element
                if not barred and conducts(network, answer, i, leaving):
                    yield other, link.element

        found = (shortest(start, goals, onward) for start in starts)
        return next((way[1] for way in found if way is not None), None)

    wires = (e for e in dict.fromkeys(path("") or ()) if e.startswith("wires/"))
    return tuple(wire for wire in wires if path(wire) is None)
