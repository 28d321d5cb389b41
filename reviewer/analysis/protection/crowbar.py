"""A crowbar: overvoltage protection that shorts the feed of a field, control or output contactor's coil.

The current, the breaker that must open, and the wires that carry the current until then.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.feeds import feeding_of
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.protection.circuit_protection import fed_in_any_position, lost_by_opening
from reviewer.analysis.protection.fault_heating import withstand_of
from reviewer.analysis.protection.fault_loops import Fault, FaultLoops
from reviewer.analysis.ratings.short_circuit import Withstand
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network
from reviewer.network.regulators import trip_node
from reviewer.tables.practice import practice

#: a breaker opens at ten times its rating within this time, seconds: common practice (no published
#: source)
TRIP_S = practice("seconds", "breaker-opens-at-ten-times-its-rating").high


@record
class Crowbar:
    """The ``short`` of such a feed through the nearest protective device.

    ``takes`` are the loads and other alternators that this one loses when it opens, whether they are
    on in the state or not, and what else functions rest on; the alternator itself, which the crowbar
    means to stop, is none of them.
    """

    short: Fault
    takes: tuple[str, ...]


def crowbar(
    design: Design, network: Network, loops: FaultLoops, answers: Sequence[StateAnswer], alternator: str
) -> Crowbar | None:
    """The short that the trip of an alternator, by name, makes of its field feed or another, through a
    protective device.

    In the first of some states in which it is fed through one; through the one of several by which
    most current comes. None where nothing feeds it through one. Raises NotAssessable with what is
    missing.
    """
    source = next(s for s in network.sources if s.element == f"parts/{alternator}")
    at = trip_node(network, source, design.part(alternator, p.Alternator).trip_acts_on)
    if at is None:
        return None
    field = network.names[at]
    for answer, feeding in zip(answers, feeding_of(network, answers, [(at, "")]), strict=True):
        found = max(
            loops.shorts(answer, field, feeding[0][1], field), key=lambda short: short.amps, default=None
        )
        if found is not None:
            lost = lost_by_opening(design, answer).get(found.protector, ())
            lost = (*lost, *fed_in_any_position(design, network, found.protector))
            lost = (*lost, *_alternators_lost(design, answer, found.protector))
            return Crowbar(found, tuple(n for n in dict.fromkeys(lost) if n != alternator))
    return None


def _alternators_lost(design: Design, answer: StateAnswer, protector: str) -> Iterator[str]:
    """The alternators that are at work in a state and not once a protective device has opened."""
    lane = answer.failures.index(Failure(f"parts/{protector}", OPEN))
    for name in design.of_kind(p.Alternator):
        element = f"parts/{name}"
        if answer.healthy.alive[element] and not answer.failed.alive[element] >> lane & 1:
            yield name


def hurt_wire(design: Design, short: Fault) -> tuple[str, Withstand] | None:
    """The first wire that does not bear the current for the time of the trip, and what it bears.

    Raises NotAssessable.
    """
    for wire in short.wires:
        bears = withstand_of(design, wire)
        if bears.seconds(short.amps) < TRIP_S:
            return wire, bears
    return None
