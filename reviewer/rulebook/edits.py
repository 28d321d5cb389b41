"""Edits of a design, made on the data of its file.

An edit is a path and the new value there: ``parts/audio-breaker/rating: 10 A``. A path names keys
from the top of the file, with ``/`` between them; in a key, ``~1`` stands for ``/`` and ``~0`` for
``~`` (as in a JSON pointer). A path that is not there yet is added at the end of its group, which
must be there. What goes stands under ``remove``, a list of paths, and goes first; there a ``*``
stands for every name that has the rest of the path. A list is replaced as a whole.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any

Edits = Mapping[str, Any]
REMOVE = "remove"


class EditError(ValueError):
    """An edit that cannot be made, or that changes nothing."""


def edited(data: dict[str, Any], edits: Edits) -> dict[str, Any]:
    """The data with the edits made; what they do not touch is shared with ``data``. Raises EditError."""
    result = dict(data)
    for path in _removed(data, edits):
        group, key = _own_group(result, path)
        if key not in group:
            raise EditError(f"{path} cannot be removed: it is not there")
        del group[key]
    for path, value in edits.items():
        if path == REMOVE:
            continue
        group, key = _own_group(result, path)
        if key in group and _same(group[key], value):
            raise EditError(f"{path} is {value!r} already")
        group[key] = value
    return result


def _removed(data: dict[str, Any], edits: Edits) -> Iterator[str]:
    """The paths to remove, each ``*`` written out."""
    for path in edits.get(REMOVE, ()):
        above, star, below = path.partition("/*/")
        if not star:
            yield path
            continue
        group, key = _group(data, above)
        names = [n for n, entry in group.get(key, {}).items() if below in entry]
        if not names:
            raise EditError(f"{path} cannot be removed: it is nowhere")
        yield from (f"{above}/{escaped(n)}/{below}" for n in names)


def escaped(name: str) -> str:
    """A name as it stands in a path."""
    return name.replace("~", "~0").replace("/", "~1")


def _own_group(data: dict[str, Any], path: str) -> tuple[dict[str, Any], str]:
    """As :func:`_group`, with each mapping on the way replaced by a copy of it that may be changed."""
    _group(data, path)
    *above, last = keys_of(path)
    for key in above:
        data[key] = dict(data[key])
        data = data[key]
    return data, last


def _group(data: dict[str, Any], path: str) -> tuple[dict[str, Any], str]:
    """The mapping that holds the last key of a path, and that key."""
    *above, last = keys_of(path)
    group: Any = data
    for depth, key in enumerate(above, 1):
        group = group.get(key) if isinstance(group, dict) else None
        if not isinstance(group, dict):
            raise EditError(f"{path}: there is no group {'/'.join(path.split('/')[:depth])}")
    return group, last


def keys_of(path: str) -> list[str]:
    """The keys that a path names."""
    return [key.replace("~1", "/").replace("~0", "~") for key in path.split("/")]


def _same(one: object, other: object) -> bool:
    """Whether two values are the same, keys in the same order: phases are flown in that order."""
    return json.dumps(one) == json.dumps(other)
