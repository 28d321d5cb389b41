"""One value that was filled in by default."""

from __future__ import annotations

from reviewer.model.record import record


@record
class FilledIn:
    """A value that was filled in: of ``what``, and ``why`` it is that one; ``items`` are the names of
    what it was filled in for."""

    what: str
    value: str
    why: str
    items: tuple[str, ...]
