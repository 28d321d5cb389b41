"""Which failures a part, a wire or a bundle can have, and what each of them does in a state."""

from __future__ import annotations

from collections.abc import Mapping

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
    stuck_contacts,
)
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.crew.recovery import Recoveries
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, bare
from reviewer.questions.effects import Effect

#: the modes as they are written on the command line
MODES: Mapping[str, Mode] = {mode.key: mode for mode in Mode}
BUNDLE = "bundle"


@record
class WhatFails:
    """The answer to "what if this fails": the ``effects`` of each failure of ``element`` (of ``kind``) that was tried in ``state``.

    ``untried`` says of each mode that applies and was not tried why it was not. ``anyway[function]`` are the single failures that take a function with
    nothing else failed, ``off`` the functions that do not live in the state anyway. ``crew[function]`` is what declared actions do about each failure that
    loses it.
    """

    element: str
    kind: str
    state: str
    switches: tuple[tuple[str, str], ...]
    off: tuple[str, ...]
    effects: tuple[Effect, ...]
    untried: tuple[str, ...]
    anyway: Mapping[str, tuple[Failure, ...]]
    crew: Mapping[str, Recoveries]


def elements_named(network: Network, name: str) -> tuple[str, ...]:
    """The elements that go by a name, or by a pointer such as ``wires/W12``: parts first, then wires, then bundles."""
    every = (*network.elements, *(f"bundles/{b}" for b in network.bundles))
    return tuple(e for e in every if name in (e, bare(e)))


def kind_of(design: Design, element: str) -> str:
    """``bus``, ``wire``, ``bundle``."""
    group, _, name = element.partition("/")
    return str(design.parts[name].kind) if group == "parts" else "wire" if group == "wires" else BUNDLE


def modes_of(design: Design, element: str) -> tuple[Mode, ...]:
    """The modes in which an element can fail at all, in the words of :mod:`reviewer.analysis.conduction.failure_modes`."""
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


def failures_of(answer: StateAnswer, element: str) -> tuple[Failure, ...]:
    """The failures of an element that are tried in a state; a short only where something is fed."""
    if element.startswith("bundles/"):
        return (Failure(element, SEVERED),)
    every = (*answer.failures, *stuck_contacts(answer.design, dict(answer.state.switches)))
    return tuple(f for f in every if f.element == element)


def untried_words(answer: StateAnswer, element: str, mode: str) -> str:
    """Why a mode that applies to an element has no failure in a state."""
    if mode == SHORT:
        return f"Nothing feeds {bare(element)} in {answer.state.name}, so a short to ground there changes nothing."
    if mode == STAYS:
        return f"{bare(element)} has no other position to stay at."
    return f"{bare(element)} is not tried as {mode}."
