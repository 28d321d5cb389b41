"""Mutants of figures: coils, contacts, pins, batteries, alternators and alarms."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from tests.edits import REMOVE
from tests.mutants.mutant import Mutant, of_kind
from tests.rule_cases import Data


def unsuppressed(design: str, data: Data) -> Iterator[Mutant]:
    """Each coil that has a suppressor inside without it."""
    for name, part in of_kind(data, "relay", "contactor").items():
        if part.get("suppression", "none") != "none":
            edits = {f"parts/{name}/suppression": "none"}
            yield Mutant(design, "suppression-removed", name, edits)


def duty_exchanged(design: str, data: Data) -> Iterator[Mutant]:
    """Each coil made for the other duty."""
    for name, part in of_kind(data, "relay", "contactor").items():
        if "duty" in part:
            other = "intermittent" if part["duty"] == "continuous" else "continuous"
            yield Mutant(design, "duty-exchanged", name, {f"parts/{name}/duty": other})


def contacts_too_small(design: str, data: Data) -> Iterator[Mutant]:
    """The rating of each switch brought down to a tenth, and up to ten times what it was."""
    factors = {"contact-rating-tenth": 0.1, "contact-rating-tenfold": 10}
    yield from _scaled(design, data, "switch", "rating", "A", factors)


def pins_too_small(design: str, data: Data) -> Iterator[Mutant]:
    """The pins of each connector rated at 0.1 A."""
    for name, part in of_kind(data, "connector").items():
        if "pin-rating" in part:
            yield Mutant(design, "pin-rating-lowered", name, {f"parts/{name}/pin-rating": "0.1 A"})


def small_batteries(design: str, data: Data) -> Iterator[Mutant]:
    """Each battery with a fifth of its capacity, and each with twice its capacity."""
    factors = {"capacity-fifth": 0.2, "capacity-double": 2}
    yield from _scaled(design, data, "battery", "capacity", "Ah", factors)


def _scaled(
    design: str, data: Data, kind: str, key: str, unit: str, factors: Mapping[str, float]
) -> Iterator[Mutant]:
    """A figure of each part of a kind, times the factor of each operator."""
    for name, part in of_kind(data, kind).items():
        if key in part:
            figure = float(part[key].removesuffix(f" {unit}"))
            for operator, factor in factors.items():
                yield Mutant(design, operator, name, {f"parts/{name}/{key}": f"{figure * factor:g} {unit}"})


def small_alternators(design: str, data: Data) -> Iterator[Mutant]:
    """Each alternator of 5 A; each with no over-voltage trip; each trip at 30 V."""
    for name, part in of_kind(data, "alternator").items():
        if "rating" in part:
            edits: dict[str, Any] = {f"parts/{name}/rating": "5 A"}
            if "idle-output" in part:
                edits[f"parts/{name}/idle-output"] = "2 A"
            yield Mutant(design, "alternator-of-5-A", name, edits)
        for word in ("none", "30 V"):
            edits = {f"parts/{name}/overvoltage-trip": word}
            if word == "none" and "trip-acts-on" in part:
                edits[REMOVE] = [f"parts/{name}/trip-acts-on"]
            yield Mutant(design, f"trip-{word.replace(' ', '-')}", name, edits)


def silent_monitors(design: str, data: Data) -> Iterator[Mutant]:
    """Each monitor without its alarms, and all of them without."""
    monitors = data.get("watch", {}).get("monitors", {})
    paths = {n: [f"watch/monitors/{n}/{k}" for k in m if k.startswith("alarm")] for n, m in monitors.items()}
    for name, own in paths.items():
        if own:
            yield Mutant(design, "alarm-removed", name, {REMOVE: own})
    if every := [p for own in paths.values() for p in own]:
        names = (*paths, *of_kind(data, "alternator"))
        yield Mutant(design, "alarm-removed", "all", {REMOVE: every}, names)


def hungry_loads(design: str, data: Data) -> Iterator[Mutant]:
    """Each load with a current of 60 A, where its file gives one figure for all phases."""
    for name, part in of_kind(data, "load", "instrument").items():
        if isinstance(part.get("current"), str) and part.get("type") != "starter":
            edits: dict[str, Any] = {f"parts/{name}/current": "60 A"}
            if "peak" in part:
                edits[f"parts/{name}/peak"] = "60 A"
            yield Mutant(design, "load-of-60-A", name, edits)
