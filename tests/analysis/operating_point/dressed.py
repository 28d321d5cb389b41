"""Invented figures for invented aircraft: gauges, lengths, ratings, currents, batteries, drawn by chance from the ranges of the trade."""

from __future__ import annotations

from random import Random
from typing import Any

from tests.oracle.workbench import Dress

GAUGES = ["22 AWG", "20 AWG", "18 AWG", "16 AWG", "12 AWG", "8 AWG", "4 AWG", "1.5 mm2"]


def dress(seed: int, unsized: float = 0.05) -> Dress:
    """Gives figures to everything in a file; a share ``unsized`` of the wires gets none."""

    def add(data: dict[str, Any]) -> None:
        chance = Random(f"dress {seed}")
        data["aircraft"]["ambient"] = f"{chance.choice([-20, 10, 20, 45])} C"
        for part in data["parts"].values():
            part.update(_figures(part, chance))
        for part in data["parts"].values():
            if part["kind"] == "regulator":
                part["set-point"] = data["parts"][part["regulates"]].pop("set-point")
        for wire in data["wires"].values():
            if chance.random() >= unsized:
                wire.update({"gauge": chance.choice(GAUGES), "length": f"{chance.uniform(0.1, 4):.2f} m"})

    return add


def _figures(part: dict[str, Any], chance: Random) -> dict[str, Any]:
    def amps(low: float, high: float) -> str:
        return f"{chance.uniform(low, high):.3f} A"

    match part["kind"]:
        case "battery":
            chemistry = chance.choice(["lead-acid", "lead-acid", "lithium-iron-phosphate"])
            return {
                "chemistry": chemistry,
                "capacity": f"{chance.uniform(3, 24):.1f} Ah",
                "state-of-charge": f"{chance.uniform(5, 99):.1f} %",
            }
        case "alternator":
            return {"rating": amps(20, 70), "set-point": f"{chance.uniform(13.8, 14.6):.2f} V"}
        case "charger":
            return {"set-point": f"{chance.uniform(13.6, 14.6):.2f} V", "current-limit": amps(1, 10)}
        case "converter":
            volts = chance.choice(["5 V", "12 V", "14 V"])
            share = f"{chance.uniform(70, 95):.1f} %"
            return {"output-voltage": volts, "rating": amps(1, 10), "efficiency": share}
        case "external-power":
            return {"rating": amps(50, 200)}
        case "breaker" | "fuse" | "limiter" | "breaker-switch":
            return {"rating": amps(2, 80)}
        case "shunt":
            return {"rating": amps(40, 100)}
        case "relay" | "contactor":
            return {"coil-current": amps(0.1, 1.0)}
        case "diode":
            technology, low, high = chance.choice(
                [("silicon", 0.6, 0.9), ("schottky", 0.3, 0.55), ("ideal", 0.02, 0.1)]
            )
            drop = (
                {}
                if chance.random() < 0.5
                else {"drop": f"{chance.uniform(low, high):.3f} V", "drop-current": amps(1, 20)}
            )
            return {"technology": technology, "rating": amps(5, 40)} | drop
        case "load":
            kind = chance.choice(
                ["electronic", "electronic", "resistive", "inductive", "motor", "lamp", "heater"]
            )
            kind = "motor" if part.get("reversible") else kind
            return {"type": kind, "current": amps(0.2, 4), "minimum": f"{chance.uniform(6, 10):.1f} V"}
        case "instrument":
            return {"current": amps(0.2, 3), "minimum": f"{chance.uniform(6, 10):.1f} V"}
    return {}


def sensed(seed: int) -> Dress:
    """As :func:`dress`, and voltmeters with fused sense leads of their own at batteries and buses, ammeters at shunts, alarms and a check."""
    figures = dress(seed)

    def add(data: dict[str, Any]) -> None:
        chance = Random(f"sensed {seed}")
        parts, wires = data["parts"], data["wires"]
        by_kind: dict[str, list[str]] = {}
        for name, part in parts.items():
            by_kind.setdefault(part["kind"], []).append(name)
        places = [f"{n}.positive" for n in by_kind["battery"]] + [
            f"{n}.volts" for n in by_kind.get("bus", ())
        ]
        monitors = {}
        for number, place in enumerate(
            chance.sample(places, min(3, len(places))) if "instrument" in by_kind else ()
        ):
            display, fuse = chance.choice(by_kind["instrument"]), f"sense-{number}-fuse"
            signal = {"signal": f"sense-{number}", "resistance": f"{chance.choice([100, 1000])} kohm"}
            parts[display].setdefault("inputs", {})[f"sense-{number}"] = signal
            parts[fuse] = {"kind": "fuse"}
            wires[f"SENSE{2 * number}"] = {"from": place, "to": f"{fuse}.line"}
            wires[f"SENSE{2 * number + 1}"] = {"from": f"{fuse}.load", "to": f"{display}.sense-{number}"}
            alarm = {"alarm-below": f"{chance.uniform(11.5, 13.2):.1f} V"} if chance.random() < 0.5 else {}
            monitors[f"volts-{number}"] = {
                "shows": "voltage",
                "senses": place,
                "displayed-on": display,
                **alarm,
            }
        for shunt in by_kind.get("shunt", ()):
            monitors[f"amps-{shunt}"] = {"shows": "current", "senses": shunt}
        if monitors:
            state = chance.choice(list(data["operation"]["states"]))
            check = {"state": state, "watch": list(monitors), "expect": "As on the card."}
            data["watch"] = {"monitors": monitors, "checks": {"look": check}}
        figures(data)

    return add
