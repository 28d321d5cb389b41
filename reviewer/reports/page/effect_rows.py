"""The single failures as the page lists them: those that do the same in one row."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from reviewer.model.design import Design
from reviewer.network.graph import bare
from reviewer.questions.effects import Effect
from reviewer.questions.naming import kind_of
from reviewer.reports.effects import words as words

#: names in one list of a row at most; the schematic shows all of them
MOST_NAMES = 20


@dataclass(frozen=True)
class RowElement:
    """A part, wire or bundle with its failure in words.

    ``label`` is its name, or the terminal that tells it from another row of that name.
    """

    name: str
    words: str
    label: str


@dataclass(frozen=True)
class EffectRow:
    """Failures of one kind of part and one mode that do the same.

    ``functions`` are (name, hazard class, after how long).
    """

    kind: str
    mode: str
    local: str
    functions: tuple[tuple[str, str, str], ...]
    indication: str
    remaining: str
    hazard: str
    failed: tuple[RowElement, ...]


def effect_rows(design: Design, effects: Sequence[Effect]) -> list[EffectRow]:
    """The failures that change something, in the order of the effects."""
    groups: dict[tuple[str, str, str, tuple[tuple[str, str, str], ...], str, str], list[Effect]] = {}
    for effect in effects:
        if not effect.nothing:
            key = (
                kind_of(design, effect.failure.element),
                mode_of(effect),
                words.local_effect(effect, MOST_NAMES),
                tuple(
                    (name, hazard.word, words.lost_after(effect, name)) for name, hazard in effect.functions
                ),
                words.indication(design, effect),
                remaining_of(effect),
            )
            groups.setdefault(key, []).append(effect)
    return [
        EffectRow(
            *key,
            same[0].hazard.word if same[0].hazard is not None else "",
            _failed(same),
        )
        for key, same in groups.items()
    ]


def without_effect(effects: Sequence[Effect]) -> list[tuple[str, list[str]]]:
    """The failures that change nothing, by mode, with the names of what fails."""
    found: dict[str, dict[str, None]] = {}
    for effect in effects:
        if effect.nothing:
            found.setdefault(mode_of(effect), {})[bare(effect.failure.element)] = None
    return [(mode, list(names)) for mode, names in found.items()]


def mode_of(effect: Effect) -> str:
    """How it fails, without the terminal; of a switch with the position at which it stays."""
    failure = effect.failure
    return effect.words if failure.position else f"{effect.mode}{failure.clearing}"


def _failed(effects: Sequence[Effect]) -> tuple[RowElement, ...]:
    """What fails; an element that is listed twice is labelled by the terminal at which it fails."""
    names = [bare(effect.failure.element) for effect in effects]
    return tuple(
        RowElement(name, effect.words, effect.at if names.count(name) > 1 and effect.at else name)
        for name, effect in zip(names, effects, strict=True)
    )


def remaining_of(effect: Effect) -> str:
    """The functions with less redundancy than before.

    Channels that work of those there are, and how many single failures would now take the function.
    """
    found = []
    for one in effect.remaining:
        if one.reduced:
            further = f" ({len(one.next_failures)})" if one.next_failures else ""
            found.append(f"{one.function} {len(one.channels)} of {len(one.of)}{further}")
    return ", ".join(found) or "as before"
