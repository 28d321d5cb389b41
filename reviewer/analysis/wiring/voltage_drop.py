"""Voltage drop of a load: the path of its current from the bus to it and back, its run, and the
drop of each part and wire.

From the supply terminal the path goes against the current, and from the return with it, always by
the largest share where currents meet, to the first source. It begins at the bus that is nearest to
that source, or at the source where no bus stands between, and ends at the negative terminal. What
diodes and fixed resistors drop is given apart: it is no drop of a wire, and a dropping resistor is
there to drop it.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from contextlib import suppress
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.states import StateAnswer, conducts
from reviewer.analysis.ratings.wire_sizes import size_for_drop
from reviewer.model import parts as p
from reviewer.model.canonical_order import name_order
from reviewer.model.design import Design
from reviewer.model.quantities import Gauge as WireSize
from reviewer.model.quantities import read_gauge
from reviewer.model.quantity_words import quantity
from reviewer.model.record import record
from reviewer.network.graph import Gate, Network, bare
from reviewer.tables.lookup import OutsideTable

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.solved_state import OperatingPoint

#: a load that takes less has no run
LEAST_A = 1e-4
#: where more than one path of a part meets a node, their currents are estimated by volts over this;
#: only the largest is looked for
_JOINT_OHMS = 0.001
#: a wire that must be so many times as thick is not exchanged alone; a value of our own
_MUCH = 5.0
#: one that must be so many times as thick and of more mm2 than an 8 AWG wire is no remedy: the drop is
#: elsewhere; values of our own
_TOO_MUCH, _TOO_THICK = 8.0, 9.0


@record
class CircuitRun:
    """``out`` from the beginning to the load and ``back`` to the source: (element, volts lost) in
    the order of the current; ``diodes`` so for the diodes and resistors of both. ``begins`` is a bus
    or a source, ``ends`` a source. ``amperes`` is what the load takes."""

    load: str
    amperes: float
    begins: str
    ends: str
    out: tuple[tuple[str, float], ...]
    back: tuple[tuple[str, float], ...]
    diodes: tuple[tuple[str, float], ...]
    #: what ``diodes`` are: diodes, resistors, both, or "" for none
    dropped_by: str

    @property
    def volts(self) -> float:
        """Volts lost out and back, diodes and resistors left out."""
        return sum(v for _, v in self.out) + sum(v for _, v in self.back)

    @property
    def diode_volts(self) -> float:
        """Volts dropped by diodes and resistors."""
        return sum(v for _, v in self.diodes)

    @property
    def elements(self) -> tuple[str, ...]:
        """All parts and wires of the path."""
        return tuple(e for e, _ in (*self.out, *self.back, *self.diodes))


#: an element, the volts lost in it, the node reached
Passage = tuple[str, float, int]
#: amperes that come or go, by which link, from or to which node, with what is passed there
Feeding = tuple[float, int, int, Passage]


@record
class _Walk:
    """A walk to a ``source`` on which no step was left out as it led back: its steps, and node -> how many
    steps come before it."""

    steps: list[Passage]
    places: dict[int, int]
    source: str


@record
class Sounding:
    """What is known of a scenario: volts of a node (NaN where it is dead), amperes of an element of
    one path (None for others, NaN in a ring of ideal joints) and of the shield of a wire, amperes
    given by a source."""

    volts: Callable[[int], float]
    amps: Callable[[str], float | None]
    shields: Callable[[str], float | None]
    given: Callable[[str], float]
    #: answers of :func:`_flowing`, with the current and against it, as they are asked for
    flowing: tuple[dict[int, list[Feeding]], dict[int, list[Feeding]]]
    #: node -> the ideal joints there that are part of a ring, and where each leads
    rings: dict[int, list[tuple[int, int]]]
    #: with the current and against it: node -> a walk that passes it, and how many steps come before
    walked: tuple[dict[int, tuple[_Walk, int]], dict[int, tuple[_Walk, int]]]


def sounding_of(network: Network, point: OperatingPoint) -> Sounding:
    """A solved point as it is walked."""
    nan = float("nan")
    volts = [point.volts.get(name, nan) for name in network.names]
    return Sounding(
        volts.__getitem__,
        point.amps.get,
        point.shields.get,
        lambda source: point.given.get(source, 0.0),
        ({}, {}),
        {},
        ({}, {}),
    )


def circuit_run(
    design: Design,
    network: Network,
    answer: StateAnswer,
    at: Sounding,
    load: str,
    amperes: float,
    from_source: bool = False,
) -> CircuitRun | None:
    """The run of a load or instrument (its pointer) that takes ``amperes``, ``from_source`` from
    the source and not from the bus; None where it takes nothing or no path is found."""
    if not amperes > LEAST_A:
        return None
    consumer = network.consumer[load]
    supply = max(consumer.inlets, key=lambda node: (at.volts(node) == at.volts(node), at.volts(node)))
    minus = next(m for p, m in consumer.directions if supply in p)
    out = _walk(network, answer, at, supply, True)
    back = _walk(network, answer, at, minus[0], False)
    if out is None or back is None:
        return None
    steps, begins = out if from_source else _from_the_bus(design, network, *out)
    kept: dict[bool, list[tuple[str, float]]] = {True: [], False: []}
    count = 0
    dropping = design.of_kind((p.Diode, p.FixedResistor))
    for way in (reversed(steps), back[0]):
        count = len(kept[False])
        for element, volts, _ in way:
            kept[element.startswith("parts/") and bare(element) in dropping].append((element, volts))
    return CircuitRun(
        load,
        amperes,
        begins,
        back[1],
        _summed(kept[False][:count]),
        _summed(kept[False][count:]),
        _summed(kept[True]),
        _words(design, kept[True]),
    )


def _words(design: Design, dropping: list[tuple[str, float]]) -> str:
    resist = {isinstance(design.parts[bare(element)], p.FixedResistor) for element, _ in dropping}
    return " and ".join(word for word, kind in (("diodes", False), ("resistors", True)) if kind in resist)


def _from_the_bus(
    design: Design, network: Network, steps: list[Passage], source: str
) -> tuple[list[Passage], str]:
    """The steps from the load as far as the last bus, and where they end."""
    for i in range(len(steps) - 1, -1, -1):
        name = network.names[steps[i][2]]
        if isinstance(design.parts.get(name), p.Bus):
            return steps[: i + 1], f"parts/{name}"
    return steps, source


def _walk(
    network: Network, answer: StateAnswer, at: Sounding, start: int, against: bool
) -> tuple[list[Passage], str] | None:
    """(element, volts lost, node reached) from a node to the first source that is met, and that
    source.

    From a node of an earlier walk on it is the same again, unless that leads back to where this one was.
    """
    posts = {
        (s.positive if against else s.negative): s.element
        for s in network.sources
        if answer.healthy.alive[s.element]
    }
    steps: list[Passage] = []
    walked, straight = at.walked[against], True
    seen, node = {start}, start
    while node not in posts:
        if node in walked:
            known, begin = walked[node]
            if all(known.places.get(n, -1) <= begin for n in seen):
                steps += known.steps[begin:]
                _keep(walked, _Walk(steps, _places(start, steps), known.source), straight)
                return steps, known.source
        if _rings_at(network, at, node):
            way = _out_of_ring(network, answer, at, node, against, seen, posts)
            if not way:
                return None
            straight = False
            for passed, node_to in way:
                steps.append(_passage(network, at, passed, node, node_to, against))
                node = node_to
        else:  # as at most nodes
            for _, _, node_to, passage in _feeding(network, answer, at, node, against):
                if node_to not in seen:
                    steps.append(passage)
                    node = node_to
                    break
                straight = False
            else:
                return None
        seen.add(node)
    _keep(walked, _Walk(steps, _places(start, steps), posts[node]), straight)
    return steps, posts[node]


def _places(start: int, steps: Sequence[Passage]) -> dict[int, int]:
    """Node -> how many of some steps come before it."""
    return {start: 0, **{node: place for place, (_, _, node) in enumerate(steps, 1)}}


def _keep(walked: dict[int, tuple[_Walk, int]], walk: _Walk, straight: bool) -> None:
    """Note a walk by the nodes that it passes, for those that come by there, if it is ``straight``."""
    for node, place in walk.places.items() if straight else ():
        walked.setdefault(node, (walk, place))


def _passage(network: Network, at: Sounding, link: int, node: int, other: int, against: bool) -> Passage:
    lost = at.volts(other) - at.volts(node)
    return network.links[link].element, lost if against else -lost, other


def _out_of_ring(
    network: Network,
    answer: StateAnswer,
    at: Sounding,
    node: int,
    against: bool,
    seen: set[int],
    posts: Collection[int],
) -> list[tuple[int, int]]:
    """(link, node reached) from a node of a ring of ideal joints to the first of ``posts`` in it, else
    to where the largest current goes on; [] where none does. The ring is ``seen`` then."""
    joined = _ideally_joined(network, at, node, seen)
    ends = [n for n in joined if n in posts]
    links = [
        (amps, link, other, n)
        for n in joined
        for amps, link, other, _ in _feeding(network, answer, at, n, against)
        if other not in seen and other not in joined
    ]
    seen.update(joined)
    if ends:
        return joined[ends[0]]
    if not links:
        return []
    _, link, onward, leaves = max(links)
    return [*joined[leaves], (link, onward)]


def _ideally_joined(
    network: Network, at: Sounding, start: int, seen: Collection[int]
) -> dict[int, list[tuple[int, int]]]:
    """The nodes that a ring of ideal joints joins to one, each with the links and nodes on the way
    there. How the current shares in such a ring is open: NaN."""
    found: dict[int, list[tuple[int, int]]] = {start: []}
    todo = [start]
    for node in todo:
        for i, other in _rings_at(network, at, node):
            if other not in found and other not in seen:
                found[other] = [*found[node], (i, other)]
                todo.append(other)
    return found


def _rings_at(network: Network, at: Sounding, node: int) -> list[tuple[int, int]]:
    """The ideal joints at a node that are part of a ring, and where each leads."""
    known = at.rings.get(node)
    if known is None:
        joints = [(i, other) for i, other, _ in network.around[node] if _is_open(network, at, i)]
        known = at.rings[node] = joints
    return known


def _is_open(network: Network, at: Sounding, i: int) -> bool:
    """Whether a link is an ideal joint in a ring, of which nobody knows what it carries."""
    element = network.links[i].element
    through = at.amps(element) if network.lone.get(element) == i else None
    return through is not None and through != through


def _feeding(network: Network, answer: StateAnswer, at: Sounding, node: int, against: bool) -> list[Feeding]:
    """(amperes, link, other node, passage) of what brings current to a node, or takes it away, the largest
    first."""
    known = at.flowing[against].get(node)
    if known is None:
        known = at.flowing[against][node] = _flowing(network, answer, at, node, against)
    return known


def _flowing(network: Network, answer: StateAnswer, at: Sounding, node: int, against: bool) -> list[Feeding]:
    """:func:`_feeding`, worked out."""
    found = []
    for i, other, leaving in network.around[node]:
        link = network.links[i]
        through = at.amps(link.element) if network.lone.get(link.element) == i else None
        if link.gate is Gate.SHIELD:
            through = at.shields(link.element)
        if through is not None:
            amps = -through if leaving else through
        elif conducts(network, answer, i) or conducts(network, answer, i, False):
            amps = (at.volts(other) - at.volts(node)) / _JOINT_OHMS
        else:
            continue
        amps = amps if against else -amps
        if amps > 0:
            found.append((amps, i, other, _passage(network, at, i, node, other, against)))
    return sorted(found, reverse=True)


def _summed(steps: list[tuple[str, float]]) -> tuple[tuple[str, float], ...]:
    """One entry an element that is passed in one go, such as a bus in and out."""
    found: list[tuple[str, float]] = []
    for element, volts in steps:
        if found and found[-1][0] == element:
            found[-1] = (element, found[-1][1] + volts)
        else:
            found.append((element, volts))
    return tuple(found)


def numbers_of(run: CircuitRun, limit: float) -> tuple[tuple[str, str], ...]:
    """The drop, which stands beside its limit, its largest shares, what diodes and resistors drop
    besides, and the current."""
    shares = sorted((*run.out, *run.back), key=lambda share: (-round(share[1], 4), name_order(share[0])))[:4]
    most = ", ".join(f"{bare(element)} {quantity(volts, 'V')}" for element, volts in shares if volts >= 0.005)
    diodes = (
        ((f"dropped by {run.dropped_by}, not counted", quantity(run.diode_volts, "V")),) if run.diodes else ()
    )
    return (
        ("drop", quantity(run.volts, "V", limit)),
        ("largest drops", most),
        *diodes,
        ("current", quantity(run.amperes, "A")),
    )


def thickened(run: CircuitRun, limit: float) -> tuple[str, ...]:
    """The gauge of the wire that loses the most, if it is more than the run exceeds its limit by."""
    most = _most(run)
    return (f"{most[0]}/gauge",) if most and most[1] > run.volts - limit else ()


def _most(run: CircuitRun) -> tuple[str, float] | None:
    """The wire that loses the most, and that in V."""
    wires = [(e, v) for e, v in (*run.out, *run.back) if e.startswith("wires/")]
    return min(wires, key=lambda entry: (-entry[1], name_order(entry[0])), default=None)


def larger_wire(design: Design, run: CircuitRun, limit: float) -> str:
    """The wire that loses the most and the least size with which a run is within its limit, in words; with
    the wires that lose half as much or more where it would be ``_MUCH`` thicker alone; the place alone where
    no size does that or only one that is too thick to be a remedy, or what it loses is stated and follows
    from none."""
    lost: dict[str, float] = {}
    for element, volts in (*run.out, *run.back):
        if element.startswith("wires/"):
            lost[element] = lost.get(element, 0.0) + volts
    name, most = _most(run) or ("", 0.0)
    with suppress(OutsideTable):
        size = _size_within(design, {name: most}, run, limit) if name else None
        if size is None or size.area_mm2 > _MUCH * _area(design, name):
            several = {e: v for e, v in lost.items() if v >= most / 2} if name else {}
            if len(several) > 1:
                shared = _size_within(design, several, run, limit)
                fits = shared is not None and not _absurd(design, several, shared)
                if shared is not None and fits and (size is None or shared.area_mm2 < size.area_mm2):
                    *others, last = map(bare, several)
                    return f"Use {shared} or larger for {', '.join(others)} and {last}"
        if size is not None and not _absurd(design, (name,), size):
            return f"Use {size} or larger for {bare(name)}"
    worst, _ = min((*run.out, *run.back), key=lambda share: (-share[1], name_order(share[0])))
    if worst.startswith("parts/"):
        return f"Lower the drop at {bare(worst)}, use larger wires"
    return "Use a larger wire where the drop is largest"


def _absurd(design: Design, wires: Iterable[str], size: WireSize) -> bool:
    """Whether nobody would exchange some wires for ones of a size."""
    thinnest = min(_area(design, wire) for wire in wires)
    return size.area_mm2 > _TOO_THICK and size.area_mm2 > _TOO_MUCH * thinnest


def _size_within(design: Design, lost: Mapping[str, float], run: CircuitRun, limit: float) -> WireSize | None:
    """The least size of some wires (by the volts that they lose) with which a run is within its limit."""
    whole, found = sum(lost.values()), []
    for name, volts in lost.items():
        less = (run.volts - limit) * volts / whole
        text = size_for_drop(design.wires[bare(name)], volts, less, design.aircraft.volts)
        if not text:
            return None
        found.append(read_gauge(text))
    return max(found, key=lambda size: size.area_mm2)


def _area(design: Design, name: str) -> float:
    gauge = design.wires[bare(name)].gauge
    return gauge.area_mm2 if gauge is not None else 0.0
