"""A design as plain data with its parts and wires renamed, wherever they are named."""

from __future__ import annotations


def renamed(value: object, names: dict[str, str]) -> object:
    """The data with each name of ``names`` replaced, in keys, in terminals and by itself."""
    if isinstance(value, dict):
        return {names.get(k, k): renamed(v, names) for k, v in value.items()}
    if isinstance(value, list):
        return [renamed(v, names) for v in value]
    if isinstance(value, str):
        owner, dot, terminal = value.partition(".")
        return names.get(owner, owner) + dot + terminal if dot and owner in names else names.get(value, value)
    return value
