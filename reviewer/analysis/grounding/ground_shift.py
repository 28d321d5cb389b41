"""Ground shift: how far returns rise when a ground lead opens, and stray currents.

A stray current is one that then flows through wires that carry signals.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.grounding.shared_returns import return_side
from reviewer.analysis.operating_point.assumptions import Assumptions
from reviewer.analysis.operating_point.resistances import resistor
from reviewer.analysis.operating_point.solved_state import OperatingPoint
from reviewer.analysis.ratings.wire import TABLE_C, temperature_factor
from reviewer.analysis.wiring.circuits import signal_wires
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.biconnected import blocks
from reviewer.network.graph import Gate, Network, bare
from reviewer.network.search import CheapestPaths, conductors, reachable
from reviewer.tables.practice import practice

#: a return may stand this far from the negative of a source when one ground lead is open, volts:
#: common practice (no published source)
MOST_RISE_V = practice("volts", "return-shift-with-a-lead-open").high
#: the quick estimate is believed up to this share of the limit; our own
NEAR = 0.8
#: a path of more than so many times the least resistance carries little of a current; our own
LONGER = 4.0
#: a wire that carries a signal may carry this much of a stray return current, amperes: common
#: practice (no published source)
MOST_STRAY_A = practice("amperes", "stray-current-in-a-signal-wire").high

#: the operating point with some failures
Failed = Callable[[tuple[Failure, ...]], OperatingPoint]


@record
class ReturnSide:
    """Ohms of the plain conductors of the return side, by index of link.

    ``unsized`` is element -> the key that is missing.
    """

    ohms: Mapping[int, float]
    unsized: Mapping[str, str]


def return_ohms(design: Design, network: Network) -> ReturnSide:
    """The resistances of the return side, at the temperature of the operating points."""
    warm = temperature_factor(TABLE_C if design.aircraft.ambient is None else design.aircraft.ambient)
    notes, side, ohms = Assumptions(), return_side(network), {}
    for i, link in enumerate(network.links):
        if link.a in side and link.b in side and conductors(link, True):
            found = resistor(design, link, notes)
            ohms[i] = found.ohms * (warm if found.copper else 1.0)
    return ReturnSide(ohms, notes.unsized)


@record
class Rise:
    """When ``lead`` opens, the return of ``user`` rises by ``volts``.

    That is from the nearest negative of a source on its side. ``missing`` is element -> key, where
    the answer depends on what the file lacks; ``user`` is empty where nothing is powered.
    """

    lead: str
    state: str
    user: str
    volts: float
    missing: Mapping[str, str]
    #: the typical values that it rests on, as numbers of a finding
    assumed: tuple[tuple[str, str], ...] = ()
    most: float = MOST_RISE_V


def rise(
    network: Network,
    side: ReturnSide,
    lead: str,
    healthy: OperatingPoint,
    failed: Failed,
    paths: ReturnPaths | None = None,
) -> Rise:
    """How far the worst return rises when a ground lead opens, volts.

    At first each return takes the path of least resistance to a source, all currents as they are.
    The failure is solved in full only where that comes near the limit: currents that share several
    paths drop less. ``paths`` are those without the lead, which serve every point.
    """
    paths = paths or ReturnPaths(network, side, lead)
    user, volts, missing = _along_one_path(network, side, paths, healthy)
    if missing or volts <= NEAR * MOST_RISE_V:
        return Rise(lead, healthy.state, user, volts, missing)
    point = failed((Failure(lead, OPEN),))
    return Rise(lead, healthy.state, *_worst(network, point, lead), {}, typical_values(network, side, point))


def typical_values(network: Network, side: ReturnSide, point: OperatingPoint) -> tuple[tuple[str, str], ...]:
    """The typical resistances of the return side that an operating point depends on.

    As a row of a finding, (what they are, in words); () where there are none.
    """
    elements = {network.links[i].element for i in side.ohms} - {c.element for c in network.consumers}
    told = "; ".join(str(assumed) for assumed in point.assumed if elements.intersection(assumed.elements))
    return (("typical values", told),) if told else ()


def _along_one_path(
    network: Network, side: ReturnSide, paths: ReturnPaths, point: OperatingPoint
) -> tuple[str, float, dict[str, str]]:
    amps: dict[int, float] = {}
    users: dict[str, Sequence[int]] = {}
    for consumer in network.consumers:
        if (taken := point.taken[consumer.element]) > 0:
            links = paths.of(consumer.directions[consumer.element in point.reversed][1])
            if links is not None:
                users[consumer.element] = links
                for link in links:
                    amps[link] = amps.get(link, 0.0) + taken
    worst, drops = ("", 0.0), {link: through * side.ohms[link] for link, through in amps.items()}
    missing: dict[str, str] = {}
    for element, links in users.items():
        volts = sum([drops[link] for link in links], 0.0)
        if side.unsized:
            passed = [network.links[link].element for link in links]
            missing |= {e: side.unsized[e] for e in passed if e in side.unsized}
        if volts > worst[1]:
            worst = (bare(element), volts)
    return *worst, {**missing, **(point.undrawn if users else {})}


class ReturnPaths:
    """The paths of least resistance from each return to a source, none by ``lead``. ``whole`` are those
    with it, where they are known: most do not pass it."""

    def __init__(self, network: Network, side: ReturnSide, lead: str, whole: ReturnPaths | None = None):
        self._paths = return_paths(side, network, (s.negative for s in network.sources), lead)
        self._whole, self._lead = whole, frozenset(network.links_of.get(lead, ()))
        self._known: dict[tuple[int, ...], Sequence[int] | None] = {}

    def of(self, returns: tuple[int, ...]) -> Sequence[int] | None:
        """The links from the nearest of some return terminals to a source; None where none leads
        there."""
        if returns not in self._known:
            with_it = self._whole.of(returns) if self._whole else None
            if with_it and self._lead.isdisjoint(with_it):
                self._known[returns] = with_it
                return with_it
            paths = self._paths
            nearest = min((n for n in returns if n in paths), key=paths.cost_of, default=None)
            self._known[returns] = None if nearest is None else paths.steps(nearest)[::-1]
        return self._known[returns]


def return_paths(
    side: ReturnSide, network: Network, goals: Iterable[int], lead: str = ""
) -> CheapestPaths[int]:
    """The paths of least resistance from each node to one of ``goals``, on the return side.

    None of them passes ``lead``. Steps are indexes of links, from the goal on; costs are ohms.
    """

    def onward(node: int) -> Iterator[tuple[int, float, int]]:
        for i, other, _ in network.around[node]:
            if i in side.ohms and network.links[i].element != lead:
                yield other, side.ohms[i], i

    return CheapestPaths(goals, onward)


def _worst(network: Network, point: OperatingPoint, opened: str) -> tuple[str, float]:
    """The powered load whose return stands farthest from the negatives of its sources.

    With the volts by which it does.
    """
    side: dict[int, list[float]] = {}
    for source in network.sources:
        name = network.names[source.negative]
        if name in point.volts:
            for node in reachable(
                network,
                [source.negative],
                lambda link, leaving: conductors(link, leaving) and link.element != opened,
            ):
                side.setdefault(node, []).append(point.volts[name])
    found = ("", 0.0)
    for consumer in network.consumers:
        node = consumer.directions[consumer.element in point.reversed][1][0]
        if point.taken[consumer.element] > 0 and node in side:
            found = max(
                found,
                (bare(consumer.element), min(abs(point.volts[network.names[node]] - v) for v in side[node])),
                key=lambda f: f[1],
            )
    return found


def carrying(design: Design, network: Network, side: ReturnSide, heavy: Mapping[str, str]) -> dict[str, str]:
    """Those of some heavy wires that carry their share of the current.

    On the return side: wires of which the best path has no more than four times the least
    resistance.
    """
    mains = [n for n in design.of_kind(p.Battery) if design.parts[n].purpose == "main"]
    goals = [network.node(f"{n}.negative") for n in mains]
    found = {}
    for element, name in heavy.items():
        link = network.links_of[element][0]
        starts = [network.node(f"{name}.{t}") for t in _return_terminals(design.parts[name])]
        if link not in side.ohms or _carries_its_share(network, side, element, link, starts, goals):
            found[element] = name
    return found


def _return_terminals(part: p.Part) -> tuple[str, ...]:
    if isinstance(part, p.Consumer):
        return part.returns
    return ("negative",) if isinstance(part, (p.ExternalPower, p.Charger)) else ("ground",)


def _carries_its_share(
    network: Network, side: ReturnSide, element: str, link: int, starts: list[int], goals: list[int]
) -> bool:
    every = return_paths(side, network, goals)
    least = min((every.cost_of(n) for n in starts if n in every), default=0.0)
    out = return_paths(side, network, starts, element)
    home = return_paths(side, network, goals, element)
    ends = network.links[link].a, network.links[link].b
    through = min(
        (
            out.cost_of(a) + side.ohms[link] + home.cost_of(b)
            for a, b in (ends, ends[::-1])
            if a in out and b in home
        ),
        default=math.inf,
    )
    return through <= LONGER * least or not least


@record
class Suspect:
    """A signal wire, or its shield, that closes a loop with other return conductors.

    ``leads`` are the wires of that loop that could open.
    """

    wire: str
    shield: bool
    leads: tuple[str, ...]


def suspects(design: Design, network: Network) -> tuple[Suspect, ...]:
    """Signal wires and shields that can carry return current when another conductor opens.

    Those that lie on a ring, also one that a diode closes: the current of a lost ground may pass it.
    """
    signals = signal_wires(design, network)

    def passes(i: int) -> bool:
        return network.links[i].gate in (Gate.ALWAYS, Gate.SHIELD)

    around = tuple(tuple(step for step in steps if passes(step[0])) for steps in network.around)
    found = []
    for block in blocks(replace(network, around=around)):
        links = [network.links[i] for i in block]
        plain = dict.fromkeys(
            link.element for link in links if link.gate is Gate.ALWAYS and link.element.startswith("wires/")
        )
        for link in links if len(links) > 1 else ():
            shield = link.gate is Gate.SHIELD
            if link.element.startswith("wires/") and (shield or link.element in signals):
                found.append(
                    Suspect(
                        link.element,
                        shield,
                        tuple(e for e in plain if e != link.element and e not in signals),
                    )
                )
    return tuple(found)


@record
class Stray:
    """When ``lead`` opens, ``amps`` of return current flow through a signal wire or its shield."""

    suspect: Suspect
    lead: str
    state: str
    amps: float
    missing: Mapping[str, str]
    #: the typical values that it rests on, as numbers of a finding
    assumed: tuple[tuple[str, str], ...]
    most: float = MOST_STRAY_A


def stray(network: Network, side: ReturnSide, suspect: Suspect, failed: Failed) -> Stray:
    """The largest stray current of a suspect over the wires that could open, in one state."""
    return max(_strays(network, side, suspect, failed), key=lambda found: found.amps)


def _strays(network: Network, side: ReturnSide, suspect: Suspect, failed: Failed) -> Iterator[Stray]:
    for lead in suspect.leads:
        point = failed((Failure(lead, OPEN),))
        amps = (point.shields if suspect.shield else point.amps)[suspect.wire]
        missing = {**point.undrawn, **{e: key for e, key in point.unsized.items() if e in suspect.leads}}
        yield Stray(suspect, lead, point.state, abs(amps), missing, typical_values(network, side, point))
