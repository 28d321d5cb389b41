"""What else may come of a short: a protector further upstream may clear it first.

Around the fault zone of a short are the protectors that carry its current. Let one of them not
open: the zone then extends up to the next protectors. Where the ratings of each of these ensure
that it opens later, selectivity holds. Where some do not, these may open with the nearest one;
where none does, and no source is between, they may open instead of it, and all that they feed is
dead.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from reviewer.analysis.conduction.failure_modes import SHORT, Failure
from reviewer.analysis.conduction.fixed_point import Conduction, carriers, conduct
from reviewer.analysis.conduction.states import StateAnswer, conducts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.ratings.opening_order import Selectivity, selectivity
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, bare


@record
class LateOutcome:
    """A short, ``failures[index]`` of a state, that ``nearest`` may not clear first.

    Those of ``first``, further upstream, may open before it. ``failure`` is the short with what
    then happens.
    """

    index: int
    nearest: str
    first: tuple[str, ...]
    failure: Failure


def of_parts(design: Design, upper: str, lower: str) -> Selectivity:
    """Whether the ratings of two protectors in series, by name, are selective.

    Raises NotAssessable, naming the rating that is missing.
    """
    one, other = design.parts[upper], design.parts[lower]
    if one.rating is None or other.rating is None:
        raise NotAssessable(f"`rating` of {upper if one.rating is None else lower}")
    return selectivity(one.kind, one.rating, other.kind, other.rating)


def late_outcomes(design: Design, network: Network, answer: StateAnswer) -> tuple[LateOutcome, ...]:
    """Every late outcome of one short of each fault zone, in the healthy state otherwise."""
    carrying = _carrying(network, answer, answer.failed)
    nearest = [
        (i, element)
        for i in (zone[0] for zone in _zones(answer))
        for element, mask in carrying.items()
        if mask >> i & 1
    ]
    if not nearest:
        return ()
    shorts = [replace(answer.failures[i], passes=frozenset({element})) for i, element in nearest]
    passed = conduct(network, answer.state, shorts, answer.healthy)
    then = _carrying(network, answer, passed)
    outcomes: list[LateOutcome] = []
    for j, (i, element) in enumerate(nearest):
        further = [e for e, mask in then.items() if mask >> j & 1 and not carrying.get(e, 0) >> i & 1]
        early = tuple(e for e in further if not opens_later(design, e, element))
        if early:
            alone = len(early) == len(further) and not _source_in_zone(network, answer, passed, j)
            late = shorts[j] if alone else replace(answer.failures[i], opened=frozenset(early))
            outcomes.append(LateOutcome(i, element, early, late))
    return tuple(outcomes)


def late_failures(
    design: Design, network: Network, answer: StateAnswer
) -> Mapping[Failure, tuple[Failure, ...]]:
    """Each short of a state that may be cleared further upstream -> the short with each late outcome.

    The shorts of one fault zone have the same outcomes.
    """
    by_zone: dict[int, list[Failure]] = {}
    for outcome in late_outcomes(design, network, answer):
        by_zone.setdefault(outcome.index, []).append(outcome.failure)
    return {
        answer.failures[i]: tuple(
            replace(answer.failures[i], passes=late.passes, opened=late.opened) for late in by_zone[zone[0]]
        )
        for zone in _zones(answer)
        if zone[0] in by_zone
        for i in zone
    }


def _source_in_zone(network: Network, answer: StateAnswer, solved: Conduction, lane: int) -> bool:
    """Whether a live source is in the fault zone of a lane."""
    alive = answer.healthy.alive
    return any(solved.zone[s.positive] >> lane & 1 and alive[s.element] for s in network.sources)


def _zones(answer: StateAnswer) -> list[list[int]]:
    """The shorts, by number, of each fault zone."""
    width = answer.failed.width
    rows = (f"{mask:0{width}b}"[::-1] for mask in dict.fromkeys(answer.failed.zone))
    columns = list(zip(*rows, strict=True))
    zones: dict[tuple[str, ...], list[int]] = {}
    for i, failure in enumerate(answer.failures):
        if failure.mode == SHORT:
            zones.setdefault(columns[i], []).append(i)
    return list(zones.values())


def _carrying(network: Network, answer: StateAnswer, solved: Conduction) -> dict[str, int]:
    """For each protector, the lanes in which it carries current into the fault zone."""
    lanes: dict[str, int] = {}
    for i, mask in carriers(network, solved):
        if conducts(network, answer, i):
            element = network.links[i].element
            lanes[element] = lanes.get(element, 0) | mask
    return lanes


def opens_later(design: Design, further: str, nearest: str) -> bool:
    """Whether the ratings ensure that a protector further upstream opens later than the nearest.

    An unknown rating is taken to ensure it at the concept stage only.
    """
    try:
        return of_parts(design, bare(further), bare(nearest)).promised
    except NotAssessable:
        return design.aircraft.stage == "concept"
