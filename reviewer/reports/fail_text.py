"""The effects of a failure for a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from reviewer.model.design import Design
from reviewer.model.name_lists import and_list
from reviewer.questions.effects import Effect, RemainingRedundancy
from reviewer.questions.fail import Failure, WhatFails
from reviewer.reports.degraded_text import degraded_lines
from reviewer.reports.effects import words as words
from reviewer.reports.layout import LABEL, NARROWEST, caution_lines, headed, labelled, lines_of
from reviewer.reports.sneak_words import sneak_sentences
from reviewer.reports.wording import counted, element_words, in_state, shown

#: a list of at most so many names is printed again
SHORT_LIST = 3


def fail_text(file: str, design: Design, answer: WhatFails, width: int = 100) -> str:
    """The whole answer; failures with the same effects stand together."""
    width = max(width, NARROWEST)
    lines = headed(
        f"{shown(file)}: {element_words(answer.element)}, {answer.kind}, failure in {shown(answer.state)}",
        width,
    )
    lines += lines_of(f"State: {in_state(answer.state, answer.switches)}.", width)
    lines += lines_of(words.off_words(answer.off), width) if answer.off else []
    for sentence in (*sneak_sentences(answer.sneaks), *words.beside_words(answer.sneaks)):
        lines += lines_of(sentence, width)
    for sentence in answer.untried:
        lines += ["", *lines_of(shown(sentence), width)]
    listed: dict[tuple[Failure, ...], str] = {}
    for modes, effect in _alike(design, answer):
        lines += ["", *_effect(design, answer, modes, effect, listed, width)]
    lines += degraded_lines(design, answer, width)
    lines += ["", "Limitations"]
    asked = " or ".join(f"`--mode {mode}`" for mode in answer.by_ohms)
    by_ohms = (f"Degraded joints, contacts and diodes are solved only with {asked}.",) if asked else ()
    for sentence in (*words.LIMITS, *by_ohms):
        lines += lines_of(f"- {sentence}", width, 2, 4)
    return "\n".join([*lines, "", *caution_lines(width)]) + "\n"


def _alike(design: Design, answer: WhatFails) -> Iterator[tuple[list[str], Effect]]:
    groups: list[tuple[list[str], Effect]] = []
    for effect in answer.effects:
        for modes, first in groups:
            named = {name: getattr(first, name) for name in ("failure", "words", "mode", "key", "at")}
            same = replace(effect, **named) == first
            if same and list(_crew(design, answer, effect)) == list(_crew(design, answer, first)):
                modes.append(effect.words)
                break
        else:
            groups.append(([effect.words], effect))
    yield from groups


def _crew(design: Design, answer: WhatFails, effect: Effect) -> Iterator[str]:
    """What the crew can do for the functions that are lost; those that no action restores are one line."""
    never = []
    for name, _ in effect.functions:
        found = answer.crew[name]
        if not design.operation or not design.operation.actions:
            yield f"{shown(name)}: {words.NO_ACTIONS}"
        elif ways := found.ways.get(effect.failure):
            yield f"{shown(name)} recoverable {' or '.join(words.recovery_words(way) for way in ways)}"
        else:
            never.append(shown(name))
        if found.untried:
            yield shown(found.untried)
    if never:
        it = "it" if len(never) == 1 else "them"
        yield f"{and_list(never)} not recoverable in flight: no declared action restores {it}"


def _effect(
    design: Design,
    answer: WhatFails,
    modes: Sequence[str],
    effect: Effect,
    listed: dict[tuple[Failure, ...], str],
    width: int,
) -> Iterator[str]:
    for mode in modes:
        yield from lines_of(f"{element_words(answer.element)} {shown(mode)}", width)
    yield from labelled("local effect", words.local_effect(effect), width, 2)
    yield from labelled("functions lost", words.functions_lost(design, effect), width, 2)
    yield from labelled("indication", words.indication(design, effect), width, 2)
    for sentence in _crew(design, answer, effect):
        yield from labelled("crew action", sentence, width, 2)
    reduced = [one for one in effect.remaining if one.reduced]
    yield from _redundancy(reduced, answer, modes[0], listed, width)
    same = [one.function for one in effect.remaining if not one.reduced]
    if same:
        yield from labelled("as before", ", ".join(map(shown, same)), width, 2)


def _redundancy(
    reduced: Sequence[RemainingRedundancy],
    answer: WhatFails,
    mode: str,
    listed: dict[tuple[Failure, ...], str],
    width: int,
) -> Iterator[str]:
    """Functions with less redundancy, together where their next failures are the same.

    ``listed`` has what was printed, with the mode under which it stands: a long list stands once.
    """
    together: dict[tuple[Failure, ...], list[RemainingRedundancy]] = {}
    for one in reduced:
        together.setdefault(one.next_failures, []).append(one)
    for further, same in together.items():
        for one in same:
            alone = len(answer.single_failures.get(one.function, ()))
            already = (
                f"; {counted(alone, 'single failure')} would cause its loss in any case" if alone else ""
            )
            text = f"{shown(one.function)}: {words.channels_words(one)}{already}"
            yield from labelled("redundancy", text, width, 2)
        if further:
            elements = tuple(dict.fromkeys(f.element for f in further))
            lost = and_list([shown(one.function) for one in same])
            count = counted(len(further), "further single failure")
            names = f"failures of {words.names(elements)}"
            if len(elements) > SHORT_LIST and listed.setdefault(further, mode) != mode:
                names = f"the same as after {element_words(answer.element)} {shown(listed[further])}"
            yield from lines_of(f"{count} would cause loss of {lost}: {names}", width, 2 + LABEL)
