"""Diodes: to what side of their part they face, what they lie across, and which way they conduct.

All of it follows from the circuit, whatever duty the file declares.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from itertools import chain

from reviewer.analysis.conduction.states import StateAnswer, conducts
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Gate, Link, Network
from reviewer.network.search import (
    Passes,
    anything_against,
    anything_along,
    conductors,
    conductors_and_protectors,
    reachable,
    reachable_by,
    shortest,
)

#: types of load that give a spike when they are switched off; None is not said
_SPIKES = ("motor", "inductive", "starter", None)
#: what a diode does: conducts with its duty, the other way, across a supply, across it the wrong
#: way, or nothing that is known
RIGHT, REVERSED, BLOCKS, SHORTS, IDLE = "right", "reversed", "blocks", "shorts", "idle"


@record
class DiodePlacement:
    """How a diode is placed to the part that it protects.

    ``stands`` is ``right``, ``reversed``, or ``beside`` it (joined to it on neither or on both
    sides). ``belongs`` is the terminal that must be joined to it, ``wrong`` the other. ``around``
    are the switches and relays through which the wrong one reaches it in the normal state.
    """

    diode: str
    protects: str
    stands: str
    belongs: str
    wrong: str
    around: tuple[str, ...] = ()
    #: from the diode to its part around it, both included; () where there is no such path
    bypass: tuple[str, ...] = ()

    @property
    def lead(self) -> str:
        """The wire that leads to the part around the diode, the last one; "" for none."""
        return next((e for e in reversed(self.bypass) if e.startswith("wires/")), "")


def diode_placement(
    design: Design, network: Network, normal: StateAnswer | None, name: str
) -> DiodePlacement:
    """Which side of a diode is joined to its part, without the diode.

    The cathode belongs to a supply of the part and the anode to a return that has no other path
    back. Of a relay its coil counts, fed at the terminal that a source reaches, and not its
    contacts. A contact between the diode and its part does not matter: those that are closed in the
    normal state are passed where conductors and protective devices lead to it from neither side,
    and then all of them. A way through a battery or the return is another feed and does not count.
    Of two inputs of a part the one that the diode feeds counts: its anode is the end that is fed.
    """
    protects = design.parts[name].protects
    plus, minus = _protected(design, network, protects, name)
    back = reachable(network, [s.negative for s in network.sources], conductors)
    minus = minus - back
    batteries = [s.positive for s in network.sources if s.kind == "battery"]
    stops = back | reachable(network, batteries, conductors_and_protectors)
    anode, cathode = (network.node(f"{name}.{t}") for t in ("anode", "cathode"))

    def joined(onward: Onward) -> tuple[set[int], set[int]]:
        """The terminals that the end which belongs to them reaches, and those that the other does."""
        ahead, behind = (
            reachable_by([end], lambda node: (other for other, _ in onward(node))) for end in (cathode, anode)
        )
        return ahead & plus | behind & minus, behind & plus | ahead & minus

    direct = _around(network, stops, lambda i: False)
    shut = _around(network, stops, lambda i: normal is not None and conducts(network, normal, i))
    right, wrong = joined(direct)
    for onward in (shut, _around(network, stops, lambda i: True)):
        if not right and not wrong:
            right, wrong = joined(onward)
    unknown = plus == minus
    in_return = bool((right | wrong) & minus) and not unknown
    stands, ways = "beside", None
    if unknown:
        stands = RIGHT if right else stands
    elif right and wrong and not right & wrong and right | wrong <= plus:
        fed, other = (_can_be_fed(network, end, name) for end in (anode, cathode))
        stands = stands if fed == other else RIGHT if fed else REVERSED
    elif right and not wrong:
        ways = shortest(cathode if in_return else anode, right, shut)
        stands = "beside" if ways else RIGHT
    elif wrong and not right:
        stands = REVERSED
    if stands == "beside" and not ways:
        start, goals = (cathode if in_return else anode), (right & minus if in_return else wrong)
        ways = next(
            filter(None, (shortest(start, goals or right, onward) for onward in (direct, shut))), None
        )
    passed = [network.links[i] for i in ways[1]] if ways else []
    contacts = dict.fromkeys(k.element for k in passed if not conductors_and_protectors(k, True))
    ends = ("anode", "cathode") if in_return else ("cathode", "anode")
    bypass = tuple(dict.fromkeys((f"parts/{name}", *(k.element for k in passed), f"parts/{protects}")))
    return DiodePlacement(
        f"parts/{name}", f"parts/{protects}", stands, *ends, tuple(contacts), bypass if passed else ()
    )


#: node -> the (next node, link) pairs
Onward = Callable[[int], Iterable[tuple[int, int]]]


def _protected(design: Design, network: Network, protects: str, without: str) -> tuple[set[int], set[int]]:
    """The nodes of a part to which the cathode of its diode belongs, and those of the anode."""
    part = design.parts[protects]
    nodes = {t: network.node(f"{protects}.{t}") for t in part.terminals()}
    if isinstance(part, p.Consumer):
        return {nodes[t] for t in part.supplies}, {nodes[t] for t in part.returns}
    if isinstance(part, p.Electromagnet):
        plus, minus = _coil_sides(network, [nodes[t] for t in part.coil], without)
        return set(plus), set(minus)
    posts = {node for t, node in nodes.items() if t in ("positive", "output")}
    return posts or set(network.nodes_of[f"parts/{protects}"]), set()


def _around(network: Network, stops: Collection[int], closed: Callable[[int], bool]) -> Onward:
    """Steps by conductors, protective devices and contacts that are ``closed``, by no diode.

    No contact is passed from one of ``stops``.
    """

    def onward(node: int) -> Iterator[tuple[int, int]]:
        for i, other, leaving in network.around[node]:
            link = network.links[i]
            if conductors_and_protectors(link, leaving) or (
                not link.oneway and link.gate is not Gate.SHIELD and node not in stops and closed(i)
            ):
                yield other, i

    return onward


def _coil_sides(
    network: Network, coil: Sequence[int], without: str
) -> tuple[Collection[int], Collection[int]]:
    """The terminal of a coil that is fed and the one that returns, without a diode.

    Both of them twice where the circuit does not say.
    """
    one, other = coil
    fed = [_can_be_fed(network, node, without) for node in coil]
    returned = [_can_return(network, node, without) for node in coil]
    if fed[0] == fed[1] and returned[0] == returned[1]:
        return {one, other}, {one, other}
    first = fed[0] if fed[0] != fed[1] else returned[1]
    return ({one}, {other}) if first else ({other}, {one})


def coil_diodes(design: Design, network: Network, coil: str) -> dict[str, bool]:
    """Diodes wired straight across a coil -> whether the cathode is on the side that is fed."""
    one, other = (network.node(f"{coil}.{t}") for t in design.parts[coil].coil)
    return {**_across(design, network, one, other), **_across(design, network, other, one)}


def inner_diode_is_right(design: Design, network: Network, coil: str) -> bool:
    """Whether the diode inside a relay has its cathode, at the positive terminal of the coil, on the
    side that is fed; as of :func:`coil_diodes`."""
    cathode, anode = (network.node(f"{coil}.{t}") for t in design.parts[coil].coil)
    return _can_be_fed(network, cathode, coil) or not _can_be_fed(network, anode, coil)


def load_diodes(design: Design, network: Network, load: str) -> dict[str, bool]:
    """Diodes wired straight across a load that gives a spike when it is switched off.

    As :func:`coil_diodes`.
    """
    part = design.parts[load]
    if not isinstance(part, p.Load) or part.type not in _SPIKES:
        return {}
    found: dict[str, bool] = {}
    for supply in part.supplies:
        one, other = network.node(f"{load}.{supply}"), network.node(f"{load}.{part.returns[0]}")
        found |= {**_across(design, network, one, other), **_across(design, network, other, one)}
    return found


def _across(design: Design, network: Network, top: int, bottom: int) -> dict[str, bool]:
    """Diodes with their cathode at one node and their anode at another, by plain conductors.

    The cathode belongs on the side that a source can reach through any contacts; where it reaches
    neither side the diode counts as right.
    """
    above, below = (reachable(network, [node], conductors) for node in (top, bottom))
    found = {}
    for name in design.of_kind(p.Diode):
        cathode, anode = network.node(f"{name}.cathode"), network.node(f"{name}.anode")
        if cathode in above and anode in below:
            found[name] = _can_be_fed(network, cathode, name) or not _can_be_fed(network, anode, name)
    return found


def _can_be_fed(network: Network, node: int, without: str) -> bool:
    """Whether any source reaches a node through any contacts, but not through one part, nor through
    what conductors join to the return of a source: reversing contacts lead from the supply to it."""
    return _reaches(network, node, without, anything_against, "positive")


def _can_return(network: Network, node: int, without: str) -> bool:
    """Whether a node reaches the negative of any source as :func:`_can_be_fed`, and through nothing
    that conductors join to the positive of one."""
    return _reaches(network, node, without, anything_along, "negative")


def _reaches(network: Network, node: int, without: str, passes: Passes, end: str) -> bool:
    goals = {getattr(s, end) for s in network.sources}
    others = {s.positive if end == "negative" else s.negative for s in network.sources}
    beyond = reachable(network, others, conductors) - goals

    def on(link: Link, leaving: bool) -> bool:
        return link.element != f"parts/{without}" and passes(link, leaving)

    return node not in beyond and not _flooded(network, [node], beyond, on, ()).isdisjoint(goals)


def direction(network: Network, name: str) -> str:
    """What a diode does in its circuit, with contacts in any position and through any load or coil.

    It conducts where a source leads to its anode and its cathode back to one. Across a supply, with
    one side on the return, it blocks or shorts.
    """
    anode, cathode = network.node(f"{name}.anode"), network.node(f"{name}.cathode")
    positives, negatives = ({getattr(s, end) for s in network.sources} for end in ("positive", "negative"))
    back = reachable(network, negatives, conductors)
    supply = reachable(network, positives, conductors_and_protectors)

    def passes(link: Link, leaving: bool) -> bool:
        own = link.element == f"parts/{name}" or link.gate is Gate.SHIELD
        return not own and anything_along(link, leaving)

    live = _flooded(network, positives, back, passes, ())
    if (anode in back) != (cathode in back) and (anode in live or cathode in live):
        return BLOCKS if anode in back else SHORTS
    coils = (_coil_sides(network, [*coil.plus, *coil.minus], name) for coil in network.coils)
    users = chain((way for user in network.consumers for way in user.directions), coils)
    jumps = [(a, b) for plus, minus in users for a in plus for b in minus]
    fed = _flooded(network, positives, back, passes, jumps) - back
    returned = _flooded(
        network,
        negatives,
        supply,
        lambda link, leaving: passes(link, not leaving),
        [(b, a) for a, b in jumps],
    )
    if anode in fed and cathode in returned:
        return RIGHT
    return REVERSED if cathode in fed and anode in returned else IDLE


def _flooded(
    network: Network,
    starts: Collection[int],
    ends: Collection[int],
    passes: Passes,
    jumps: Collection[tuple[int, int]],
) -> set[int]:
    """Nodes reachable from some starts by links and jumps, each path ending at the first of ``ends``
    that is no start."""
    leaps: dict[int, list[int]] = {}
    for one, other in jumps:
        leaps.setdefault(one, []).append(other)
    stops = set(ends) - set(starts)

    def onward(node: int) -> list[int]:
        if node in stops:
            return []
        steps = (other for i, other, leaving in network.around[node] if passes(network.links[i], leaving))
        return [*steps, *leaps.get(node, ())]

    return reachable_by(starts, onward)
