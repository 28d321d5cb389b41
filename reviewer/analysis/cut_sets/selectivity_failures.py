"""Failures of selectivity: shorts that a protector further upstream may clear first.

Around the fault zone of a short are the protectors that carry its current. Let one of them not
open: the zone then extends up to the next protectors. Where the ratings of each of these ensure
that it opens later, selectivity holds. Where some do not, these may open with the nearest one;
where none does, and no source is between, they may open instead of it, and all that they feed is
dead.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from reviewer.analysis.conduction.failure_modes import OPEN, SHORT, Failure
from reviewer.analysis.conduction.fixed_point import Conduction, carriers, conduct
from reviewer.analysis.conduction.scenarios import Case
from reviewer.analysis.conduction.states import StateAnswer, conducts, function_masks
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.ratings.opening_order import Selectivity, selectivity
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, bare


@record
class SelectivityFailure:
    """A short that ``protector`` may not clear first: those of ``first``, further upstream, may
    open before it.

    ``lost`` are the functions that work if it opens first, and not otherwise. ``unrated`` are those
    of ``protector`` and ``first`` without a rating.
    """

    protector: str
    first: tuple[str, ...]
    state: str
    failure: Failure
    lost: tuple[str, ...]
    unrated: tuple[str, ...]


def of_parts(design: Design, upper: str, lower: str) -> Selectivity:
    """Whether the ratings of two protectors in series, by name, are selective.

    Raises NotAssessable, naming the rating that is missing.
    """
    one, other = design.parts[upper], design.parts[lower]
    if one.rating is None or other.rating is None:
        raise NotAssessable(f"`rating` of {upper if one.rating is None else lower}")
    return selectivity(one.kind, one.rating, other.kind, other.rating)


def selectivity_failures(
    design: Design, network: Network, answer: StateAnswer
) -> tuple[SelectivityFailure, ...]:
    """Every nearest protector that may not open first, for one short of each fault zone in a state.

    Those that lose no function are included.
    """
    carrying = _carrying(network, answer, answer.failed)
    nearest = [(i, element) for i in _zones(answer) for element, mask in carrying.items() if mask >> i & 1]
    if not nearest:
        return ()
    shorts = [replace(answer.failures[i], passes=frozenset({element})) for i, element in nearest]
    passed = conduct(network, answer.state, shorts, answer.healthy)
    then = _carrying(network, answer, passed)
    doubtful: list[_Doubtful] = []
    for j, (i, element) in enumerate(nearest):
        further = [e for e, mask in then.items() if mask >> j & 1 and not carrying.get(e, 0) >> i & 1]
        early = tuple(e for e in further if not _opens_later(design, e, element))
        if early:
            alone = len(early) == len(further) and not _source_in_zone(network, answer, passed, j)
            opened = tuple(Failure(e, OPEN) for e in early)
            case: Case = shorts[j] if alone else (answer.failures[i], *opened)
            doubtful.append(_Doubtful(i, shorts[j], early, case))
    return _described(design, answer, doubtful)


@record
class _Doubtful:
    """A short (number ``index`` of the state) for which the protectors ``early`` may open first.

    ``case`` is what then happens.
    """

    index: int
    short: Failure
    early: tuple[str, ...]
    case: Case


def _source_in_zone(network: Network, answer: StateAnswer, solved: Conduction, lane: int) -> bool:
    """Whether a live source is in the fault zone of a lane."""
    alive = answer.healthy.alive
    return any(solved.zone[s.positive] >> lane & 1 and alive[s.element] for s in network.sources)


def _zones(answer: StateAnswer) -> list[int]:
    """One short, by its number, for each fault zone."""
    width = answer.failed.width
    rows = (f"{mask:0{width}b}"[::-1] for mask in dict.fromkeys(answer.failed.zone))
    columns = list(zip(*rows, strict=True))
    zones: dict[tuple[str, ...], int] = {}
    for i, failure in enumerate(answer.failures):
        if failure.mode == SHORT:
            zones.setdefault(columns[i], i)
    return list(zones.values())


def _carrying(network: Network, answer: StateAnswer, solved: Conduction) -> dict[str, int]:
    """For each protector, the lanes in which it carries current into the fault zone."""
    lanes: dict[str, int] = {}
    for i, mask in carriers(network, solved):
        if conducts(network, answer, i):
            element = network.links[i].element
            lanes[element] = lanes.get(element, 0) | mask
    return lanes


def _opens_later(design: Design, further: str, nearest: str) -> bool:
    """Whether the ratings ensure that a protector further upstream opens later than the nearest.

    An unknown rating is taken to ensure it at the concept stage only.
    """
    try:
        return of_parts(design, bare(further), bare(nearest)).promised
    except NotAssessable:
        return design.aircraft.stage == "concept"


def _described(
    design: Design, answer: StateAnswer, doubtful: Sequence[_Doubtful]
) -> tuple[SelectivityFailure, ...]:
    """What each of these loses that it would not lose if the nearest protector opened first."""
    if not doubtful:
        return ()
    cases = [one.case for one in doubtful]
    solved = conduct(answer.network, answer.state, cases, answer.healthy)
    works = function_masks(design, solved.powered, (1 << len(cases)) - 1)
    wanted = [f for f in answer.functions if answer.alive[f] and f not in answer.state.without]
    described = []
    for lane, one in enumerate(doubtful):
        lost = tuple(f for f in wanted if answer.functions[f] >> one.index & 1 and not works[f] >> lane & 1)
        (element,) = one.short.passes
        unrated = tuple(e for e in (element, *one.early) if design.parts[bare(e)].rating is None)
        described.append(SelectivityFailure(element, one.early, answer.state.name, one.short, lost, unrated))
    return tuple(described)
