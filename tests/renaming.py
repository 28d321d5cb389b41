"""A design as plain data with other names, wherever something is named."""

from __future__ import annotations

from typing import Any

#: keys whose value names parts, wires, functions, states, phases, actions, monitors, or terminals of parts
_REFERENCES = {
    "after-failure-of", "annunciator", "chargers", "currents-of", "dead", "dedicated-to", "disconnects",
    "displayed-on", "follows", "from", "inside", "like", "load-shedding", "mounted-on", "normal", "of",
    "outputs-on", "plugged-on", "protects", "proves", "pulled", "regulates", "restores", "senses",
    "shares-with", "shield", "silent", "smoothing-capacitor", "standby-for", "state", "subject",
    "takes-over", "to", "units-off", "watch", "without",
}  # fmt: skip
#: keys of maps from names, to positions or figures or to what is named
_MAPS = {"actions", "checks", "current", "functions", "monitors", "move", "parts", "phases", "states", "switches", "wires"}  # fmt: skip


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


def names_in(data: dict[str, Any]) -> set[str]:
    """The names of parts, wires, functions, states, phases, actions, monitors and checks."""
    inside = (data, data.get("operation", {}), data.get("watch", {}))
    kinds = ("parts", "wires", "functions", "states", "phases", "actions", "monitors", "checks")
    return {name for group in inside for kind in kinds for name in group.get(kind, ())}


def with_names(value: object, names: dict[str, str], key: str = "") -> object:
    """The data with other names where something is named, and nowhere else: a part may be named as its kind."""
    if isinstance(value, dict):
        new = {names.get(k, k) if key in _MAPS else k: k for k in value}
        inside = "" if key in _MAPS else None
        return {n: with_names(value[k], names, k if inside is None else inside) for n, k in new.items()}
    if isinstance(value, list):
        return [with_names(v, names, key) for v in value]
    if isinstance(value, str) and key in _REFERENCES:
        section, slash, word = value.rpartition("/")
        owner, dot, terminal = word.partition(".")
        return section + slash + names.get(owner, owner) + dot + terminal
    return value
