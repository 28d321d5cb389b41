"""Seeded aircraft of any size whose review finds nothing, or next to nothing: for what a review of a large sound design takes.

The sound tourer of the examples is drawn on: load centres hang on its main bus, each with a breaker, a switch, a bus and a ground block of its own,
and on them loads, instruments with their senders, and lights in pairs, each behind a breaker that its wire bears. The switches of the centres go off
when the alternator is lost, so that the endurance of the batteries stays what it is.
"""

from __future__ import annotations

import copy
import json
from random import Random
from typing import Any

from reviewer.analysis.facts import Facts
from reviewer.model.design import Design
from reviewer.reading import read_text
from tests.rule_cases import ROOT, parsed

EXAMPLE = ROOT / "examples" / "tourer.design.yaml"
#: parts of a centre, and the zones with the way by which their wires go there and how long it is
CENTRE = 40
ZONES = {
    "panel": ("panel-left", 0.6),
    "cabin-left": ("tunnel-left", 1.4),
    "cabin-right": ("tunnel-right", 1.4),
    "behind-seats": ("tunnel-right", 2.0),
    "wing-left": ("wing-left", 3.6),
    "wing-right": ("wing-right", 3.8),
    "tail": ("tail", 4.2),
}
#: amperes of all loads that are added, and how many parts one comes to
TOGETHER_A, PARTS_A_LOAD = 1.5, 3
#: switch positions of the centres in the states that do not have all of them on
OFF = ("alternator-failed", "parked", "cranking")


class _Drawing:
    """The data of a file in the making."""

    def __init__(self, parts: int, seed: int):
        self.data = copy.deepcopy(parsed(EXAMPLE))
        self.chance = Random(f"sound {parts} {seed}")
        self.parts, self.wires = self.data["parts"], self.data["wires"]
        self.tabs = 0
        #: amperes of a load: all of them together take what the tourer's sources have left
        self.usual = TOGETHER_A * PARTS_A_LOAD / max(parts - len(self.parts), PARTS_A_LOAD)

    def part(self, name: str, kind: str, zone: str = "panel", **keys: Any) -> str:
        if kind in ("breaker", "switch"):
            keys["label"] = name.upper().replace("-", " ")
        self.parts[name] = {"kind": kind, **{k.replace("_", "-"): v for k, v in keys.items()}, "zone": zone}
        return name

    def wire(self, one: str, other: str, gauge: str, metres: float, bundle: str, **keys: str) -> None:
        """A bar's name stands for a fresh terminal of it."""
        ends = []
        for end in (one, other):
            self.tabs += "." not in end
            ends.append(end if "." in end else f"{end}.tab-{self.tabs}")
        self.wires[f"X{len(self.wires)}"] = {
            "from": ends[0],
            "to": ends[1],
            "gauge": gauge,
            "length": f"{metres:.2f} m",
            "bundle": bundle,
            "insulation": "150 C",
            **keys,
        }

    def breaker(self, name: str, rating: str) -> str:
        return self.part(name, "breaker", rating=rating, reset="trip-free", accessible="in-flight")

    def switch(self, name: str, rating: str, **keys: Any) -> str:
        found = self.part(
            name,
            "switch",
            transfer="break-before-make",
            rating=rating,
            positions={"down": [], "up": [["line", "load"]]},
            accessible_from=["left-seat", "right-seat"],
            **keys,
        )
        for name_of, state in self.data["operation"]["states"].items():
            if "like" not in state or name_of in OFF:
                off = name_of in OFF
                state["switches"][name] = "down" if off else "up"
        return found

    def centre(self, number: int) -> str:
        """A load centre; gives its name, the first part of the names of its bus and ground."""
        name = f"centre-{number}"
        breaker, switch = (
            self.breaker(f"{name}-breaker", "10 A"),
            self.switch(f"{name}-switch", "15 A", contact_material="gold"),
        )
        bus, ground = (
            self.part(f"{name}-bus", "bus", rating="20 A"),
            self.part(f"{name}-ground", "ground-block"),
        )
        self.wire("main-bus", f"{breaker}.line", "14 AWG", 0.08, f"{name}-feed")
        self.wire(f"{breaker}.load", f"{switch}.line", "14 AWG", 0.3, f"{name}-feed")
        self.wire(f"{switch}.load", bus, "14 AWG", 0.4, f"{name}-feed")
        for side in ("feed", "second"):
            lead = {"max-resistance": "0.012 ohm"}
            self.wire(ground, "main-ground", "14 AWG", 1.0, f"{name}-{side}", **lead)
        self.data["operation"]["actions"]["shed-lights-and-heat"]["move"][switch] = "down"
        return name

    def load(self, number: int, centre: str) -> str:
        """A load of a centre by its breaker, perhaps a switch, a splice or a connector, or an instrument with its sender."""
        chance, name = self.chance, f"load-{number}"
        zone = chance.choice(list(ZONES))
        bundle, metres = f"{centre}-{ZONES[zone][0]}", ZONES[zone][1]
        amps = f"{chance.uniform(0.5, 1.5) * self.usual:.4f} A"
        breaker = self.breaker(f"{name}-breaker", "2 A")
        self.wire(f"{centre}-bus", f"{breaker}.line", "22 AWG", 0.08, bundle)
        at = f"{breaker}.load"
        if chance.random() < 0.3:
            switch = self.switch(f"{name}-switch", "5 A", contact_material="gold")
            self.wire(at, f"{switch}.line", "22 AWG", 0.3, bundle)
            at = f"{switch}.load"
        how = chance.random()
        if how < 0.2:
            splice = self.part(f"{name}-splice", "splice", zone=zone)
            self.wire(at, f"{splice}.in", "22 AWG", metres - 0.3, bundle)
            at, metres = f"{splice}.out", 0.3
        elif how < 0.4:
            plug = self.part(f"{name}-plug", "connector", zone=zone, pins=["supply"], pin_rating="5 A")
            self.wire(at, f"{plug}.supply-plug", "22 AWG", metres - 0.3, bundle)
            at, metres = f"{plug}.supply-socket", 0.3
        common = {"current": amps, "minimum": "9 V", "maximum": "32 V", "figures": "maker"}
        if chance.random() < 0.2:
            self.part(
                name,
                "instrument",
                "panel",
                signal_returns="isolated",
                inputs={"sender": {"signal": "sender-in", "return": "sender-return"}},
                **common,
            )
            sender = self.part(f"{name}-sender", "sensor", zone=zone)
            self.wire(f"{sender}.signal", f"{name}.sender-in", "22 AWG", metres, f"{centre}-senders")
            self.wire(f"{sender}.return", f"{name}.sender-return", "22 AWG", metres, f"{centre}-senders")
        else:
            self.part(name, "load", zone, type="electronic", noise="quiet", **common)
        self.wire(at, f"{name}.supply", "22 AWG", metres, bundle)
        self.wire(f"{name}.return", f"{centre}-ground", "22 AWG", ZONES[zone][1], bundle)
        self.data["operation"]["actions"]["shed-lights-and-heat"]["disconnects"].append(name)
        return name

    def functions(self, by_centre: list[list[str]]) -> None:
        """Functions of one load, and of two or three of different centres, of which one is enough."""
        for number in range(1, 2 + sum(map(len, by_centre)) // 6 if by_centre else 1):
            centres = self.chance.sample(by_centre, min(len(by_centre), self.chance.choice([1, 2, 2, 3])))
            of = [self.chance.choice(loads) for loads in centres]
            self.data["functions"][f"service-{number}"] = {"any": 1, "of": of, "loss": "minor"}


def sound_data(parts: int, seed: int) -> dict[str, Any]:
    """The data of the file of :func:`sound`."""
    drawing, by_centre = _Drawing(parts, seed), list[list[str]]()
    number = 0
    while len(drawing.parts) < parts:
        centre = drawing.centre(len(by_centre) + 1)
        end = min(parts, len(drawing.parts) + CENTRE)
        loads: list[str] = []
        while not loads or len(drawing.parts) < end:
            number += 1
            loads.append(drawing.load(number, centre))
        by_centre.append(loads)
    drawing.functions(by_centre)
    drawing.data["aircraft"]["name"] = f"Sound aircraft of {parts} parts, seed {seed}"
    return _declared_off(drawing.data)


def _declared_off(data: dict[str, Any]) -> dict[str, Any]:
    """The data with the services that an abnormal state leaves off listed in it."""
    facts = Facts(read_text(json.dumps(data), "sound"))
    for answer in facts.states.answers():
        if answer.state.use == "abnormal":
            off = [n for n, alive in answer.alive.items() if n.startswith("service-") and not alive]
            own = data["operation"]["states"][answer.state.name]
            own["without"] = list(dict.fromkeys([*own.get("without", ()), *off]))
    return data


def sound(parts: int, seed: int) -> Design:
    """An aircraft of about ``parts`` parts, more than the tourer has, with all its figures and few findings."""
    return read_text(json.dumps(sound_data(parts, seed)), f"sound {parts} {seed}")
