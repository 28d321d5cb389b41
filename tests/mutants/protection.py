"""Mutants of circuit protection: devices removed, resized, out of reach, mislabelled."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from tests.mutants.mutant import Mutant, of_kind, unmentioned, wires_at
from tests.rule_cases import Data

DEVICES = ("breaker", "fuse", "limiter", "breaker-switch")
#: the standard sizes of aircraft breakers, fuses and limiters, amperes
SIZES = (1, 2, 3, 5, 7.5, 10, 15, 20, 25, 30, 35, 40, 50, 60, 70, 80, 100, 125, 150, 200)


def removed(design: str, data: Data) -> Iterator[Mutant]:
    """Each device replaced by a direct connection; a breaker made as a switch by a plain switch."""
    for name, part in of_kind(data, *DEVICES).items():
        if part["kind"] == "breaker-switch":
            plain = {
                "kind": "switch",
                "label": part["label"],
                "transfer": "break-before-make",
                "rating": "10 A",
            }
            plain["positions"] = {"open": [], "closed": [["line", "load"]]}
            yield Mutant(design, "protection-removed", name, {f"parts/{name}": plain | _zone(part)})
            continue
        edits = {f"parts/{name}": {"kind": "splice"} | _zone(part)} | unmentioned(data, [name])
        yield Mutant(design, "protection-removed", name, edits)


def raised(design: str, data: Data) -> Iterator[Mutant]:
    """The rating of each device raised by two standard sizes."""
    for name, amperes in _rated(data):
        if (at := SIZES.index(amperes) + 2) < len(SIZES):
            yield Mutant(design, "rating-raised", name, {f"parts/{name}/rating": f"{SIZES[at]:g} A"})


def lowered(design: str, data: Data) -> Iterator[Mutant]:
    """The rating of each device lowered by two standard sizes."""
    for name, amperes in _rated(data):
        if (at := SIZES.index(amperes) - 2) >= 0:
            yield Mutant(design, "rating-lowered", name, {f"parts/{name}/rating": f"{SIZES[at]:g} A"})


def out_of_reach(design: str, data: Data) -> Iterator[Mutant]:
    """Each breaker that the crew can reach in flight put where they cannot."""
    for name, part in of_kind(data, "breaker").items():
        if part.get("accessible") == "in-flight":
            yield Mutant(design, "reach-lost", name, {f"parts/{name}/accessible": "on-ground"})


def labelled_twice(design: str, data: Data) -> Iterator[Mutant]:
    """Every third device labelled as the device after it: two devices with one label."""
    named = [n for n, part in of_kind(data, *DEVICES).items() if "label" in part]
    for name, other in list(pairwise(named))[::3]:
        label = data["parts"][other]["label"]
        yield Mutant(design, "label-of-another", name, {f"parts/{name}/label": label}, (name, other))


def labelled_as_own_switch(design: str, data: Data) -> Iterator[Mutant]:
    """Each breaker labelled as the switch that follows it in its own circuit."""
    for name in of_kind(data, "breaker"):
        for wire in wires_at(data, name, "load"):
            part, _, terminal = data["wires"][wire]["to"].partition(".")
            switch = data["parts"][part]
            if switch["kind"] == "switch" and terminal == "line":
                edits = {f"parts/{name}/label": switch["label"]}
                yield Mutant(design, "label-of-own-switch", name, edits, (name, part))


def _zone(part: Data) -> Data:
    return {"zone": part["zone"]} if "zone" in part else {}


def _rated(data: Data) -> Iterator[tuple[str, float]]:
    for name, part in of_kind(data, *DEVICES).items():
        if "rating" in part:
            yield name, float(part["rating"].removesuffix(" A"))
