"""Names one after the other, as a sentence has them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence


def and_list(names: Iterable[str], word: str = "and") -> str:
    """``a``, ``a and b``, ``a, b and c``, of texts that can be shown."""
    listed = list(names)
    return f"{', '.join(listed[:-1])} {word} {listed[-1]}" if len(listed) > 1 else "".join(listed)


def few(names: Sequence[str], most: int = 3) -> str:
    """The first names of a list, and how many more there are: ``a, b, c and 4 more``."""
    return ", ".join(names[:most]) + (f" and {len(names) - most} more" if len(names) > most else "")
