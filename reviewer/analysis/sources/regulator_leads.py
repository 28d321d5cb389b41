"""The leads of a regulator that is a part of its own: what a failure that takes one of them does.

Without its sense lead or its ground a regulator drives the field full on, or turns it off: which of
the two is a matter of its type, and of the file. One whose sense lead is fed, but not by its own
alternator, senses less than its set point and drives the field full on, whatever its type.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from reviewer.analysis.conduction.failure_modes import FULL_ON, Failure
from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.analysis.conduction.masks import bits, join, served
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, PoweredDevice, Source, bare
from reviewer.network.regulators import regulated_by, regulation, regulator_of, trip_stops


@record
class LostLead:
    """The ``lanes`` in which a ``regulator`` with a fed field has lost a lead.

    ``key`` says in the file what it ``does`` then, "" where the file does not. It is ``senses``
    where other sources alone feed what it senses. In the lanes ``goes_on`` its alternator works on although
    the file draws an overvoltage relay: that does not trip.
    """

    alternator: str
    regulator: str
    key: str
    does: str
    lanes: int
    goes_on: int


def lost_leads(design: Design, network: Network, solved: Conduction) -> Iterator[LostLead]:
    """The leads of all regulators that are parts, as far as they are lost somewhere."""
    for source in network.sources:
        if source.field is None:
            continue
        owner = regulator_of(design, bare(source.element))
        if not owner:  # one inside has no leads of its own, but may sense the feed of the field
            remote = regulation(design, bare(source.element)).remote
            if remote and (apart := _apart(design, network, solved, source)):
                yield _lost(solved, source, bare(source.element), "senses", "full-field", apart)
            continue
        part = design.part(owner, p.Regulator)
        leads = [("without-ground", part.without_ground, "supply", network.node(f"{owner}.ground"))]
        if part.senses == "sense":
            leads.insert(0, ("without-sense", part.without_sense, "sense", source.negative))
        excited = _lanes(solved, source.field, source.negative)
        for key, does, terminal, minus in leads:
            lost = excited & ~_lanes(solved, network.node(f"{owner}.{terminal}"), minus)
            if lost:
                yield _lost(solved, source, owner, key, does or "", lost)
        if apart := _apart(design, network, solved, source):
            yield _lost(solved, source, owner, "senses", "full-field", apart)


def _lost(solved: Conduction, source: Source, owner: str, key: str, does: str, lanes: int) -> LostLead:
    goes_on = solved.alive[source.element] if source.relay else 0
    return LostLead(bare(source.element), owner, key, does, lanes, goes_on)


def _apart(design: Design, network: Network, solved: Conduction, source: Source) -> int:
    """The lanes in which other sources alone serve what the regulator of an alternator senses.

    A trip that ends it leaves it lost, and its field dead where that was fed by it alone.
    """
    held = regulation(design, bare(source.element))
    plus, minus = network.node(held.plus), network.node(held.minus)
    tripped = solved.tripped.get(source.element, 0)
    if source.held and not source.relay:
        return tripped
    leads = PoweredDevice("", (plus,), (minus,))
    own = served(leads, solved.fed[source.element], solved.returned[source.element])
    return tripped | _lanes(solved, plus, minus) & solved.alive[source.element] & ~own


def _lanes(solved: Conduction, plus: int, minus: int) -> int:
    """The lanes in which one source feeds a node and gets back another."""
    lanes, ends = 0, PoweredDevice("", (plus,), (minus,))
    for source, fed in solved.fed.items():
        lanes |= served(ends, fed, solved.returned[source])
    return lanes


@record
class FullField:
    """An alternator that a failure drives to full field, or may: ``unstated`` are the keys without
    which that is open. ``trip`` volts end it; ``"none"`` where nothing does, None
    where the file does not say. A trip ``inside`` the regulator loses the same lead."""

    alternator: str
    regulator: str
    unstated: tuple[str, ...]
    trip: float | Literal["none"] | None
    inside: float | None = None


def full_fields(design: Design, leads: Sequence[LostLead], lane: int) -> tuple[FullField, ...]:
    """The alternators that are driven to full field in a lane: that have lost a lead, and none
    without which the regulator turns the field off."""
    found = []
    for alternator in dict.fromkeys(one.alternator for one in leads if one.lanes >> lane & 1):
        mine = [one for one in leads if one.alternator == alternator and one.lanes >> lane & 1]
        if all(one.does != "no-output" for one in mine):
            sure = any(one.does == "full-field" for one in mine)
            keys = () if sure else tuple(one.key for one in mine)
            trip = design.part(alternator, p.Alternator).overvoltage_trip  # one inside is lost too
            if any(one.goes_on >> lane & 1 for one in mine):
                trip = "none"
            built_in = design.part(mine[0].regulator, p.Regulator).overvoltage_trip
            inside = built_in if isinstance(built_in, float) and not isinstance(trip, float) else None
            found.append(FullField(alternator, mine[0].regulator, keys, trip, inside))
    return tuple(found)


def failed_full_on(
    design: Design, network: Network, solved: Conduction, failure: Failure, after: Conduction, lane: int
) -> FullField | None:
    """The alternator whose regulator has failed full on; None where its field is not fed. ``after`` the
    failure, in a lane, it works on where the overvoltage relay that is drawn does not trip."""
    if failure.mode is not FULL_ON:
        return None
    name = regulated_by(design, bare(failure.element))
    source = next(s for s in network.sources if s.element == f"parts/{name}")
    if source.field is not None and not _lanes(solved, source.field, source.negative):
        return None
    trip = regulation(design, name).trip
    goes_on = source.relay is not None and after.alive[source.element] >> lane & 1
    stops = not isinstance(trip, float) or (trip_stops(design, name) and not goes_on)
    return FullField(name, bare(failure.element), (), trip if stops else "none")


@record
class UncontrolledLead:
    """A lead whose loss drives an alternator to full field with nothing that stops it.

    ``elements`` are the parts, wires and bundles whose failure takes the lead in ``state``, the regulator
    apart. The ``key`` is ``senses`` where they part what the regulator senses from its alternator
    and leave it live; none do where the switches of the state do. ``relay`` is the overvoltage relay (a
    name) that loses its ground with it, "" where there is none.
    """

    key: str
    state: str
    elements: tuple[str, ...]
    relay: str = ""


def uncontrolled_leads(
    design: Design, answer: StateAnswer, regulator: str, others: Sequence[StateAnswer] = ()
) -> tuple[UncontrolledLead, ...]:
    """Those of a regulator, by name, in a state in which its alternator is at work, and in ``others``
    those that their switches part from it: none where an overvoltage trip of the alternator's own
    stops it then.

    Raises NotAssessable where the file does not state what the loss of a lead does, or whether there
    is a trip.
    """
    part = design.part(regulator, p.Regulator)
    said = {"without-ground": part.without_ground}
    if part.senses == "sense":
        said = {"without-sense": part.without_sense, **said}
    if missing := [f"`{key}`" for key, does in said.items() if does is None]:
        raise NotAssessable(f"{' and '.join(missing)} of {regulator}")
    full = [key for key, does in said.items() if does == "full-field"]
    trip = design.part(part.regulates, p.Alternator).overvoltage_trip
    apart = _parted(design, answer, regulator, others)
    if (full or apart) and trip is None:
        inside = isinstance(part.overvoltage_trip, float)
        other = f", apart from the one inside {regulator}, which loses the same lead" if inside else ""
        raise NotAssessable(f"`overvoltage-trip` of {part.regulates}{other}")
    leads = [one for one in lost_leads(design, answer.network, answer.failed) if one.regulator == regulator]
    found = []
    relay = _relay(answer.network, part.regulates) if trip != "none" else ""
    for key in full:
        lanes = next((_unstopped(one, trip) for one in leads if one.key == key), 0)
        elements = dict.fromkeys(
            failure.element
            for i, failure in enumerate(answer.failures)
            if lanes >> i & 1 and failure.element != f"parts/{regulator}" and full_fields(design, leads, i)
        )
        if elements or trip == "none":
            found.append(UncontrolledLead(key, answer.state.name, tuple(elements), relay))
    return (*found, *apart)


def _relay(network: Network, alternator: str) -> str:
    """The overvoltage relay (a name) that the file draws for an alternator, or ""."""
    own = next(s for s in network.sources if s.element == f"parts/{alternator}")
    return bare(own.relay[0]) if own.relay else ""


def _unstopped(lead: LostLead, trip: float | str | None) -> int:
    """The lanes in which a lost lead drives an alternator to full field and no trip stops it."""
    return lead.lanes if trip in (None, "none") else lead.lanes & lead.goes_on


def _parted(
    design: Design, answer: StateAnswer, regulator: str, others: Sequence[StateAnswer]
) -> tuple[UncontrolledLead, ...]:
    """Where what a regulator senses is parted from its alternator, which feeds a load or another
    source, and stays live: by a failure in a state, or by the switches of a state."""

    alternator = design.part(regulator, p.Regulator).regulates
    trip = design.part(alternator, p.Alternator).overvoltage_trip
    relay = _relay(answer.network, alternator) if trip not in (None, "none") else ""

    def lanes(at: StateAnswer, solved: Conduction) -> int:
        leads = lost_leads(design, at.network, solved)
        some = (one for one in leads if (one.regulator, one.key) == (regulator, "senses"))
        return join(_unstopped(one, trip) for one in some) & _loaded(
            at.network, solved, f"parts/{alternator}"
        )

    by_switches = [
        UncontrolledLead("senses", at.state.name, (), relay) for at in others if lanes(at, at.healthy)
    ]
    parted = 0 if lanes(answer, answer.healthy) else lanes(answer, answer.failed)
    elements = dict.fromkeys(answer.failures[i].element for i in bits(parted))
    by_failure = [UncontrolledLead("senses", answer.state.name, tuple(elements), relay)] if elements else []
    return (*by_failure, *by_switches)


def _loaded(network: Network, solved: Conduction, element: str) -> int:
    """The lanes in which a source is across a load, a coil or another source."""
    others = [PoweredDevice(s.element, (s.positive,), (s.negative,)) for s in network.sources]
    users = (*network.consumers, *network.coils, *(one for one in others if one.element != element))
    return join(served(user, solved.fed[element], solved.returned[element]) for user in users)
