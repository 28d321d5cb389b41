"""What is drawn once: an assembly with its parameters."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any, Protocol

from reviewer.model.record import record
from reviewer.reading.problem import instead, shown
from reviewer.reading.yaml_events import Places, Refused, pointer

Data = dict[str, Any]
#: what an assembly is drawn with
GROUPS = ("circuits", "parts", "wires", "installed")
KEYS = ("about", "drawing", "sources", "parameters", *GROUPS)
_PARAMETER_KEYS = ("about", "default", "example", "optional")
#: what a parameter may be called, for editors
PARAMETER = r"^(?!name$|assembly$)[a-z][a-z0-9]*(-[a-z0-9]+)*$"
_PARAMETER = re.compile(PARAMETER)


class SayAt(Protocol):
    """Takes a mistake at a pointer."""

    def __call__(self, at: str, message: str, *, key: bool = False) -> None:
        """``key`` puts it at the key instead of the value."""


@record
class Parameter:
    """What a call gives: ``about`` in words, its ``default`` (None where each call must give it), an
    ``example``. One that is ``optional`` leaves nothing where a call does not give it: no word in a
    path, no key in a part."""

    about: str
    default: Any
    example: Any
    optional: bool


@record
class Assembly:
    """An assembly. ``file`` is where it is drawn, "" for the design file itself; ``at`` its pointer
    there; ``groups`` its circuits, parts, wires and what is installed in it, as plain data whose
    ``values`` and ``keys`` have places."""

    name: str
    file: str
    at: str
    about: str
    drawing: str
    sources: tuple[str, ...]
    parameters: Mapping[str, Parameter]
    groups: Mapping[str, Data]
    values: Places
    keys: Places


def assembly_of(
    name: str, value: Any, file: str, places: tuple[Places, Places], say: SayAt
) -> Assembly | None:
    """The assembly of an entry of ``assemblies``; None with what is wrong with it."""
    at = pointer("assemblies", name)
    if not isinstance(value, dict):
        if value is not Refused:
            said = "expected a group of keys with `parameters` and `circuits`"
            say(at, f"assembly {name}: {said}, found {shown(value)}")
        return None
    sound = True
    for key in value:
        if key not in KEYS:
            sound = False
            say(pointer(at, key), f"assembly {name} has no key `{key}`{instead(key, KEYS)}", key=True)
    groups: dict[str, Data] = {}
    for key in GROUPS:
        group = value.get(key, {})
        if isinstance(group, dict):
            groups[key] = group
        else:
            sound = False
            if group is not Refused:
                say(f"{at}/{key}", f"assembly {name}: `{key}` is {shown(group)}; expected a group of keys")
    if sound and not any(groups.values()):
        say(at, f"assembly {name} draws nothing; it needs {', '.join(f'`{g}`' for g in GROUPS[:-1])}")
        return None
    parameters = _parameters(name, value.get("parameters", {}), f"{at}/parameters", say)
    if parameters is None or not sound:
        return None
    drawn = "\n".join(_texts(groups))
    used = True
    for parameter in parameters:
        if not re.search(rf"\${parameter}(?![a-z0-9])", drawn):
            said = f"parameter `{parameter}` is not used; remove it, or write `${parameter}` where it belongs"
            say(pointer(f"{at}/parameters", parameter), f"assembly {name}: {said}", key=True)
            used = False
    if not used:
        return None
    sources = value.get("sources", [])
    return Assembly(
        name, file, at, str(value.get("about", "")), str(value.get("drawing", "")),
        tuple(map(str, sources)) if isinstance(sources, list) else (str(sources),),
        parameters, groups, *places,
    )  # fmt: skip


def _texts(value: Any) -> Iterator[str]:
    """All keys and texts of some data."""
    for entry in value.items() if isinstance(value, dict) else enumerate(value):
        for one in entry:
            if isinstance(one, str):
                yield one
            elif isinstance(one, dict | list):
                yield from _texts(one)


def _parameters(name: str, given: Any, at: str, say: SayAt) -> dict[str, Parameter] | None:
    if not isinstance(given, dict):
        if given is not Refused:
            said = "write them as `parameters: {bus, rating: {default: 5 A}}`"
            say(at, f"assembly {name}: `parameters` is {shown(given)}; {said}")
        return None
    found = {}
    for key, value in given.items():
        here = pointer(at, key)
        if not _PARAMETER.match(key):
            said = "use small letters, digits and `-`, but not `name` or `assembly`"
            say(here, f"assembly {name}: {shown(key)} cannot name a parameter; {said}", key=True)
            return None
        if value is None:
            found[key] = Parameter("", None, None, False)
        elif (
            isinstance(value, dict)
            and all(k in _PARAMETER_KEYS for k in value)
            and isinstance(value.get("optional", False), bool)
            and not isinstance(value.get("default"), dict)
            and "$" not in str(value.get("default"))
        ):
            optional = value.get("optional", False) and "default" not in value
            about = str(value.get("about", ""))
            found[key] = Parameter(about, value.get("default"), value.get("example"), optional)
        else:
            said = "leave it empty, or give it a default: `{default: 5 A}`, or `{optional: true}`"
            say(here, f"assembly {name}: parameter `{key}` is {shown(value)}; {said}")
            return None
    return found
