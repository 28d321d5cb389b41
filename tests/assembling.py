"""A design as plain data with some of its circuits, parts and wires as assemblies, now and then one in another."""

from __future__ import annotations

import copy
import re
from random import Random
from typing import Any

Data = dict[str, Any]
_GROUPS = ("circuits", "parts", "wires")
_WORD = re.compile(r"[A-Za-z0-9][\w.]*(?:-[\w.]+)*")


def assembled(data: Data, draw: Random, most: float = 0.6) -> Data:
    """The same design, a share of its entries drawn in assemblies and installed."""
    left = copy.deepcopy(data)
    moved: list[tuple[str, str]] = []
    for group in _GROUPS:
        entries = left.get(group)
        for name, value in entries.items() if isinstance(entries, dict) else ():
            if draw.random() < most and "$" not in f"{name}{value!r}" and _name_of(name):
                moved.append((group, name))
    draw.shuffle(moved)
    drawn: Data = {}
    calls: Data = {}
    while moved:
        size = draw.choice((1, 2, 5))
        piece, moved = moved[:size], moved[size:]
        assembly, call = f"piece-{len(drawn) + 1}", _name_of(piece[0][1])
        if any(other == call or other.split()[-1:] == [call] for other in calls):
            continue
        entries = {g: {n: left[g].pop(n) for h, n in piece if h == g} for g in _GROUPS}
        drawn[assembly], calls[call] = _drawn(entries, call, draw)
        calls[call] = {"assembly": assembly, **calls[call]}
        if draw.random() < 0.2:
            drawn[f"{assembly}-around"] = {"installed": {"$name": calls[call]}}
            calls[call] = {"assembly": f"{assembly}-around"}
    if calls:
        left["assemblies"], left["installed"] = drawn, calls
    return {k: v for k, v in left.items() if v != {} or k not in _GROUPS}


def _name_of(key: Any) -> str:
    """What is installed to make an entry of that name, or nothing."""
    plain = re.fullmatch(r"(?!assembly$)[a-z][\w-]*", key) if isinstance(key, str) else None
    return key if plain else ""


def _drawn(entries: Data, call: str, draw: Random) -> tuple[Data, Data]:
    """An assembly of some entries with parameters for some of its words, and what its call gives."""
    words = sorted(set(_WORD.findall(" ".join(_texts(list(entries.values()))))) - {call})
    chosen = draw.sample(words, min(len(words), draw.choice((0, 1, 3, 6))))
    filled = {word: f"$p{i}" for i, word in enumerate(chosen)}
    given = {f"p{i}": word for i, word in enumerate(chosen)}
    late = [name for name in given if draw.random() < 0.2]
    parameters = {name: {"default": given.pop(name)} if name in late else None for name in list(given)}
    named = draw.random() < 0.7

    def put(text: str) -> str:
        return _WORD.sub(lambda m: "$name" if named and m[0] == call else filled.get(m[0], m[0]), text)

    def through(value: Any) -> Any:
        if isinstance(value, dict):
            return {put(k): through(v) for k, v in value.items()}
        if isinstance(value, list):
            return [through(v) for v in value]
        return put(value) if isinstance(value, str) else value

    return {"parameters": parameters, **{g: through(e) for g, e in entries.items() if e}}, given


def _texts(value: Any) -> list[str]:
    if isinstance(value, dict):
        return [t for k, v in value.items() for t in (k, *_texts(v))]
    if isinstance(value, list):
        return [t for v in value for t in _texts(v)]
    return [value] if isinstance(value, str) else []
