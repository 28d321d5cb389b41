"""Names that may be of what a mistake has kept from being made, so that their absence is no second
mistake."""

from __future__ import annotations

from reviewer.reading.problem import nearest


class UnreadNames(set[str]):
    """Words of circuits with a mistake; ``calls`` are names of what could not be installed, and stand
    for every name of which they are a word; ``any_name`` is True where a whole list was not read, so that
    every name may be of it. ``repeated`` are names given twice: one of the two is of something else, whose
    own name may be one that is like it."""

    def __init__(self) -> None:
        super().__init__()
        self.calls: set[str] = set()
        self.repeated: set[str] = set()
        self.any_name = False

    def __contains__(self, name: object) -> bool:
        """Whether a name may be that of something which is not made."""
        return (
            self.any_name
            or super().__contains__(name)
            or any(f"-{call}-" in f"-{name}-" for call in self.calls)
            or bool(self.repeated and nearest(name, self.repeated))
        )
