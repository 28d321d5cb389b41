"""What a failure does, for a terminal: what dies, what shows it, what is left, what the crew can do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.model.design import Design
from reviewer.questions.effects import Effect, Left
from reviewer.questions.fail import WhatFails
from reviewer.reports.effects import words as words
from reviewer.reports.layout import NARROWEST, caution_lines, headed, labelled, lines_of
from reviewer.reports.wording import and_list, counted, element_words, in_state, shown


def fail_text(file: str, design: Design, answer: WhatFails, width: int = 100) -> str:
    """The whole answer; failures that do the same are told once. The cautions stand at the end."""
    width = max(width, NARROWEST)
    lines = headed(
        f"{shown(file)}: {element_words(answer.element)}, {answer.kind}, fails in {shown(answer.state)}",
        width,
    )
    lines += lines_of(f"State: {in_state(answer.state, answer.switches)}.", width)
    lines += lines_of(words.off_words(answer.off), width) if answer.off else []
    for sentence in answer.untried:
        lines += ["", *lines_of(shown(sentence), width)]
    for modes, effect in _alike(design, answer):
        lines += ["", *_effect(design, answer, modes, effect, width)]
    lines += ["", "Not covered"]
    for sentence in words.LIMITS:
        lines += lines_of(f"- {sentence}", width, 2, 4)
    return "\n".join([*lines, "", *caution_lines(width)]) + "\n"


def _alike(design: Design, answer: WhatFails) -> Iterator[tuple[list[str], Effect]]:
    groups: list[tuple[list[str], Effect]] = []
    for effect in answer.effects:
        for modes, first in groups:
            same = replace(effect, failure=first.failure, words=first.words, at=first.at) == first
            if same and list(_crew(design, answer, effect)) == list(_crew(design, answer, first)):
                modes.append(effect.words)
                break
        else:
            groups.append(([effect.words], effect))
    yield from groups


def _crew(design: Design, answer: WhatFails, effect: Effect) -> Iterator[str]:
    """For each function that is lost, what the crew can do."""
    for name, _ in effect.functions:
        found = answer.crew[name]
        if not design.operation or not design.operation.actions:
            yield f"{shown(name)}: {words.NO_ACTIONS}"
        elif ways := found.ways.get(effect.failure):
            yield f"{shown(name)} comes back {' or '.join(words.recovery_words(way) for way in ways)}"
        else:
            yield f"{shown(name)}: no declared action brings it back"
        if found.untried:
            yield shown(found.untried)


def _effect(
    design: Design, answer: WhatFails, modes: Sequence[str], effect: Effect, width: int
) -> Iterator[str]:
    for mode in modes:
        yield from lines_of(f"{element_words(answer.element)} {shown(mode)}", width)
    yield from labelled("effect", words.local_effect(effect), width, 2)
    yield from labelled("lost", words.functions_lost(design, effect), width, 2)
    yield from labelled("shows", words.indication(design, effect), width, 2)
    for sentence in _crew(design, answer, effect):
        yield from labelled("crew", sentence, width, 2)
    yield from _left([left for left in effect.left if left.touched], answer, width)
    same = [left.function for left in effect.left if not left.touched]
    if same:
        yield from labelled("as before", ", ".join(map(shown, same)), width, 2)


def _left(touched: Sequence[Left], answer: WhatFails, width: int) -> Iterator[str]:
    """Functions that live on with less behind them; those that the same failures would now take are told together."""
    together: dict[tuple[Failure, ...], list[Left]] = {}
    for left in touched:
        together.setdefault(left.takers, []).append(left)
    for takers, same in together.items():
        for left in same:
            anyway = len(answer.anyway.get(left.function, ()))
            already = f"; {counted(anyway, 'single failure')} would take it anyway" if anyway else ""
            yield from labelled(
                "left", f"{shown(left.function)}: {words.channels_words(left)}{already}", width, 2
            )
        if takers:
            elements = tuple(dict.fromkeys(f.element for f in takers))
            what = and_list([shown(left.function) for left in same])
            yield from lines_of(
                f"{counted(len(takers), 'single failure')} would now take {what}, of: {words.names(elements)}",
                width,
                13,
            )
