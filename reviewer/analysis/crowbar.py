"""An over-voltage trip that shorts the feed of a field: the current, the protector that must open, and the wires that carry it until then."""

from __future__ import annotations

from collections.abc import Sequence

from reviewer.analysis.circuit_protectors import taken_by_opening
from reviewer.analysis.ends import feeding_of
from reviewer.analysis.ratings.short_circuit import Withstand
from reviewer.analysis.short_heat import withstand_of
from reviewer.analysis.short_loops import Loops
from reviewer.analysis.state_facts import NotAssessable
from reviewer.analysis.states import StateAnswer
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, Source, bare

#: a breaker opens at ten times its rating within this time, seconds: common practice, no source
TRIP_S = 0.1


@record
class Crowbar:
    """The short of a field feed in a ``state``: ``amps`` from ``battery`` through the nearest protector; ``takes`` are loads that go with that one,
    ``wires`` those that carry the current from it to the field, ``assumed`` the typical values that it rests on."""

    protector: str
    battery: str
    state: str
    amps: float
    takes: tuple[str, ...]
    wires: tuple[str, ...]
    assumed: tuple[str, ...]


def crowbar(design: Design, network: Network, loops: Loops, answers: Sequence[StateAnswer], alternator: str) -> Crowbar | None:
    """The short of the field feed of an alternator, by name, in the first of some states in which it is fed through one protector or several; the
    battery that gives most. None where nothing feeds it through a protector. Raises NotAssessable with what is missing."""
    source = next(s for s in network.sources if s.element == f"parts/{alternator}")
    if source.field is None:
        return None
    for answer, feeding in zip(answers, feeding_of(network, answers, [(source.field, "")]), strict=True):
        found = [c for protector in feeding[0][1] if (c := _through(design, network, loops, answer, source, protector)) is not None]
        if found:
            return max(found, key=lambda c: c.amps)
    return None


def _through(design: Design, network: Network, loops: Loops, answer: StateAnswer, source: Source, protector: str) -> Crowbar | None:
    assert source.field is not None
    inner = loops.ways(answer, source.field, False, unprotected=True)
    (link,) = network.links_of[protector]
    ends = (network.links[link].a, network.links[link].b)
    reached = [(n, o) for n, o in (ends, ends[::-1]) if n in inner]
    if not reached:
        return None
    node, outer = min(reached, key=lambda pair: inner[pair[0]].ohms)
    behind, found = loops.ways(answer, outer, False, (protector,)), []
    for battery in network.sources:
        if battery.kind != "battery" or not answer.healthy.alive[battery.element] or battery.positive not in behind:
            continue
        back = loops.ways(answer, battery.negative, False).get(source.negative)
        if back is None:
            continue
        passed = (battery.element, *behind[battery.positive].elements, protector, *inner[node].elements, *back.elements)
        if lacking := loops.unsized(passed):
            raise NotAssessable(lacking)
        volts, inside = loops.source(battery)
        ohms = inside + behind[battery.positive].ohms + loops.ohms_of(protector) + inner[node].ohms + back.ohms
        amps = max(0.0, volts - behind[battery.positive].drop - inner[node].drop) / ohms
        wires = tuple(bare(e) for e in inner[node].elements if e.startswith("wires/"))
        takes = taken_by_opening(design, answer).get(bare(protector), ())
        found.append(Crowbar(bare(protector), bare(battery.element), answer.state.name, amps, takes, wires, loops.assumed(passed)))
    return max(found, key=lambda c: c.amps, default=None)


def hurt_wire(design: Design, found: Crowbar) -> tuple[str, Withstand] | None:
    """The first wire that does not bear the current for the time of the trip, and what it bears. Raises NotAssessable."""
    for wire in found.wires:
        bears = withstand_of(design, wire)
        if bears.seconds(found.amps) < TRIP_S:
            return wire, bears
    return None
