"""The failure effects as they are printed: a row for all failures that lose the same functions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from reviewer.model.design import Design
from reviewer.model.review import HazardClass
from reviewer.network.graph import bare
from reviewer.questions.effects import Effect
from reviewer.reports.effects import words
from reviewer.reports.page.effect_rows import mode_of, remaining_of
from reviewer.reports.page.printed_rows import in_runs
from reviewer.reports.wording import shown

#: rows, and names in one list of a local effect, at most
MOST_ROWS, PRINTED_NAMES = 40, 5
#: the lists of a local effect
_LISTS = (
    *("sources", "fields_on", "unloaded", "uncharged", "overloaded", "protection", "dropped_out"),
    *("energised", "moved", "buses", "loads", "low", "newly_powered", "silenced", "hot", "full_field"),
    "on_own_battery",
)


@dataclass(frozen=True)
class PrintedEffect:
    """Failures after which the same is lost, shown and left, and how many they are.

    ``failures`` are (mode, names); ``local`` is what all of them do, then what some of them do as well;
    ``functions`` are (name, hazard class, after how long).
    """

    failures: tuple[tuple[str, str], ...]
    number: int
    local: str
    functions: tuple[tuple[str, str, str], ...]
    indication: str
    remaining: str


def printed_effects(design: Design, effects: Sequence[Effect]) -> list[PrintedEffect]:
    """The rows with loss of a catastrophic or hazardous function: the gravest, then those that lose the
    most, first."""
    groups: dict[tuple[Any, ...], list[Effect]] = {}
    for effect in effects:
        if effect.hazard is not None and effect.hazard >= HazardClass.HAZARDOUS:
            groups.setdefault(_lost(design, effect), []).append(effect)
    all_of = Counter((e.failure.element, mode_of(e)) for e in effects)
    order = sorted(groups.values(), key=lambda same: (-same[0].functions[0][1], -len(same[0].functions)))
    return [
        PrintedEffect(
            tuple(_failures(same, all_of)),
            len(same),
            _local(same),
            tuple((shown(n), hazard.word, words.lost_after(same[0], n)) for n, hazard in same[0].functions),
            words.indication(design, same[0]),
            remaining_of(same[0]),
        )
        for same in order[:MOST_ROWS]
    ]


def _lost(design: Design, effect: Effect) -> tuple[Any, ...]:
    """What failures of one row have alike."""
    own = effect.failure.element if effect.failure.element in effect.silenced else ""
    return (
        *(effect.functions, effect.lost_after, words.indication(design, effect), remaining_of(effect)),
        *(effect.unsettled, effect.uncommanded, own),
    )


def _failures(same: Sequence[Effect], all_of: Counter[tuple[str, str]]) -> Iterator[tuple[str, str]]:
    """What fails, by mode; an element that fails so at other terminals with another effect is named by
    its terminals."""
    here = Counter((e.failure.element, mode_of(e)) for e in same)
    modes: dict[str, dict[str, None]] = {}
    for effect in same:
        key = effect.failure.element, mode_of(effect)
        whole = not effect.at or here[key] == all_of[key]
        modes.setdefault(key[1], {})[shown(bare(key[0]) if whole else effect.at)] = None
    for mode, names in modes.items():
        yield shown(mode), ", ".join(in_runs(names))


def _local(same: Sequence[Effect]) -> str:
    """What all failures of a row do, and what some of them do as well."""
    common: dict[str, Any] = {}
    more: dict[str, Any] = {}
    for key in _LISTS:
        lists = [getattr(effect, key) for effect in same]
        shared = set(lists[0]).intersection(*lists[1:])
        every = dict.fromkeys(one for others in lists for one in others)
        common[key] = tuple(one for one in every if one in shared)
        more[key] = tuple(one for one in every if one not in shared)
    told = words.local_effect(replace(same[0], **common), PRINTED_NAMES)
    if not any(more.values()):
        return told
    also = words.local_effect(replace(same[0], unsettled=False, **more), PRINTED_NAMES)
    return f"of some: {also}" if told == "none" else f"{told}; of some also: {also}"
