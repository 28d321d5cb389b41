"""Main batteries that one battery feeds one way: a diode-OR feed with a diode missing in one leg.

The diodes that are left let one battery feed the loads of the other and the battery itself. Right
is such a tie only as the way on which the battery is charged.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Set

from reviewer.analysis.conduction.states import StateAnswer, feed_path
from reviewer.analysis.paths.diodes import diode_placement
from reviewer.analysis.paths.reverse_feed import ReverseFeed, ties_between
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import Network, Source, bare

_CHARGERS = ("alternator", "external-power", "charger")


def one_way_ties(
    design: Design, network: Network, answers: tuple[StateAnswer, ...], known: Iterable[ReverseFeed]
) -> Iterator[ReverseFeed]:
    """Ties through a diode by which a main battery feeds another in normal flight; ``known`` are
    not repeated.

    Left out is the way on which the other is charged: a diode of it ``protects`` that battery, or
    no alternator, charger or external power charges the battery by another way. Where none charges it in
    the state, the states in which one does decide. Left out too is a tie through a diode that is
    reversed to what it protects: that is reported of the diode.
    """
    diodes = {e for _, e in network.diodes} | set(network.coil_diodes)
    mains = [
        s for s in network.sources if s.kind == "battery" and design.parts[bare(s.element)].purpose == "main"
    ]
    paths = {(f.state, f.path) for f in known}
    for answer in answers if diodes and len(mains) > 1 else ():
        if answer.state.use != "flight" or answer.state.engine == "cranking":
            continue
        for source in mains:
            for other in mains:
                if (
                    other is source
                    or other.element in source.string
                    or not answer.healthy.fed[source.element][other.positive]
                ):
                    continue
                for path in _unwanted(design, network, answers, answer, source, other, diodes):
                    if (answer.state.name, path) not in paths:
                        leg = _leg(design, path, diodes)
                        yield ReverseFeed(
                            source.element, other.element, answer.state.name, False, path, open_leg=leg
                        )


def _unwanted(
    design: Design,
    network: Network,
    answers: tuple[StateAnswer, ...],
    answer: StateAnswer,
    source: Source,
    other: Source,
    diodes: Set[str],
) -> list[tuple[str, ...]]:
    """The paths through a diode from one battery to another that do not charge the other."""
    ties = [path for path, _ in ties_between(network, answer, source, other)]
    oneway = [path for path in ties if any(_by_diode(network, path, e) for e in diodes & {*path})]
    if not oneway:
        return []
    both_ways = {e for path in ties if path not in oneway for e in path[1:]}
    passed = {e for path in oneway for e in path if e in diodes}
    charged = [answer] if _charged(network, answer, other, ()) else answers
    if any(
        _charged(network, a, other, both_ways) and not _charged(network, a, other, both_ways | passed)
        for a in charged
    ):
        return []
    known = {e for e in passed if _charges(design, e, other) or _reversed(design, network, answers[0], e)}
    return [path for path in oneway if known.isdisjoint(path)]


def _by_diode(network: Network, path: tuple[str, ...], element: str) -> bool:
    """Whether a path passes the diode that an element is, or has inside: of a relay, from the one
    terminal of its coil to the other, and not its contacts."""
    if element not in network.coil_diodes:
        return True
    link, at = network.links[network.coil_diodes[element]], path.index(element)
    beside = [network.nodes_of[e] for e in (*path[:at][-1:], *path[at + 1 :][:1])]
    return len(beside) == 2 and link.a in beside[0] and link.b in beside[1]


def _charged(network: Network, answer: StateAnswer, battery: Source, opened: Collection[str]) -> bool:
    """Whether an alternator, a charger or external power feeds a battery though some elements are opened."""
    return any(
        feed_path(network, answer, s.element, battery.positive, opened)
        for s in network.sources
        if s.kind in _CHARGERS and answer.healthy.alive[s.element]
    )


def _charges(design: Design, diode: str, battery: Source) -> bool:
    """Whether a diode is declared to protect a battery: what passes it charges the battery."""
    part = design.parts.get(bare(diode))
    return isinstance(part, p.Diode) and part.protects == bare(battery.element)


def _reversed(design: Design, network: Network, normal: StateAnswer, diode: str) -> bool:
    """Whether a diode has the wrong side at the part that it protects."""
    part = design.parts.get(bare(diode))
    if not isinstance(part, p.Diode) or part.protects is None:
        return False
    return diode_placement(design, network, normal, bare(diode)).stands == "reversed"


def _leg(design: Design, path: tuple[str, ...], diodes: Collection[str]) -> str:
    """Where the leg begins that no diode blocks: the joint past the last diode, or the one before it
    where that diode lies in the leg the wrong way round; else the diode."""
    last = max(i for i, element in enumerate(path) if element in diodes)
    joints = [
        (i > last, e)
        for i, e in enumerate(path)
        if isinstance(design.parts.get(bare(e)), p.Bus | p.Splice | p.Stud)
    ]
    past = [e for after, e in joints if after]
    return past[0] if past else joints[-1][1] if joints else path[last]
