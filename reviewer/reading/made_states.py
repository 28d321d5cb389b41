"""Standard states for a file that has none of its own, or that asks for some beside its own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any, get_args

from reviewer.model.canonical_order import in_canonical_order
from reviewer.model.design import Design
from reviewer.model.operation import NORMAL, Operation, StandardWord, State
from reviewer.model.parts import Charger, Switch
from reviewer.model.resolved_states import resolved
from reviewer.reading.collector import Collector
from reviewer.reading.yaml_events import pointer

STANDARD: tuple[str, ...] = get_args(StandardWord)


def with_made_states(design: Design, collector: Collector, flown: bool) -> Design:
    """The design with the states that it asks for; unchanged where it asks for none.

    Without an operation they are made where switches state their ``normal`` position and each has
    one; with an operation that has no states, a position that is not stated is a mistake. ``flown``
    is whether the file draws its state of normal flight; beside other states :func:`with_normal` made
    it else.
    """
    from reviewer.analysis.conduction.standard_states import off_on_purpose, standard_states

    operation = design.operation
    wanted: tuple[str, ...] = operation.standard_states if operation else ()
    if operation is not None and operation.states:
        if not wanted and flown:
            return design
        based = operation
    else:
        flown = False
        if operation is None and (design.unstated or not states_normal(design.parts)):
            return design
        if operation is not None and design.unstated:
            _not_made(design, collector)
            return design
        based = with_normal(design.parts, operation)
        wanted = wanted or STANDARD
    if not flown:
        cruise = resolved(based)[NORMAL]
        off = off_on_purpose(in_canonical_order(replace(design, operation=based)), cruise)
        normal = based.states[NORMAL].model_copy(update={"without": off})
        based = based.model_copy(update={"states": MappingProxyType({**based.states, NORMAL: normal})})
    base = replace(design, operation=based)
    made = standard_states(in_canonical_order(base), resolved(based)[based.normal], wanted)
    new = {name: state for name, state in made.states.items() if name not in based.states}
    how = {name: words for name, words in made.how.items() if name in new}
    if not flown:
        how = {NORMAL: "the normal position of each switch", **how}
    complete = based.model_copy(update={"states": MappingProxyType({**based.states, **new})})
    result = replace(base, operation=complete, made=MappingProxyType(how), unmade=made.unmade)
    for at, what, name in _named(result):
        if name not in complete.states:
            reasons = "; ".join(made.unmade) or "the design has nothing that it is made of"
            collector.refer(at, f"{what}: the state `{name}` is not made: {reasons}")
    return result


def states_normal(parts: Mapping[str, Any]) -> bool:
    """Whether any switch states its position in normal flight."""
    return any(getattr(part, "normal", None) for part in parts.values())


def _not_made(design: Design, collector: Collector) -> None:
    names = ", ".join(design.unstated)
    said = "`states` is missing; the standard states are made where each switch has a `normal` position"
    collector.say("operation", f"operation: {said}: write it at {names}", key=True)


def with_normal(parts: Mapping[str, Any], operation: Operation | None) -> Operation:
    """An operation with the state of normal flight, in which each switch is as it says."""
    positions = {n: at for n, part in parts.items() if (at := _in_flight(part)) is not None}
    sun = [n for n, part in parts.items() if isinstance(part, Charger) and part.from_ == "solar"]
    state = State.model_validate({"use": "flight", "switches": positions, "chargers": sun})
    based = operation or Operation.model_validate({})
    states = MappingProxyType({NORMAL: state, **based.states})
    return based.model_copy(update={"normal": NORMAL, "states": states})


def with_rest(operation: Operation, parts: Mapping[str, Any]) -> Operation:
    """An operation whose states say where the switches stand that no hand moves and that follow nothing,
    and those that spring back: at rest where neither a state nor one that it is like says otherwise. The
    state of normal flight has each other switch at its normal position."""
    free = {n: part for n, part in parts.items() if isinstance(part, Switch) and not part.follows}
    rest = {n: at for n, part in free.items() if (at := part.at_rest or part.springs_to)}
    flight = {n: at for n, part in parts.items() if (at := _in_flight(part)) is not None}
    states = {}
    for name, state in operation.states.items():
        own = {**rest, **flight} if name == operation.normal else rest
        switches = MappingProxyType({**own, **state.switches})
        states[name] = state if state.like else state.model_copy(update={"switches": switches})
    return operation.model_copy(update={"states": MappingProxyType(states)})


def _in_flight(part: Any) -> str | None:
    """Where a switch stands in normal flight; at rest where no hand moves it and it does not say."""
    if isinstance(part, Switch) and not part.by_hand:
        return None if part.follows else part.normal or part.at_rest
    at = getattr(part, "in_flight", None)
    return None if at is None else str(at)


def _named(design: Design) -> Iterator[tuple[str, str, str]]:
    """The states that phases and checks name: pointer, what names it, name."""
    phases = design.operation.phases if design.operation else {}
    groups: tuple[tuple[str, str, Mapping[str, Any]], ...] = (
        ("operation/phases", "phase", phases),
        ("watch/checks", "check", design.watch.checks),
    )
    for section, word, pieces in groups:
        for name, piece in pieces.items():
            yield f"{pointer(section, name)}/state", f"{word} {name}", piece.state


def possible_names(data: Mapping[str, Any]) -> Iterator[str]:
    """Every name that a state of a file may have which is made, from the data of the file."""
    operation = data.get("operation")
    asked = operation.get("standard-states") if isinstance(operation, dict) else None
    own = isinstance(operation, dict) and bool(operation.get("states"))
    if not (isinstance(operation, dict) and own and "normal" in operation):
        yield NORMAL
    if own and not asked:
        return
    wanted = asked if isinstance(asked, list) else STANDARD
    yield from (word for word in STANDARD if word in wanted and word != "run-up")
    yield from ("charging",) if "parked" in wanted else ()
    for name in _keys(data.get("parts")):
        yield from (f"{word}-{name}" for word in ("cranking", "alternator-failed") if word in wanted)
    for function in _values(data.get("functions")):
        channels = function.get("of") if isinstance(function, dict) else None
        if "run-up" in wanted and isinstance(channels, list):
            yield from (f"run-up-{channel}" for channel in channels if isinstance(channel, str))


def _keys(group: Any) -> tuple[str, ...]:
    return tuple(group) if isinstance(group, dict) else ()


def _values(group: Any) -> tuple[Any, ...]:
    return tuple(group.values()) if isinstance(group, dict) else ()
