"""One order of a design, whatever the order of its file.

Where several things would do as an example, a source or a path, the first is named. First comes what
matters more. Parts: from the sources to the loads, the main battery before other batteries, loads
that a graver function rests on before others. Functions: the graver loss. States: the normal one,
then flight, abnormal, ground. What matters alike goes by name, numbers in it by their value: W2
before W10. Phases keep the order of the flight, positions that of a switch's travel, lists along a
wire and of a procedure their own.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from reviewer.model import parts as p
from reviewer.model.design import Design, Function, Operation
from reviewer.model.fields import PLAIN, Piece
from reviewer.model.resolved_states import resolved
from reviewer.model.review import HazardClass

#: lists of names that are sets: their order in the file says nothing
_SETS = frozenset(
    {
        "after_failure_of",
        "accessible_from",
        "chargers",
        "dead",
        "dedicated_to",
        "disconnects",
        "hazards",
        "momentary",
        "of",
        "pilot_seats",
        "pins",
        "proves",
        "pulled",
        "restores",
        "returns",
        "shares_with",
        "standby_for",
        "supplies",
        "units_off",
        "outputs_on",
        "takes_over",
        "without",
        "silent",
    }
)
#: from the sources to the loads, so that of failures with one effect the nearest to a source is named
_KINDS: tuple[type[p.Part] | tuple[type[p.Part], ...], ...] = (
    p.Battery,
    p.Alternator,
    p.ExternalPower,
    p.Magneto,
    p.Charger,
    p.Converter,
    (p.Bus, p.GroundBlock, p.Stud, p.Splice, p.Airframe),
    p.Electromagnet,
    p.Protector,
    p.Switch,
    (p.Regulator, p.Diode, p.Shunt, p.Connector, p.FixedResistor, p.Capacitor, p.Potentiometer, p.Dimmer),
    p.Consumer,
    p.Part,
)
#: the maps of a design and of its pieces
_MAPS = (MappingProxyType, dict)
_USES = {"flight": 1, "abnormal": 2, "ground": 3}


@lru_cache(maxsize=10_000)
def name_order(name: str) -> tuple[tuple[str | int, ...], str]:
    """What names are sorted by: words by their letters, numbers by their value."""
    words_and_numbers = re.split(r"(\d+)", name)  # words at even places, numbers at odd ones
    value = tuple(int(step) if i % 2 else step for i, step in enumerate(words_and_numbers))
    return value, name  # the name itself tells W01 from W1


def in_canonical_order(design: Design) -> Design:
    """The same design with its parts, wires, functions, states and all else in canonical order."""
    return replace(
        design,
        aircraft=_ordered(design.aircraft),
        parts=_sorted(design.parts, _part_ranks(design)),
        wires=_sorted(design.wires),
        functions=_sorted(
            design.functions, {n: -HazardClass.of(f.loss) for n, f in design.functions.items()}
        ),
        operation=_operation(design.operation) if design.operation else None,
        watch=_ordered(design.watch),
        concessions=tuple(sorted(design.concessions, key=lambda c: (c.rule, c.subject, repr(c)))),
    )


def _part_ranks(design: Design) -> Mapping[str, tuple[int, int]]:
    """Part -> its place from sources to loads, then main before other batteries, graver before other
    loads."""
    needed = gravest_loss(design.functions)
    ranks = {}
    for name, part in design.parts.items():
        at = next(i for i, kinds in enumerate(_KINDS) if isinstance(part, kinds))
        after = int(part.purpose != "main") if isinstance(part, p.Battery) else -needed.get(name, -1)
        ranks[name] = (at, after)
    return ranks


def gravest_loss(functions: Mapping[str, Function]) -> Mapping[str, int]:
    """Load or function -> the gravest class among the functions that rest on it, and its own."""
    found: dict[str, int] = {}
    for name in sorted(functions, key=lambda f: -HazardClass.of(functions[f].loss)):
        hazard, todo = HazardClass.of(functions[name].loss), [name]
        while todo:
            channel = todo.pop()
            if channel not in found:
                found[channel] = hazard
                todo.extend(functions[channel].of if channel in functions else ())
    return found


def _operation(operation: Operation) -> Operation:
    uses = {name: state.use for name, state in resolved(operation).items()}
    ranks = {name: 0 if name == operation.normal else _USES[use] for name, use in uses.items()}
    return _ordered(operation).model_copy(
        update={
            "states": _sorted(operation.states, ranks),
            "phases": operation.phases,
            "excluded": tuple(sorted(map(_ordered, operation.excluded), key=repr)),
        }
    )


def _sorted(found: Mapping[str, Any], ranks: Mapping[str, Any] = MappingProxyType({})) -> Mapping[str, Any]:
    names = sorted(found, key=lambda name: (ranks.get(name, 0), name_order(name)))
    return MappingProxyType({name: _ordered(found[name]) for name in names})


def _pair(terminals: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(sorted(terminals))


def _ordered(value: Any) -> Any:
    """A piece with its maps and sets in order, the same one where they are; other values as they are."""
    if type(value) in PLAIN:
        return value
    if isinstance(value, _MAPS):
        return _sorted(value)
    if not isinstance(value, Piece):
        return value
    changed = {}
    for key, old in value.__dict__.items():
        if key == "positions":  # in the order of its travel; each joins pairs, either way round
            new: Any = MappingProxyType({at: tuple(sorted(map(_pair, old[at]))) for at in old})
            same = new == old
        elif isinstance(old, _MAPS):
            new = _sorted(old)
            same = list(new.items()) == list(old.items())
        elif isinstance(old, tuple) and key in _SETS:
            new = tuple(sorted(old, key=name_order))
            same = new == old
        else:
            continue
        if not same:
            changed[key] = new
    return value.model_copy(update=changed) if changed else value
