"""Voltages and currents of a state: its operating points by phase, by source and by path."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.scenarios import failures_of
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.assumptions import Assumed, AssumedQuantity
from reviewer.analysis.operating_point.carried import CARRIERS
from reviewer.analysis.operating_point.flight_charges import full
from reviewer.analysis.operating_point.solved_state import OperatingPoint, Reading
from reviewer.model import parts as p
from reviewer.model.article import with_article
from reviewer.model.design import Design
from reviewer.model.estimates import estimates_of
from reviewer.model.quantity_words import NOTHING
from reviewer.model.record import record
from reviewer.network.graph import Gate, Network, bare
from reviewer.questions.effects import worst_outcome
from reviewer.questions.naming import NoAnswer, failure_named, state_named, unknown
from reviewer.questions.sneak_relays import EnergisedBySneak

__all__ = [
    "OperatingPoint",
    "PathCurrent",
    "Reading",
    "SolvedPhase",
    "SolvedState",
    "SourceOutput",
    "solved_of",
]
#: types of loads that have a current of their own while they start
STARTING = ("motor", "starter", "lamp")


@record
class SourceOutput:
    """A source: ``volts`` across it, None where it is dead, and the ``amperes`` that it supplies.

    Amperes are less than 0 for a battery that is charged.
    """

    element: str
    volts: float | None
    amperes: float


@record
class PathCurrent:
    """What one path through a part or wire carries, from terminal ``a`` to ``b``.

    ``amperes`` counts from a to b and is None where ideal joints in a ring leave it open. Volts are
    None where no live source reaches the terminal.
    """

    element: str
    a: str
    b: str
    volts_a: float | None
    volts_b: float | None
    amperes: float | None

    @property
    def drop(self) -> float | None:
        """Voltage drop from a to b."""
        return None if self.volts_a is None or self.volts_b is None else self.volts_a - self.volts_b


@record
class SolvedPhase:
    """The operating point of a state with the loads of ``phase``, None where none has it.

    There ``currents_of`` is the phase that the state names for its load currents, "" for the largest.
    Without a ``point``, ``needs`` says what is missing. ``sources`` and ``paths`` are in the file's
    order. ``typical`` are the typical values that it rests on; a charge that normal flight leaves is none.
    """

    phase: str | None
    point: OperatingPoint | None
    needs: str
    sources: tuple[SourceOutput, ...] = ()
    paths: tuple[PathCurrent, ...] = ()
    currents_of: str = ""
    typical: tuple[Assumed, ...] = ()


@record
class SolvedState:
    """The answer of a state. ``failed`` are the failures in it as (element, words), and the relays that
    drop out as they leave them too few volts.

    ``starting`` are the loads that are just starting.
    """

    state: str
    switches: tuple[tuple[str, str], ...]
    failed: tuple[tuple[str, str], ...]
    starting: tuple[str, ...]
    #: every terminal and bus
    terminals: tuple[str, ...]
    phases: tuple[SolvedPhase, ...]
    #: the relays that sneak currents energise in the state, or keep energised
    sneaks: tuple[EnergisedBySneak, ...] = ()
    #: the same state with such a relay still energised, by names of their own
    beside: tuple[tuple[str, tuple[SolvedPhase, ...]], ...] = ()
    #: figures that are estimates of what carries current in it, in words
    estimates: tuple[str, ...] = ()
    #: how the state was made; "" for one that the file declares
    made: str = ""
    #: the state of charge of each battery (a name), and whether it is what normal flight leaves
    charges: tuple[tuple[str, float], ...] = ()
    after_flight: bool = False
    #: what is missing to know what normal flight leaves; "" where it is known or not asked for
    unknown_charge: str = ""


def solved_of(
    facts: Facts, state: str | None = None, failed: Sequence[str] = (), starting: Sequence[str] = ()
) -> SolvedState:
    """Voltages and currents of a state by phase, after some failures, while some loads start.

    Failures are written as for :func:`reviewer.questions.naming.failure_named`; of a short that a
    device further upstream may clear first, the worst outcome is solved. Raises NoAnswer,
    also where no phase can be solved, with what is missing.
    """
    answer = state_named(facts, state)
    case = worst_outcome(facts, answer, [failure_named(facts, answer, text) for text in failed])
    for name in starting:
        _starts(facts, name)
    words = [(f.element, f.words(facts.network)) for f in case]
    if case:
        (whole,) = answer.conducting_after((case,)).cases
        words += [(relay.element, "drops out") for relay in failures_of(whole)[len(case) :]]
        case = failures_of(whole)
    state_name = answer.state.name
    phases = tuple(_phases(facts, state_name, state_name, case, starting))
    if not any(phase.point for phase in phases):
        raise NoAnswer(
            f"Voltages and currents of {answer.state.name} cannot be solved. Missing data: {phases[0].needs}."
        )
    sneaks = tuple(
        one
        for one in facts.switches.sneaks_in(state_name)
        if not case or _energised_after(facts.states.answer(one.beside or state_name), one.relay, case)
    )
    beside = tuple(
        (one.beside, tuple(_phases(facts, state_name, one.beside, case, starting)))
        for one in sneaks
        if one.beside
    )
    charges, after_flight, unknown_charge = _charges(facts, answer)
    return SolvedState(
        state=answer.state.name,
        switches=answer.switches,
        failed=tuple(words),
        starting=tuple(starting),
        terminals=tuple(facts.network.names),
        phases=phases,
        sneaks=sneaks,
        beside=beside,
        made=facts.design.made.get(state_name, ""),
        charges=charges,
        after_flight=after_flight,
        unknown_charge=unknown_charge,
        estimates=tuple(_estimates(facts, (*phases, *(one for _, those in beside for one in those)))),
    )


def _charges(facts: Facts, answer: StateAnswer) -> tuple[tuple[tuple[str, float], ...], bool, str]:
    """The charge of each battery in a state, whether normal flight leaves it so, and what is missing
    to know that."""
    design, points = facts.as_written, facts.points
    less = points.charges_in(answer.state)
    charges = tuple(
        (name, less.get(f"parts/{name}", full(design.part(name, p.Battery))))
        for name in design.of_kind(p.Battery)
    )
    if answer.state.use == "ground" or not design.of_kind(p.Alternator):
        return charges, False, ""
    try:
        missing = tuple(points.flight_charges.missing.values())
    except NotAssessable as lacking:
        return charges, False, lacking.needs
    return charges, True, missing[0] if missing else ""


def _estimates(facts: Facts, phases: Sequence[SolvedPhase]) -> Iterator[str]:
    """The estimates that the points rest on: of what carries current, and of the whole aircraft."""
    points = [phase.point for phase in phases if phase.point]
    carries = {
        element
        for point in points
        for element, amps in (*point.amps.items(), *point.taken.items(), *point.given.items())
        if abs(amps) > NOTHING
    }
    for estimate in estimates_of(facts.as_written):
        section, name, *_ = estimate.at.split("/")
        if f"{section}/{name}" in carries or section == "aircraft":
            yield str(estimate)


def _phases(
    facts: Facts, declared: str, state: str, case: tuple[Failure, ...], starting: Sequence[str]
) -> Iterator[SolvedPhase]:
    """The operating points of a state by phase of the ``declared`` one."""
    flown = [f.phase for f in facts.points.flown if f.state == declared] or [None]
    answer = facts.states.answer(state)
    named = answer.state.currents_of or ""
    flown_charges = _charges(facts, answer)[1]
    for phase in flown:
        currents_of = named if phase is None else ""
        try:
            point = facts.points.operating_point(state, phase, case, tuple(starting))
        except NotAssessable as missing:
            yield SolvedPhase(phase, None, missing.needs, currents_of=currents_of)
            continue
        sources = tuple(_sources(facts.network, point))
        found = _paths(facts.design, facts.network, point)
        paths = tuple(sorted(found, key=lambda path: facts.file_order[path.element]))
        by_flight = (AssumedQuantity.STATE_OF_CHARGE,) if flown_charges else ()
        typical = tuple(one for one in point.assumed if one.quantity not in by_flight)
        yield SolvedPhase(phase, point, "", sources, paths, currents_of, typical)


def _energised_after(answer: StateAnswer, relay: str, case: tuple[Failure, ...]) -> bool:
    """Whether a relay that is energised in a state stays so after some failures."""
    return bool(conduct(answer.network, answer.state, (case,), answer.healthy).energised[relay])


def _starts(facts: Facts, name: str) -> None:
    """Raises NoAnswer where a name is that of no load or instrument with a peak current."""
    part = facts.design.parts.get(name)
    if part is None:
        raise NoAnswer(unknown("load or instrument", name, facts.design.of_kind(p.Consumer)))
    if not isinstance(part, p.Consumer):
        raise NoAnswer(f"{name} has no peak current: it is {with_article(part.kind)}, no load or instrument.")
    if part.peak is None and getattr(part, "type", None) not in STARTING:
        raise NoAnswer(
            f"{name} has no peak current: it has no `peak`, and its type is not `motor`, `starter` or `lamp`."
        )


def _sources(network: Network, point: OperatingPoint) -> Iterator[SourceOutput]:
    for source in network.sources:
        plus, minus = (point.volts.get(network.names[n]) for n in (source.positive, source.negative))
        across = None if plus is None or minus is None else plus - minus
        yield SourceOutput(source.element, across, point.given[source.element])


def _paths(design: Design, network: Network, point: OperatingPoint) -> Iterator[PathCurrent]:
    """Every wire, contact, pin, circuit protection, shunt and diode."""
    for element in network.elements:
        if not (element.startswith("wires/") or isinstance(design.parts[bare(element)], CARRIERS)):
            continue
        for i in network.links_of.get(element, ()):
            link = network.links[i]
            if link.gate is Gate.SHIELD or link.mounting:
                continue
            a, b = network.names[link.a], network.names[link.b]
            amperes = point.contacts.get((a, b), point.amps.get(element))
            known = None if amperes is None or amperes != amperes else amperes
            yield PathCurrent(element, a, b, point.volts.get(a), point.volts.get(b), known)
