"""Shorts that a protector further up may clear first: the second outcome, where the ratings do not promise that the nearest opens.

Round the zone of a short stand the protectors that carry its current. Let one of them be late: what then is dead reaches up to the next protectors.
Where each of these is promised to outlast the late one, it is not late. Where some are not promised, they may open with it; where none is, and no
source stands between, they may open instead of it, and all that they feed is dead.
"""

from __future__ import annotations

from collections.abc import Mapping
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
class Late:
    """A short that ``protector`` may clear too late: ``first`` are the protectors further up that may open before it.

    ``lost`` are the functions that live where it opens in time, and not where it is late. ``unrated`` are those of ``protector`` and
    ``first`` that have no rating, where the promise hangs on it.
    """

    protector: str
    first: tuple[str, ...]
    state: str
    failure: Failure
    lost: tuple[str, ...]
    unrated: tuple[str, ...]


def of_parts(design: Design, upper: str, lower: str) -> Selectivity:
    """What the ratings of two protectors in a row, by name, promise. Raises NotAssessable, naming the rating that is missing."""
    one, other = design.parts[upper], design.parts[lower]
    if one.rating is None or other.rating is None:
        raise NotAssessable(f"`rating` of {upper if one.rating is None else lower}")
    return selectivity(one.kind, one.rating, other.kind, other.rating)


def late_protectors(design: Design, network: Network, answer: StateAnswer) -> tuple[Late, ...]:
    """Every nearest protector that may be late, for one short of each zone in a state; also those by which nothing more is lost."""
    carrying = _carrying(network, answer, answer.failed)
    nearest = [(i, element) for i in _zones(answer) for element, mask in carrying.items() if mask >> i & 1]
    shorts = [replace(answer.failures[i], passes=frozenset({element})) for i, element in nearest]
    if not shorts:
        return ()
    passed = conduct(network, answer.state, shorts, answer.healthy)
    then = _carrying(network, answer, passed)
    found: list[tuple[int, Failure, tuple[str, ...]]] = []
    cases: list[Case] = []
    for j, (i, element) in enumerate(nearest):
        following = [e for e, mask in then.items() if mask >> j & 1 and not carrying.get(e, 0) >> i & 1]
        doubtful = tuple(e for e in following if not _outlasts(design, e, element))
        if not doubtful:
            continue
        between = any(
            passed.zone[s.positive] >> j & 1 and answer.healthy.alive[s.element] for s in network.sources
        )
        all_of_them = len(doubtful) == len(following) and not between
        cases.append(
            shorts[j] if all_of_them else (answer.failures[i], *(Failure(e, OPEN) for e in doubtful))
        )
        found.append((i, shorts[j], doubtful))
    second = conduct(network, answer.state, cases, answer.healthy) if cases else passed
    lives = function_masks(design, second.powered, (1 << len(cases)) - 1)
    return tuple(
        _late(design, answer, lives, k, i, short, doubtful) for k, (i, short, doubtful) in enumerate(found)
    )


def _zones(answer: StateAnswer) -> list[int]:
    """One short for each zone that shorts make dead."""
    shorts = [i for i, failure in enumerate(answer.failures) if failure.mode == SHORT]
    zones: dict[tuple[str, ...], int] = {}
    columns = list(
        zip(
            *(f"{mask:0{answer.failed.width}b}"[::-1] for mask in dict.fromkeys(answer.failed.zone)),
            strict=True,
        )
    )
    for i in shorts:
        zones.setdefault(columns[i], i)
    return list(zones.values())


def _carrying(network: Network, answer: StateAnswer, solved: Conduction) -> dict[str, int]:
    """For each protector, the lanes in which it carries the current of a short: it stands between its zone and something that lives on."""
    found: dict[str, int] = {}
    for i, mask in carriers(network, solved):
        if conducts(network, answer, i):
            element = network.links[i].element
            found[element] = found.get(element, 0) | mask
    return found


def _outlasts(design: Design, further: str, nearest: str) -> bool:
    """Whether a protector further up is promised to open later than the nearest. A rating that is not known promises it at the concept stage only."""
    try:
        return of_parts(design, bare(further), bare(nearest)).promised
    except NotAssessable:
        return design.aircraft.stage == "concept"


def _late(
    design: Design,
    answer: StateAnswer,
    lives: Mapping[str, int],
    k: int,
    i: int,
    short: Failure,
    first: tuple[str, ...],
) -> Late:
    wanted = [
        f
        for f, works in answer.functions.items()
        if works >> i & 1 and answer.alive[f] and f not in answer.state.without
    ]
    lost = tuple(f for f in wanted if not lives[f] >> k & 1)
    (element,) = short.passes
    unrated = tuple(e for e in (element, *first) if design.parts[bare(e)].rating is None)
    return Late(element, first, answer.state.name, short, lost, unrated)
