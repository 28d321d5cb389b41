"""A small design with a display that monitors it."""

from __future__ import annotations

from typing import Any

from tests.analysis.small_designs import SmallDesign


def watched(**monitors: Any) -> SmallDesign:
    """A display on the bus with two sense inputs, and monitors of it."""
    made = SmallDesign()
    made.add("display", "instrument", inputs={"one": {"signal": "in-1"}, "two": {"signal": "in-2"}})
    made.run("bus", [made.protector("display-breaker")], "display.supply")
    made.wire("display.return", "ground")
    made.more["watch"] = {"monitors": {name.replace("_", "-"): monitor for name, monitor in monitors.items()}}
    return made


def volts(terminal: str, **fields: Any) -> dict[str, Any]:
    """A monitor of a voltage, on the display."""
    return {
        "shows": "voltage",
        "senses": terminal,
        "displayed-on": "display",
        **{k.replace("_", "-"): v for k, v in fields.items()},
    }
