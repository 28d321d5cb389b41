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
            return {"type": kind, "current": amps(0.2, 4), "minimum": f"{chance.uniform(6, 10):.1f} V"}
        case "instrument":
            return {"current": amps(0.2, 3), "minimum": f"{chance.uniform(6, 10):.1f} V"}
    return {}
