"""Facts about protectors: what stands nearest to a load, what goes with it, what it carries. No logic lives here."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from reviewer.analysis import circuit_protectors
from reviewer.analysis.wiring_facts import WiringFacts
from reviewer.model import parts as p


class ProtectorFacts(WiringFacts):
    """What a rule may ask about breakers, fuses and limiters."""

    @cached_property
    def _taken(self) -> Mapping[str, Mapping[str, tuple[str, ...]]]:
        return {a.state.name: circuit_protectors.taken_by_opening(self.design, a) for a in self.flight_answers()}

    @cached_property
    def shared_circuits(self) -> Mapping[str, circuit_protectors.Shared]:
        """Protectors of a critical circuit that protect another circuit too. Raises NotAssessable without functions."""
        if not self.critical_functions:
            return {}
        near = circuit_protectors.nearest_protectors(self.design, self.network, self.answers())
        return {s.protector: s for s in circuit_protectors.shared_circuits(self.design, near, self._taken)}

    @cached_property
    def needed_protectors(self) -> Mapping[str, tuple[circuit_protectors.Needed, ...]]:
        """Protectors that take a load of a critical function when they open, in a state of normal flight. Raises NotAssessable without functions."""
        return circuit_protectors.needed_protectors(self.design, self._taken) if self.critical_functions else {}

    @staticmethod
    def can_be_reset(part: p.Part) -> bool:
        """Whether the crew can put a protector back in flight."""
        return circuit_protectors.can_be_reset(part)

    def guards_a_motor(self, protector: str) -> bool:
        """Whether a protector feeds nothing but motors and another protector stands before it."""
        return circuit_protectors.guards_a_motor(self.design, self.network, self.answers(), protector)
