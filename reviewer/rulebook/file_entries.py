"""The entries of a design by their pointers: what an entry is, and which of its keys it lacks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from reviewer.model.design import Aircraft, Check, CommonWire, Design, Function, Monitor, Zone
from reviewer.model.fields import key_of
from reviewer.model.operation import Action, Operation, Phase, State
from reviewer.model.parts import Wire

#: where the entries of a file stand that are no parts
GROUPS: Mapping[str, tuple[str, type]] = {
    "wire": ("wires", Wire),
    "function": ("functions", Function),
    "state": ("operation/states", State),
    "phase": ("operation/phases", Phase),
    "action": ("operation/actions", Action),
    "monitor": ("watch/monitors", Monitor),
    "check": ("watch/checks", Check),
    "operation": ("operation", Operation),
    "aircraft": ("aircraft", Aircraft),
    "zone": ("aircraft/zones", Zone),
    "all wires": ("aircraft/wire", CommonWire),
}


def entry_at(item: str, design: Design) -> Any:
    """What stands at a pointer such as ``parts/radio`` or ``parts/display/inputs/volts``; None where
    nothing does."""
    entry: Any = design
    for step in item.split("/"):
        if isinstance(entry, Mapping):
            entry = entry.get(step)
        else:
            own = attribute_of(type(entry), step) if entry is not design else step
            entry = getattr(entry, own, None) if own else None
        if entry is None:
            return None
    return entry


def model_of(item: str, design: Design) -> Any:
    """The model of the entry that a pointer names, whether it is in the file or not; None for none."""
    entry = entry_at(item, design)
    if hasattr(type(entry), "model_fields"):
        return type(entry)
    if item.startswith(("parts/", "wires/")):
        return None
    groups = dict(GROUPS.values())  # `aircraft/wire` is a group itself, not an entry of the aircraft
    return groups.get(item) or groups.get(item.rpartition("/")[0])


def attribute_of(model: type, key: str) -> str | None:
    """The attribute of a model that has a key of the file; None where it has no such key."""
    fields = getattr(model, "model_fields", {})
    return next((name for name in fields if key_of(name) == key), None)


def has_place(model: type, path: str) -> bool:
    """Whether a key, or keys one below the other as in ``inputs/volts``, are of a model; names are free."""
    found: list[Any] = [model]
    for step in path.split("/"):
        found = [inner for one in found for inner in below(one, step)]
    return bool(found)


def below(annotation: Any, step: str) -> Iterator[Any]:
    """The types of what may stand under a key, a name or a number of a list."""
    of, inner = get_origin(annotation), get_args(annotation)
    if own := attribute_of(annotation, step):
        yield annotation.model_fields[own].annotation
    elif of is Mapping:
        yield inner[1]
    elif of in (tuple, list):
        yield from inner[:1] if step.isdigit() else ()
    elif of in (Annotated, Union, UnionType):
        for one in inner:
            yield from below(one, step)


def lacks(item: str, key: str, design: Design) -> bool:
    """Whether an entry may have a key and states nothing for it."""
    model = model_of(item, design)
    own = attribute_of(model, key) if model is not None else None
    if own is None:
        return False
    entry = entry_at(item, design)
    value = getattr(entry, own, None)
    if value is None or (isinstance(value, tuple | Mapping) and not value):
        return True
    return own not in entry.model_fields_set and bool(value == model.model_fields[own].default)


def kind_at(item: str, design: Design) -> str:
    """The kind of a part, ``wire``, ``input`` and so on: items of one kind are asked for together."""
    group, _, name = item.partition("/")
    if group == "parts":
        part, _, below = name.partition("/")
        return below.partition("/")[0].removesuffix("s") if below else str(design.parts[part].kind)
    above = item.rpartition("/")[0] or item
    return next((kind for kind, (where, _) in GROUPS.items() if where == above), above)
