"""Facts of wires: what they run in and carry, and what is lost on the way to a load. No logic lives here."""

from __future__ import annotations

from reviewer.analysis import surroundings
from reviewer.analysis.point_facts import PointFacts


class WiringFacts(PointFacts):
    """What wires carry and lose."""

    def ambient(self, wire: str) -> surroundings.Ambient | None:
        """The hottest air about a wire, by name; None where it is not said."""
        return surroundings.ambient_of(self.design, wire)
