"""Returns that are shared or lost.

Which conductors returns have in common, what the loss of one takes, and the leads between grounds.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping

from reviewer.analysis.conduction.failure_modes import OPEN
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.paths.negative_leads import lead_wires
from reviewer.analysis.wiring.circuits import is_pulsed
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, PoweredDevice, bare
from reviewer.network.search import conductors, reachable, shortest

#: what a ground lead joins: blocks, studs, structure, and the negatives of sources
_GROUNDS = (p.GroundBlock, p.Stud, p.Airframe, p.Battery, p.Alternator, p.ExternalPower)


def return_side(network: Network) -> set[int]:
    """Nodes that plain conductors join to the negative of a source."""
    return reachable(network, (s.negative for s in network.sources), conductors)


def ground_leads(design: Design, network: Network) -> tuple[str, ...]:
    """Names of the wires from one ground to another.

    Between blocks, studs, structure and the negatives of sources.
    """
    side = return_side(network)

    def is_ground(terminal: str) -> bool:
        return network.node(terminal) in side and isinstance(
            design.parts[terminal.partition(".")[0]], _GROUNDS
        )

    return tuple(n for n, w in design.wires.items() if is_ground(w.from_) and is_ground(w.to))


def necessary(network: Network, starts: Collection[int], goals: Collection[int]) -> tuple[str, ...]:
    """Cut elements: those without which no start reaches a goal by plain conductors.

    In the order of the path there.
    """
    found = None
    for start in starts:
        found = found or shortest(start, goals, lambda node: _onward(network, node, ""))
    if found is None:
        return ()
    return tuple(e for e in dict.fromkeys(found[1]) if not _reaches(network, starts, goals, e))


def _onward(network: Network, node: int, without: str) -> Iterator[tuple[int, str]]:
    for i, other, leaving in network.around[node]:
        link = network.links[i]
        if link.element != without and conductors(link, leaving):
            yield other, link.element


def _reaches(network: Network, starts: Iterable[int], goals: Collection[int], without: str) -> bool:
    return any(shortest(start, goals, lambda node: _onward(network, node, without)) for start in starts)


def star(design: Design, network: Network) -> frozenset[str]:
    """Where returns may meet: the star at the batteries.

    The wires on the negatives of batteries, and the blocks, studs and structure at their other
    ends.
    """
    found: set[str] = set()
    batteries = {f"{n}.negative" for n in design.of_kind(p.Battery)}
    for name, wire in design.wires.items():
        for one, other in ((wire.from_, wire.to), (wire.to, wire.from_)):
            if one in batteries:
                found |= {f"wires/{name}", f"parts/{other.partition('.')[0]}"}
    return frozenset(found)


@record
class SharedReturn:
    """The elements that the return of ``noisy`` has in common with that of ``instrument``.

    In the order of the path back; ``path`` goes from ``noisy`` to the last of them.
    """

    noisy: str
    instrument: str
    elements: tuple[str, ...]
    path: tuple[str, ...]


def noisy_users(design: Design) -> tuple[str, ...]:
    """Names of the alternators, starters and loads of pulsed current."""
    heavy = (n for n, part in design.parts.items() if isinstance(part, p.Alternator) or _is_starter(part))
    return tuple(dict.fromkeys((*heavy, *(n for n, part in design.parts.items() if is_pulsed(part)))))


def instrument_returns(design: Design, network: Network) -> dict[str, tuple[str, ...]]:
    """Name of each instrument -> the elements without which its return reaches no battery."""
    return {name: _path_home(design, network, name) for name in design.of_kind(p.Instrument)}


def shared_returns(
    design: Design,
    network: Network,
    noisy: str,
    returns: Mapping[str, Collection[str]],
    hearing: Collection[str],
    points: Collection[str],
) -> tuple[SharedReturn, ...]:
    """What the return of a noisy load has in common with those of instruments.

    Of an alternator, starter or load with ``returns``, before the star at the battery (``points``).
    With a pulsed load only instruments count that take sound or the signal of a sensor
    (``hearing``), with an alternator or starter all do.
    """
    part, own = design.parts[noisy], _path_home(design, network, noisy)
    heavy = isinstance(part, p.Alternator) or _is_starter(part)
    found = []
    for name, theirs in returns.items():
        common = tuple(e for e in own if e in theirs and e not in points)
        if common and name != noisy and (heavy or name in hearing):
            found.append(SharedReturn(noisy, name, common, own[: own.index(common[-1]) + 1]))
    return tuple(found)


def _path_home(design: Design, network: Network, name: str) -> tuple[str, ...]:
    part = design.parts[name]
    returns = part.returns if isinstance(part, p.Consumer) else ("ground",)
    goals = {network.node(f"{n}.negative") for n in design.of_kind(p.Battery)}
    return necessary(network, [network.node(f"{name}.{t}") for t in returns], goals)


def _is_starter(part: p.Part) -> bool:
    return isinstance(part, p.Load) and part.type == "starter"


@record
class LostGround:
    """A wire whose opening loses the return of several loads in a state."""

    wire: str
    state: str
    users: tuple[str, ...]


def lost_grounds(design: Design, network: Network, answer: StateAnswer) -> dict[str, LostGround]:
    """Return wires whose opening loses two or more loads.

    Not where all of these are channels of functions that live on: such a wire is the ground of one
    channel. Nor the negative lead of a battery: its opening loses the battery.
    """
    side, found = return_side(network), {}
    cables = lead_wires(design, network)
    for i, failure in enumerate(answer.failures):
        wire = design.wires.get(bare(failure.element)) if failure.element.startswith("wires/") else None
        if (
            failure.mode != OPEN
            or wire is None
            or failure.element in cables
            or not {network.node(wire.from_), network.node(wire.to)} <= side
        ):
            continue
        dead = [
            c
            for c in network.consumers
            if answer.healthy.powered[c.element] and not answer.failed.powered[c.element] >> i & 1
        ]
        # what dies because a relay lost its own ground has its return still
        users = (
            tuple(
                bare(c.element)
                for c in dead
                if not _reaches(network, c.minus, _feeding(network, answer, c), failure.element)
            )
            if len(dead) > 1
            else ()
        )
        lost = {name for name, lives in answer.functions.items() if answer.alive[name] and not lives >> i & 1}
        serving = {channel for name, f in design.functions.items() if name not in lost for channel in f.of}
        losing = {channel for name in lost for channel in design.functions[name].of}
        if len(users) > 1 and any(u in losing or u not in serving for u in users):
            found[failure.element] = LostGround(failure.element, answer.state.name, users)
    return found


def _feeding(network: Network, answer: StateAnswer, user: PoweredDevice) -> set[int]:
    """The negatives of the sources that feed a user in a state."""
    fed = answer.healthy.fed
    return {s.negative for s in network.sources if any(fed[s.element][n] for n in user.plus)}


def by_wire(lost: Iterable[dict[str, LostGround]]) -> dict[str, LostGround]:
    """The lost grounds of several states: of each wire the first that takes most users."""
    worst: dict[str, LostGround] = {}
    for state in lost:
        for element, ground in state.items():
            if element not in worst or len(ground.users) > len(worst[element].users):
                worst[element] = ground
    return worst
