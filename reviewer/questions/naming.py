"""The names of elements, failure modes and states as a person types them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import (
    BY_OHMS,
    DEGRADED,
    DIODE_SHORT,
    DROPPED,
    FULL_ON,
    HELD,
    LEAKING,
    MODE_KEYS,
    OPEN,
    SEVERED,
    SHORT,
    STAYS,
    STUCK_ON,
    Failure,
    Mode,
    mode_key,
)
from reviewer.model import parts as p
from reviewer.model.article import with_article
from reviewer.model.quantities import QuantityError, read_quantity
from reviewer.network.graph import Gate, bare
from reviewer.network.regulators import regulating

if TYPE_CHECKING:
    from reviewer.analysis.conduction.states import StateAnswer
    from reviewer.analysis.facts import Facts
    from reviewer.model.design import Design
    from reviewer.network.graph import Network

#: how each mode is typed: some with a resistance
FORMS: Mapping[str, str] = {
    key: f"{key}:OHMS" if key in [mode.value for mode in BY_OHMS] else key for key in MODE_KEYS
}
BUNDLE = "bundle"
#: the largest resistance that is taken, ohms: it is an open circuit
MOST_OHMS = 1e6
#: parts that current passes, and batteries; others are degraded where their case is bolted down
_IN_SERIES = (
    *(p.Battery, p.Bus, p.GroundBlock, p.Stud, p.Splice, p.Airframe, p.Protector),
    *(p.Switch, p.Electromagnet, p.Diode, p.Shunt, p.Connector, p.FixedResistor, p.Potentiometer, p.Dimmer),
)


class NoAnswer(Exception):
    """A question that cannot be answered; the message says why, and what to do instead."""


def elements_named(network: Network, name: str) -> tuple[str, ...]:
    """The elements of a name or pointer (``wires/W12``): parts, then wires, then bundles."""
    every = (*network.elements, *network.groups)
    return tuple(e for e in every if name in (e, bare(e)))


def element_named(facts: Facts, name: str) -> tuple[str, tuple[Mode, ...]]:
    """The one element of a name, and the modes in which it can fail. Raises NoAnswer."""
    network, design = facts.network, facts.design
    elements = elements_named(network, name)
    if not elements:
        raise NoAnswer(
            unknown(
                "part, wire or bundle",
                name,
                (*design.parts, *design.wires, *network.bundles, *network.bolts),
            )
        )
    if len(elements) > 1:
        raise NoAnswer(
            f"`{name}` names {len(elements)} things; ask for {' or '.join(f'`{e}`' for e in elements)}."
        )
    return elements[0], modes_of(design, elements[0])


def kind_of(design: Design, element: str) -> str:
    """``bus``, ``wire``, ``bundle``."""
    group, _, name = element.partition("/")
    if group == "parts":
        return str(design.parts[name].kind)
    return {"wires": "wire", "bolts": "bolt"}.get(group, BUNDLE)


def modes_of(design: Design, element: str) -> tuple[Mode, ...]:
    """The modes in which an element can fail at all, in the words of the conduction room."""
    if element.startswith("bundles/"):
        return (SEVERED,)
    if element.startswith("bolts/"):
        return (OPEN,)
    part = design.parts[bare(element)] if element.startswith("parts/") else None
    modes = [] if isinstance(part, p.Airframe) else [OPEN]
    modes.append(SHORT)
    if isinstance(part, (p.Diode, p.FixedResistor)):
        modes.append(DIODE_SHORT)
    if isinstance(part, p.Electromagnet):
        modes += [HELD, DROPPED, *([DIODE_SHORT] if part.suppression == "diode" else [])]
    if isinstance(part, (p.Switch, p.BreakerSwitch)):
        modes.append(STAYS)
    if part is None or isinstance(part, _IN_SERIES) or getattr(part, "mounted_on", None):
        modes.append(DEGRADED)
    if isinstance(part, (p.Diode, p.Alternator)):
        modes.append(LEAKING)
    if bare(element) in regulating(design):
        modes.append(FULL_ON)
    if isinstance(part, p.Consumer) and part.outputs:
        modes.append(STUCK_ON)
    return tuple(modes)


def mode_named(facts: Facts, element: str, modes: tuple[Mode, ...], mode: str) -> Mode:
    """The mode that is typed so on the command line.

    Raises NoAnswer where the element does not fail so.
    """
    keys = {mode_key(facts.network, element, m): m for m in modes}
    if mode not in keys:
        can = ", ".join(f"`{FORMS[word]}`" for word in keys)
        raise NoAnswer(
            f"{bare(element)} is {with_article(kind_of(facts.design, element))} and does not fail as "
            f"`{mode}`; it may fail as {can}."
            + (" Name the wire, joint or contact in its path." if mode == DEGRADED.value else "")
        )
    return keys[mode]


def typed_mode(facts: Facts, element: str, modes: tuple[Mode, ...], text: str) -> tuple[Mode, str, str]:
    """``MODE``, ``MODE@PLACE`` or ``MODE:OHMS@PLACE``: the mode, its ohms and the place as they were
    typed, "" where they were not. Raises NoAnswer."""
    key, _, place = text.partition("@")
    key, colon, ohms = key.partition(":")
    mode = mode_named(facts, element, modes, key)
    if colon and mode not in BY_OHMS:
        raise NoAnswer(f"`{key}` has no resistance; write `{bare(element)}={key}`.")
    return mode, ohms, place


def failures_of(answer: StateAnswer, element: str) -> tuple[Failure, ...]:
    """The failures of an element that are tried in a state; a short only where it can
    change something."""
    if element.startswith("bundles/") and all(f.element != element for f in answer.failures):
        return (Failure(element, SEVERED),)
    every = (*answer.failures, *answer.stuck_contacts)
    return tuple(f for f in every if f.element == element)


def failure_named(facts: Facts, answer: StateAnswer, text: str) -> Failure:
    """One failure as typed on the command line. Raises NoAnswer.

    ``PART``, which fails open, or ``PART=MODE``; ``PART=MODE@PLACE`` where a short can be at more
    than one terminal or a switch stay at more than one position; ``PART=degraded:0.05 ohm`` and
    ``PART=leaking:50 ohm``, with a place where there are several.
    """
    name, _, rest = (
        text.partition("=") if "=" in text and not elements_named(facts.network, text) else (text, "", "open")
    )
    element, modes = element_named(facts, name)
    wanted, ohms, place = typed_mode(facts, element, modes, rest)
    if wanted in BY_OHMS:
        return degraded_named(facts.network, element, name, wanted, ohms, place)
    mode = mode_key(facts.network, element, wanted)
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


def places_of(network: Network, element: str, mode: Mode) -> tuple[str, ...]:
    """The terminals at which an element can be degraded by itself; ("",) where it has one path."""
    links = [network.links[i] for i in network.links_of.get(element, ())]
    links = [link for link in links if link.gate is not Gate.SHIELD]
    if mode is not DEGRADED or len(links) < 2:
        return ("",)
    own = dict.fromkeys(n for link in links for n in (link.a, link.b))
    names = (network.names[n] for n in own)
    return tuple(n.partition(".")[2] for n in names if n.startswith(f"{bare(element)}."))


def degraded_named(network: Network, element: str, name: str, mode: Mode, ohms: str, place: str) -> Failure:
    """A failure with a resistance as it is typed: ``degraded:0.05 ohm``, with ``@PLACE`` where it
    can be at more than one terminal. Raises NoAnswer."""
    example = f"{name}={mode.value}:{'0.05 ohm' if mode is DEGRADED else '50 ohm'}"
    if not ohms.strip():
        raise NoAnswer(f"State the resistance of {bare(element)}, for example `{example}`.")
    try:
        value = read_quantity(ohms, "resistance", "0.05 ohm")
    except QuantityError as error:
        raise NoAnswer(f"The resistance of {bare(element)}: {error.message}.") from error
    if not 0 < value <= MOST_OHMS:
        raise NoAnswer(
            f"The resistance of {bare(element)} must be more than 0 ohm and {MOST_OHMS:,.0f} ohm at most."
        )
    places = places_of(network, element, mode)
    if place not in places:
        known = ", ".join(f"`{name}={mode.value}:{ohms}{'@' if at else ''}{at}`" for at in places)
        raise NoAnswer(f"{bare(element)} can be {mode.value} in these places: {known}.")
    return Failure(element, mode, position=place, ohms=value)


def _place(facts: Facts, failure: Failure) -> str:
    """What is typed after ``@``: the terminal of a short, the position of a switch."""
    if failure.mode in (STAYS, STUCK_ON):
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
            "The file declares no `operation`: the normal state and the switch positions of each state; or "
            "the `normal` position of each switch, from which states are made. `reviewer start` shows an "
            "example."
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
    near = get_close_matches(name, names, 3, 0.5)
    hint = ""
    if near:
        hint = f"; similar: {', '.join(f'`{n}`' for n in near)}"
    elif names:
        more = " and more" if len(names) > 12 else ""
        hint = f"; there are {', '.join(f'`{n}`' for n in names[:12])}{more}"
    return f"There is no {kind} `{name}`{hint}."
