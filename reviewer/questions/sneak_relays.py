"""The relays that sneak currents energise in a state, or keep energised."""

from __future__ import annotations

from reviewer.analysis.switching.held_states import EnergisedBySneak

__all__ = ["EnergisedBySneak"]
