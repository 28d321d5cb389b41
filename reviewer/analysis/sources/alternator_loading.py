"""Load on an alternator or battery at nominal volts, and undervoltage of loads on an alternator
without its battery."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.answers import States
from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.masks import served
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import OperatingPoints
from reviewer.analysis.operating_point.assumptions import Assumptions
from reviewer.analysis.operating_point.devices import amps_of
from reviewer.analysis.sources.alternators import charges
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, bare

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.solved_state import OperatingPoint

#: share of the output of an alternator up to which it carries the loads at nominal volts for
#: certain: they take more at its set point, and field and wires take some
SURELY = 0.85


@record
class NominalDraw:
    """Amperes that loads and coils take at nominal volts, by element; ``unsaid`` are those whose
    current the file does not give, with the missing key."""

    amps: Mapping[str, float]
    unsaid: Mapping[str, str]

    @property
    def total(self) -> float:
        """All of it, amperes."""
        return sum(self.amps.values())


def nominal_draw(
    design: Design, network: Network, answer: StateAnswer, phase: str | None, sources: Collection[str]
) -> NominalDraw:
    """What the loads and coils take that some sources power in a state, by the figures of the file,
    without solving anything."""
    assumptions = Assumptions()
    amps: dict[str, float] = {}
    for user in (*network.consumers, *network.coils):
        if not any(
            s in answer.healthy.fed and served(user, answer.healthy.fed[s], answer.healthy.returned[s])
            for s in sources
        ):
            continue
        part = design.parts[bare(user.element)]
        if isinstance(part, p.Consumer):
            amps[user.element] = amps_of(part, user.element, (phase,) if phase else (), assumptions)
        elif part.coil_current is None:
            amps[user.element], assumptions.undrawn[user.element] = 0.0, "`coil-current`"
        else:
            amps[user.element] = part.coil_current
    return NominalDraw(amps, assumptions.undrawn)


@record
class LoadLostWithBattery:
    """A load that has less than its minimum when a battery opens."""

    load: str
    battery: str
    flown: str
    state: str
    volts: float
    minimum: float


def lost_with_battery(
    states: States, points: OperatingPoints, answers: Iterable[StateAnswer], element: str
) -> tuple[LoadLostWithBattery, ...]:
    """Loads that get less than their minimum from an alternator when a battery opens, and had it
    before, in what is flown in some states. Solved only where the loads may be more than it can
    give.

    Raises NotAssessable.
    """
    design, network = states.design, states.network
    limit = design.part(bare(element), p.Alternator).most
    if limit is None:
        raise NotAssessable(f"`rating` of {bare(element)}")
    found: list[LoadLostWithBattery] = []
    for answer in answers:
        batteries = [c.battery for c in charges(network, answer, element)]
        for flown in points.flown_in([answer.state.name]) if batteries else ():
            draw = nominal_draw(design, network, answer, flown.phase, (element,))
            for load, key in draw.unsaid.items():
                if isinstance(design.parts[bare(load)], p.Consumer):
                    raise NotAssessable(f"{key} of {bare(load)}")
            if draw.total <= SURELY * limit:
                continue
            for battery in batteries:
                after = points.operating_point(flown.state, flown.phase, (Failure(battery, OPEN),))
                found += _starved(design, points.point(flown), after, str(flown), battery)
    return tuple(found)


def _starved(
    design: Design, before: OperatingPoint, after: OperatingPoint, flown: str, battery: str
) -> Iterator[LoadLostWithBattery]:
    """The loads that had their minimum at one point and do not at another, at which a battery is
    open."""
    for load, volts in after.across.items():
        least = design.parts[bare(load)].minimum
        if least is not None and volts < least <= before.across.get(load, 0.0):
            yield LoadLostWithBattery(load, battery, flown, after.state, volts, least)


@record
class CoilShare:
    """In a state on battery alone: what a coil takes, and what all loads and coils of its battery
    take, amperes at nominal volts."""

    state: str
    coil: float
    all: float


def coil_shares(states: States, coil: str) -> tuple[CoilShare, ...]:
    """What a coil takes of all that its battery gives, in the states in which the engine runs, no
    alternator does, and the coil is energised. Main batteries that feed a load together have equal
    parts of it; what a reserve feeds is left out. Raises NotAssessable."""
    design, network, found = states.design, states.network, []
    for answer in states.answers():
        if answer.state.engine != "running" or answer.state.use == "ground":
            continue
        if not answer.healthy.energised[coil]:
            continue
        if any(answer.healthy.alive[s.element] for s in network.sources if s.kind != "battery"):
            continue
        sources = tuple(s.element for s in network.sources if _serves(network, answer, s.element, coil))
        draw = nominal_draw(design, network, answer, None, sources)
        if coil not in draw.amps:  # a relay that does not settle
            continue
        own, feeds = dict(draw.amps), dict[str, int]()
        for source in (s.element for s in network.sources if s.element not in sources):
            part = design.parts[bare(source)]
            shared = isinstance(part, p.Battery) and part.purpose == "main"
            for element in nominal_draw(design, network, answer, None, (source,)).amps:
                if shared and element in own:
                    feeds[element] = feeds.get(element, 1) + 1
                else:
                    own.pop(element, None)
        for element in (e for e in draw.unsaid if e in own or e == coil):
            raise NotAssessable(f"{draw.unsaid[element]} of {bare(element)}")
        together = sum(amps / feeds.get(e, 1) for e, amps in own.items())
        found.append(CoilShare(answer.state.name, draw.amps[coil], together))
    return tuple(found)


def _serves(network: Network, answer: StateAnswer, source: str, coil: str) -> bool:
    """Whether a source powers a coil in a state."""
    user = next(c for c in network.coils if c.element == coil)
    return source in answer.healthy.fed and bool(
        served(user, answer.healthy.fed[source], answer.healthy.returned[source])
    )
