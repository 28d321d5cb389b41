"""Where a path that joins two sources is parted in a trial, so that each source keeps its loads."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from itertools import pairwise
from types import MappingProxyType

from reviewer.analysis.conduction.states import feed_path
from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import CHARGES, Network, bare
from reviewer.network.search import reachable_by
from reviewer.rulebook.trial_repairs import (
    Change,
    feed_of,
    oriented,
    part_of,
    parted,
    short_lead,
    unused_name,
)

#: an ideal diode of a trial: forward drop in V, and the rating in A at which it has it
_DROP_V, _RATED_A = 0.02, 100.0


def kept_apart(path: Sequence[str], common: Collection[str], state: str, facts: Facts) -> tuple[Change, ...]:
    """Ways to part a path from one source to another where each keeps its loads, the milder one first.

    A source that only this path charges is charged on, and no longer feeds what is beyond, nor, where that
    does not do, the loads at the joint; else one load connected there is fed from one side alone, and several
    from either side by diodes.
    """
    design = facts.design
    run = oriented(path, design)
    hanging = _hanging(run, path, state, facts)
    loads = [len(users) for users in hanging]
    at = _joint(run, loads, _strays(path[0], hanging, facts), common)
    if at is None:
        return ()
    (first, near, far), (second, other_near, other_far) = run[at], run[at + 1]
    charged = _charged_without(path[0], f"wires/{first}", facts)
    tie = () if charged or not loads[at] else (with_diode(design, second, other_far, other_near),)
    if (sum(loads[:at]) or _feeds_apart(path[0], path, facts)) and not charged:
        return (*tie, with_diode(design, first, far, near))
    one, other = with_diode(design, first, near, far), with_diode(design, second, other_far, other_near)
    either = Change({**one.moved, **other.moved}, {**one.wires, **other.wires}, {**one.parts, **other.parts})
    open_end = parted(second, other_near, design)
    return (*tie, *((either, open_end) if loads[at] > 1 else (open_end, either)))


def contacts_apart(path: Sequence[str], state: str, facts: Facts) -> tuple[Change, ...]:
    """Ways to part a path in a switch whose position in a state joins several pairs of its terminals: one
    of the pairs on the path is not joined in that position."""
    design, found = facts.design, list[Change]()
    at = dict(facts.states.answer(state).switches) if state else {}
    ends = {end for _, *both in oriented(path, design) for end in both}
    for name in (bare(e) for e in path if e.startswith("parts/")):
        part, position = design.parts[name], at.get(name, "")
        pairs = part.positions.get(position, ()) if isinstance(part, p.Switch) else ()
        for pair in pairs if len(pairs) > 1 else ():
            if ends.intersection(f"{name}.{terminal}" for terminal in pair):
                left = tuple(other for other in pairs if other != pair)
                positions = MappingProxyType({**part.positions, position: left})
                found.append(Change(parts={name: part.model_copy(update={"positions": positions})}))
    return tuple(found)


def charged_apart(battery: str, facts: Facts) -> dict[tuple[str, ...], list[Change]]:
    """Ways to keep another battery from feeding a battery (an element) through the lead by which the other
    is charged: a diode in a wire of that lead, those that are nearer to the charger first. By the elements
    of both paths.
    """
    network, found = facts.network, dict[tuple[str, ...], list[Change]]()
    at = {s.element: s.charged_at for s in network.sources if s.kind == "battery"}
    for answer in facts.states.answers():
        chargers = [
            s.element for s in network.sources if s.kind in CHARGES and answer.healthy.alive[s.element]
        ]
        for other in (one for one in at if one != battery):
            feed = feed_path(network, answer, other, at[battery])
            against = {wire: (near, far) for wire, near, far in oriented(feed, facts.design)}
            for charger in chargers if feed else ():
                charging = feed_path(network, answer, charger, at[other])
                for wire, near, far in oriented(charging, facts.design):
                    if against.get(wire) == (far, near):
                        path = tuple(dict.fromkeys((*charging, *feed)))
                        change = with_diode(facts.design, wire, near, far)
                        found.setdefault(path, []).append(change)
    return found


def _hanging(
    run: Sequence[tuple[str, str, str]], path: Collection[str], state: str, facts: Facts
) -> list[list[str]]:
    """The loads that hang at the far end of each wire of a run."""
    hanging: list[list[str]] = [[] for _ in run]
    number = {part_of(far): i for i, (_, _, far) in enumerate(run)}
    steps = set(path)
    for user in facts.network.consumers:
        fed = feed_of(user.element, state, facts)
        at = [number[bare(e)] for e in fed if (e in steps or e == user.element) and bare(e) in number]
        if at:
            hanging[at[-1]].append(bare(user.element))
    return hanging


def _strays(source: str, hanging: Sequence[Sequence[str]], facts: Facts) -> list[int]:
    """How many loads get another source than their own where a run is parted at each joint: a reserve has
    those that it is dedicated to and no other, another source those that are nearer to it than to the
    end of the run."""
    part = facts.design.parts[bare(source)]
    own: Collection[str] | None = None
    if isinstance(part, p.Battery) and part.purpose == "reserve":
        named = [name for name in part.dedicated_to if name in facts.design.functions]
        own = {*part.dedicated_to, *(load for name in named for load in facts.states.loads_of(name))}
    middle = (len(hanging) - 1) / 2
    mine = [[k < middle if own is None else user in own for user in users] for k, users in enumerate(hanging)]
    return [
        sum(sum(loads) for loads in mine[i + 1 :])
        + sum(not one for loads in mine[: i + (own is not None)] for one in loads)
        for i in range(len(hanging))
    ]


def _joint(
    run: Sequence[tuple[str, str, str]], loads: Sequence[int], strays: Sequence[int], common: Collection[str]
) -> int | None:
    """Where to part a run of wires: the number of the wire before the joint with the fewest strays; of
    those the one with the fewest loads, but with some."""
    scores = [
        (strays[i], not loads[i], loads[i], abs(2 * i + 2 - len(run)), i)
        for i, (one, other) in enumerate(pairwise(run))
        if {f"wires/{one[0]}", f"wires/{other[0]}"} & set(common)
    ]
    return min(scores)[-1] if scores else None


def _charged_without(source: str, wire: str, facts: Facts) -> bool:
    """Whether current from another source that charges reaches a source without a wire, in a declared state
    of flight; in any position of the contacts where no state is declared."""
    network = facts.network
    goal = next(s.charged_at for s in network.sources if s.element == source)
    start = [s.positive for s in network.sources if s.element != source and s.kind != "battery"]
    if not facts.design.operation:
        return goal in _reached(start, {wire}, network)
    return any(goal in _reached(start, {wire}, network, a.closed) for a in facts.states.flight_answers())


def _feeds_apart(source: str, path: Collection[str], facts: Facts) -> bool:
    """Whether a source feeds a load without the wires of a path, in some position of the contacts."""
    network = facts.network
    start = [s.positive for s in network.sources if s.element == source]
    reached = _reached(start, {e for e in path if e.startswith("wires/")}, network)
    return any(reached.intersection(user.plus) for user in network.consumers)


def _reached(
    start: Collection[int], without: Collection[str], network: Network, closed: Sequence[object] | None = None
) -> set[int]:
    """The nodes that current from some nodes reaches without some elements; by links that are closed where
    that is known of each."""

    def onward(node: int) -> Iterator[int]:
        for i, other, leaving in network.around[node]:
            link = network.links[i]
            passes = link.element not in without and (leaving or not link.oneway)
            if passes and (closed is None or closed[i]):
                yield other

    return reachable_by(start, onward)


def with_diode(design: Design, wire: str, anode: str, cathode: str) -> Change:
    """A diode in a wire, at the end at ``cathode``."""
    name = unused_name(design, f"{wire} diode")
    ideal = p.Diode(kind="diode", duty="steering", technology="ideal")
    part = ideal.model_copy(update={"drop": _DROP_V, "rating": _RATED_A})
    lead = short_lead(design, wire, f"{name}.cathode", cathode)
    return Change({wire: {cathode: f"{name}.anode"}}, {f"{name} lead": lead}, {name: part})
