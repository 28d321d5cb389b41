"""Names that may be of what a mistake has kept from being made, so that their absence is no second
mistake."""

from __future__ import annotations


class UnreadNames(set[str]):
    """Words of circuits with a mistake; ``calls`` are names of what could not be installed, and stand
    for every name of which they are a word."""

    def __init__(self) -> None:
        super().__init__()
        self.calls: set[str] = set()

    def __contains__(self, name: object) -> bool:
        """Whether a name may be that of something which is not made."""
        return super().__contains__(name) or any(f"-{call}-" in f"-{name}-" for call in self.calls)
