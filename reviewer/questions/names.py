"""What may be asked of a design file besides a review: how something is fed, what a failure does, what every failure does, volts and amperes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from reviewer.analysis.conduction.failure_modes import STAYS, Failure, Mode, stuck_contacts
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.carried import SolvedPhase, SolvedState
from reviewer.model import parts as p
from reviewer.model.article import with_article
from reviewer.network.graph import bare
from reviewer.questions.budget import Budget, budget
from reviewer.questions.effects import EffectsTable, effects, takers_after
from reviewer.questions.fail import (
    MODES,
    WhatFails,
    elements_named,
    failures_of,
    kind_of,
    modes_of,
    untried_words,
)
from reviewer.questions.trace import Trace, trace
from reviewer.questions.wires import WireTable, wire_table
from reviewer.reading import read_design


class NoAnswer(Exception):
    """A question that cannot be answered; the message says why, and what to ask or to write instead."""


def facts_of(path: Path) -> Facts:
    """The facts of a design file. Raises :class:`reviewer.reading.Unreadable`."""
    return Facts(read_design(path))


def trace_of(facts: Facts, name: str, state: str | None = None) -> Trace:
    """How a part, or a terminal as ``part.terminal``, is fed and returned in the declared states, or in one of them. Raises NoAnswer."""
    network, design = facts.network, facts.design
    if name in design.wires and name not in design.parts:
        wire = design.wires[name]
        raise NoAnswer(f"`{name}` is a wire; trace one of its ends: `{wire.from_}` or `{wire.to}`.")
    if name not in design.parts and name not in network.index:
        raise NoAnswer(unknown("part or terminal", name, (*design.parts, *network.index)))
    answers = facts.states.answers() if state is None and design.operation else (answer_in(facts, state),)
    return trace(design, network, answers, name)


def fail_of(facts: Facts, name: str, mode: str | None = None, state: str | None = None) -> WhatFails:
    """What the failures of a part, wire or bundle do in a state: of one mode, as written on the command line, or of all that apply. Raises NoAnswer."""
    design = facts.design
    element, modes = _element_named(facts, name)
    answer = answer_in(facts, state)
    wanted = modes if mode is None else (_mode_of(facts, element, modes, mode),)
    failures = tuple(f for f in failures_of(answer, element) if f.mode in wanted)
    found = effects(
        answer, failures, facts.detection.signs(answer.state.name, failures), takers_after(answer, failures)
    )
    untried = tuple(untried_words(answer, element, m) for m in wanted if all(f.mode != m for f in failures))
    anyway = {
        n: tuple(f for i, f in enumerate(answer.failures) if not mask >> i & 1)
        for n, mask in answer.functions.items()
    }
    lost = dict.fromkeys(name for effect in found for name, _ in effect.functions)
    crew = {name: facts.crew.recoveries_from(name, answer.state.name, failures) for name in lost}
    return WhatFails(
        element,
        kind_of(design, element),
        answer.state.name,
        answer.switches,
        _off(answer),
        found,
        untried,
        anyway,
        crew,
    )


def _element_named(facts: Facts, name: str) -> tuple[str, tuple[Mode, ...]]:
    """The one element that goes by a name, and the modes in which it can fail. Raises NoAnswer."""
    network, design = facts.network, facts.design
    elements = elements_named(network, name)
    if not elements:
        raise NoAnswer(
            unknown("part, wire or bundle", name, (*design.parts, *design.wires, *network.bundles))
        )
    if len(elements) > 1:
        raise NoAnswer(
            f"`{name}` names {len(elements)} things; ask for {' or '.join(f'`{e}`' for e in elements)}."
        )
    return elements[0], modes_of(design, elements[0])


def _mode_of(facts: Facts, element: str, modes: tuple[Mode, ...], mode: str) -> Mode:
    """The mode that is written so on the command line. Raises NoAnswer where the element does not fail so."""
    if MODES.get(mode) not in modes:
        can = ", ".join(f"`{word}`" for word, m in MODES.items() if m in modes)
        raise NoAnswer(
            f"{bare(element)} is {with_article(kind_of(facts.design, element))} and does not fail as `{mode}`; it may fail as {can}."
        )
    return MODES[mode]


def solved_of(
    facts: Facts, state: str | None = None, failed: Sequence[str] = (), starting: Sequence[str] = ()
) -> SolvedState:
    """Volts and amperes of a state in each phase that is flown in it, after some failures (see :func:`failure_named`), while some loads start.

    Raises NoAnswer, also where the point of no phase can be solved, with what is missing.
    """
    answer = answer_in(facts, state)
    case = tuple(failure_named(facts, answer, text) for text in failed)
    for name in starting:
        part = facts.design.parts.get(name)
        if part is None:
            raise NoAnswer(unknown("load", name, facts.design.of_kind(p.Load)))
        if not isinstance(part, p.Load) or part.type not in ("motor", "starter", "lamp"):
            raise NoAnswer(
                f"{name} has no current at its start: it is no load of type `motor`, `starter` or `lamp`."
            )
    phases = []
    for flown in facts.points.flown:
        if flown.state == answer.state.name:
            try:
                phases.append(
                    SolvedPhase(
                        flown.phase,
                        facts.points.operating_point(flown.state, flown.phase, case, tuple(starting)),
                        "",
                    )
                )
            except NotAssessable as missing:
                phases.append(SolvedPhase(flown.phase, None, missing.needs))
    if not any(phase.point for phase in phases):
        raise NoAnswer(
            f"Volts and amperes of {answer.state.name} cannot be solved. Needed: {phases[0].needs}."
        )
    words = tuple((f.element, f.words(facts.network)) for f in case)
    return SolvedState(answer.state.name, answer.switches, words, tuple(starting), tuple(phases))


def failure_named(facts: Facts, answer: StateAnswer, text: str) -> Failure:
    """One failure as written on the command line: ``PART``, which opens, or ``PART=MODE``, or ``PART=MODE@PLACE`` where a short can be at more than one terminal
    or a switch stay at more than one position. Raises NoAnswer."""
    name, _, told = (
        text.partition("=") if "=" in text and not elements_named(facts.network, text) else (text, "", "open")
    )
    mode, _, place = told.partition("@")
    element, modes = _element_named(facts, name)
    wanted = _mode_of(facts, element, modes, mode)
    found = {_place(facts, f): f for f in failures_of(answer, element) if f.mode == wanted}
    if not found:
        raise NoAnswer(untried_words(answer, element, wanted))
    if place in found:
        return found[place]
    if place or len(found) > 1:
        raise NoAnswer(
            f"{bare(element)} can fail so at {len(found)} places: {', '.join(f'`{name}={mode}@{at}`' for at in found)}."
        )
    return next(iter(found.values()))


def _place(facts: Facts, failure: Failure) -> str:
    """Where a failure is, as written after ``@``: the terminal of a short, the position at which a switch stays."""
    if failure.mode == STAYS:
        return failure.position
    return facts.network.names[failure.nodes[0]].partition(".")[2] if len(failure.nodes) == 1 else ""


def effects_of(facts: Facts, state: str | None = None) -> EffectsTable:
    """What every single failure does in a state, contacts that stick included. Raises NoAnswer."""
    answer = answer_in(facts, state)
    name, stuck = answer.state.name, stuck_contacts(facts.design, dict(answer.state.switches))
    rows = effects(
        answer,
        answer.failures,
        facts.detection.signs(name, answer.failures),
        takers_after(answer, answer.failures, facts.failures.pair_losses(name)),
    )
    rows += effects(answer, stuck, facts.detection.signs(name, stuck), takers_after(answer, stuck))
    order = {
        element: i
        for i, element in enumerate(
            (*facts.network.elements, *(f"bundles/{b}" for b in facts.network.bundles))
        )
    }
    return EffectsTable(
        name, answer.switches, _off(answer), tuple(sorted(rows, key=lambda row: order[row.failure.element]))
    )


def budget_of(facts: Facts) -> Budget:
    """The load budget. Raises NoAnswer where no state is declared."""
    answer_in(facts, None)
    return budget(facts)


def wires_of(facts: Facts) -> WireTable:
    """What every wire carries, may carry and loses, what protects it, and what is lost on the way to each load. Raises NoAnswer."""
    answer_in(facts, None)
    return wire_table(facts)


def _off(answer: StateAnswer) -> tuple[str, ...]:
    return tuple(name for name, alive in answer.alive.items() if not alive)


def answer_in(facts: Facts, state: str | None) -> StateAnswer:
    """A declared state solved, the dispatch state where none is named. Raises NoAnswer for an unknown one, and where no state is declared."""
    operation = facts.design.operation
    if operation is None:
        raise NoAnswer(
            "Nothing can be told without `operation` in the file: its dispatch state and the switch positions. `reviewer start` shows how."
        )
    if state is not None and state not in operation.states:
        raise NoAnswer(unknown("state", state, operation.states))
    return facts.states.answer(operation.dispatch if state is None else state)


def unknown(kind: str, name: str, known: Iterable[str]) -> str:
    """One message for a name that names nothing, with the nearest known names."""
    from difflib import get_close_matches

    names = list(dict.fromkeys(known))
    near = get_close_matches(name[:100], names, 3, 0.5)
    if near:
        hint = f"; near it: {', '.join(f'`{n}`' for n in near)}"
    else:
        hint = (
            f"; there are {', '.join(f'`{n}`' for n in names[:12])}{' and more' if len(names) > 12 else ''}"
            if names
            else ""
        )
    return f"There is no {kind} `{name}`{hint}."
