"""Small designs for tests of the engines: a battery, a bus and a ground block, and what a test adds."""

from __future__ import annotations

from random import Random
from typing import Any

from reviewer.analysis.conduction.failure_modes import Failure, Mode
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.facts import Facts
from tests.oracle.workbench import Workbench


class SmallDesign(Workbench):
    """``battery`` feeds ``bus`` by W1 and returns to ``ground`` by W2. The only state is ``cruise``."""

    def __init__(self, airframe: str = "composite"):
        super().__init__(Random(0), airframe)
        self.more: dict[str, dict[str, Any]] = {}
        self.add("battery", "battery")
        self.add("bus", "bus")
        self.add("ground", "ground-block")
        self.wire("battery.positive", "bus")
        self.wire("battery.negative", "ground")

    def load(
        self, name: str, *chain: tuple[str, str], start: str = "bus", end: str = "ground", **fields: Any
    ) -> str:
        """Add a load, fed from ``start`` through a chain of terminal pairs, with its return at ``end``."""
        self.add(name, "load", **fields)
        self.run(start, chain, f"{name}.supply")
        self.wire(f"{name}.return", end)
        return name

    def second_battery(self, **fields: Any) -> None:
        """``second`` with a bus and a ground of its own, the grounds joined."""
        self.add("second", "battery", **fields)
        self.add("second-bus", "bus")
        self.wire("second.positive", "second-bus")
        self.wire("second.negative", "ground")

    def alternator(self, name: str = "alternator") -> None:
        """An alternator of permanent magnets, at the bus."""
        self.add(name, "alternator", excitation="permanent-magnet")
        self.wire(f"{name}.output", "bus")
        self.wire(f"{name}.ground", "ground")

    def function(self, name: str, *of: str, any: int = 1, loss: str = "catastrophic") -> None:
        """Declare a function: of its channels at least ``any`` must work."""
        self.functions[name] = {"any": any, "of": list(of), "loss": loss}

    def facts(self, **state: Any) -> Facts:
        """The facts; ``state`` are fields of cruise."""
        self.states.setdefault("cruise", {"engine": "running", "switches": self.turned(), **state})

        def dress(data: dict[str, Any]) -> None:
            for group, fields in self.more.items():
                data.setdefault(group, {}).update(fields)

        return Facts(self.design("small", dress))


def cruise(facts: Facts) -> StateAnswer:
    """The only state, solved."""
    return facts.states.answer("cruise")


def fails(facts: Facts, element: str, mode: Mode = Mode.OPEN, terminal: str = "") -> Failure:
    """The failure of an element in cruise, at a terminal where there are several."""
    (failure,) = (
        f
        for f in cruise(facts).failures
        if (f.element, f.mode) == (element, mode)
        and (not terminal or facts.network.node(terminal) in f.nodes)
    )
    return failure
