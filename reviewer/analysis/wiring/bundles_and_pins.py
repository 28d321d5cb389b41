"""Facts about wires, grounds, bundles, connectors and studs. No logic lives here."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from reviewer.analysis.wiring import ambient, circuits
from reviewer.analysis.wiring.answers import CarryingFacts
from reviewer.tables.practice import practice


class WiringFacts(CarryingFacts):
    """What a rule may ask about how the wires lie and where they are joined."""

    @property
    def lugs_on_a_stud(self) -> int:
        """How many ring terminals one stud holds by common practice."""
        return int(practice("counts", "ring-terminals-on-a-stud").high)

    @cached_property
    def crowded_posts(self) -> Mapping[str, Mapping[str, tuple[str, ...]]]:
        """For each part that has studs or posts, those that hold more wires than they should -> the wires."""
        return circuits.crowded_posts(self.design, self.network, self.lugs_on_a_stud)

    @cached_property
    def critical_loads(self) -> frozenset[str]:
        """Loads and instruments on which a function rests whose loss is hazardous or worse. Raises NotAssessable without functions."""
        return circuits.critical_loads(self.design) if self.critical_functions else frozenset()

    def pin_users(self, connector: str) -> Mapping[str, tuple[str, ...]]:
        """For each pin of a connector, the loads, instruments, sensors and coils on its circuit."""
        return circuits.pin_users(self.design, self.network, connector)

    @property
    def long_run(self) -> float:
        """Metres over which wires in one bundle disturb each other, by common practice."""
        return circuits.LONG_RUN_M

    def ambient(self, wire: str) -> ambient.Ambient | None:
        """The hottest air about a wire, by name; None where it is not said."""
        return ambient.ambient_of(self.design, wire)
