"""The names of elements, failure modes and states as a person types them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import (
    DIODE_SHORT,
    DROPPED,
    HELD,
    OPEN,
    SEVERED,
    SHORT,
    STAYS,
    Failure,
    Mode,
    mode_key,
)
from reviewer.model import parts as p
from reviewer.model.article import with_article
from reviewer.network.graph import bare

if TYPE_CHECKING:
    from reviewer.analysis.conduction.states import StateAnswer
    from reviewer.analysis.facts import Facts
    from reviewer.model.design import Design
    from reviewer.network.graph import Network

BUNDLE = "bundle"


class NoAnswer(Exception):
    """A question that cannot be answered; the message says why, and what to do instead."""


def elements_named(network: Network, name: str) -> tuple[str, ...]:
    """The elements of a name or pointer (``wires/W12``): parts, then wires, then bundles."""
    every = (*network.elements, *(f"bundles/{b}" for b in network.bundles))
    return tuple(e for e in every if name in (e, bare(e)))


def element_named(facts: Facts, name: str) -> tuple[str, tuple[Mode, ...]]:
    """The one element of a name, and the modes in which it can fail. Raises NoAnswer."""
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


def kind_of(design: Design, element: str) -> str:
    """``bus``, ``wire``, ``bundle``."""
    group, _, name = element.partition("/")
    return str(design.parts[name].kind) if group == "parts" else "wire" if group == "wires" else BUNDLE


def modes_of(design: Design, element: str) -> tuple[Mode, ...]:
    """The modes in which an element can fail at all, in the words of the conduction room."""
    if element.startswith("bundles/"):
        return (SEVERED,)
    part = design.parts[bare(element)] if element.startswith("parts/") else None
    modes = [] if isinstance(part, p.Airframe) else [OPEN]
    modes.append(SHORT)
    if isinstance(part, p.Diode):
        modes.append(DIODE_SHORT)
    if isinstance(part, p.Electromagnet):
        modes += [HELD, DROPPED]
    if isinstance(part, (p.Switch, p.BreakerSwitch)):
        modes.append(STAYS)
    return tuple(modes)


def mode_named(facts: Facts, element: str, modes: tuple[Mode, ...], mode: str) -> Mode:
    """The mode that is typed so on the command line.

    Raises NoAnswer where the element does not fail so.
    """
    keys = {mode_key(facts.network, element, m): m for m in modes}
    if mode not in keys:
        can = ", ".join(f"`{word}`" for word in keys)
        raise NoAnswer(
            f"{bare(element)} is {with_article(kind_of(facts.design, element))} and does not fail as "
            f"`{mode}`; it may fail as {can}."
        )
    return keys[mode]


def failures_of(answer: StateAnswer, element: str) -> tuple[Failure, ...]:
    """The failures of an element that are tried in a state; a short only where it can
    change something."""
    if element.startswith("bundles/"):
        return (Failure(element, SEVERED),)
    every = (*answer.failures, *answer.stuck_contacts)
    return tuple(f for f in every if f.element == element)


def failure_named(facts: Facts, answer: StateAnswer, text: str) -> Failure:
    """One failure as typed on the command line. Raises NoAnswer.

    ``PART``, which fails open, or ``PART=MODE``; ``PART=MODE@PLACE`` where a short can be at more
    than one terminal or a switch stay at more than one position.
    """
    name, _, rest = (
        text.partition("=") if "=" in text and not elements_named(facts.network, text) else (text, "", "open")
    )
    mode, _, place = rest.partition("@")
    element, modes = element_named(facts, name)
    wanted = mode_named(facts, element, modes, mode)
    found = {_place(facts, f): f for f in failures_of(answer, element) if f.mode == wanted}
    if not found:
        raise NoAnswer(untried_words(answer, element, wanted))
    if place in found:
        return found[place]
    if place or len(found) > 1:
        places = ", ".join(f"`{name}={mode}@{at}`" for at in found)
        count = f"{len(found)} {'place' if len(found) == 1 else 'places'}"
        raise NoAnswer(f"{bare(element)} can fail so at {count}: {places}.")
    return next(iter(found.values()))


def _place(facts: Facts, failure: Failure) -> str:
    """What is typed after ``@``: the terminal of a short, the position of a switch."""
    if failure.mode == STAYS:
        return failure.position
    if failure.mode != SHORT or len(failure.nodes) != 1:
        return ""
    return facts.network.names[failure.nodes[0]].partition(".")[2]


def untried_words(answer: StateAnswer, element: str, mode: str) -> str:
    """Why a mode that applies to an element has no failure in a state."""
    if mode == SHORT:
        return (
            f"{bare(element)} is not energised in {answer.state.name}; a short to ground there has no effect."
        )
    if mode == STAYS:
        return f"{bare(element)} has no other position to stay at."
    return f"{bare(element)} is not tried as {mode}."


def state_named(facts: Facts, state: str | None) -> StateAnswer:
    """A declared state solved, the normal state where none is named; or one of those in which a
    sneak current keeps a relay energised, by the name that the answers give it.

    Raises NoAnswer for an unknown state, and where the file declares none.
    """
    operation = facts.design.operation
    if operation is None:
        raise NoAnswer(
            "The file declares no `operation`: the normal state and the switch positions of each state. "
            "`reviewer start` shows an example."
        )
    if state is not None and state not in operation.states:
        held = [a.state.name for answers in facts.switches.still_energised.values() for a in answers]
        if state not in held:
            raise NoAnswer(unknown("state", state, (*operation.states, *held)))
    return facts.states.answer(operation.normal if state is None else state)


def shown_answers(facts: Facts) -> tuple[StateAnswer, ...]:
    """Every declared state solved, the normal state first, each followed by those in which a sneak
    current keeps a relay energised that the state itself does not energise."""
    held = facts.switches.still_energised
    return tuple(a for answer in facts.states.answers() for a in (answer, *held[answer.state.name]))


def functions_off(answer: StateAnswer) -> tuple[str, ...]:
    """The functions that do not work in a state with nothing failed."""
    return tuple(name for name, alive in answer.alive.items() if not alive)


def unknown(kind: str, name: str, known: Iterable[str]) -> str:
    """One message for a name that names nothing, with the nearest known names."""
    from difflib import get_close_matches

    names = list(dict.fromkeys(known))
    near = get_close_matches(name[:100], names, 3, 0.5)
    hint = ""
    if near:
        hint = f"; similar: {', '.join(f'`{n}`' for n in near)}"
    elif names:
        more = " and more" if len(names) > 12 else ""
        hint = f"; there are {', '.join(f'`{n}`' for n in names[:12])}{more}"
    return f"There is no {kind} `{name}`{hint}."
