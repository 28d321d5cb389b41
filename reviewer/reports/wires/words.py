"""The sentences of the wire list, shared by text and table."""

from __future__ import annotations

from reviewer.model.quantity_words import quantity
from reviewer.questions.wires import EndProtection, WireRow
from reviewer.reports.wording import shown


def protection_words(protection: EndProtection) -> str:
    """``left-fuse 7.5 A, largest for the wire 10 A (from left-fuse.load)``."""
    rating = quantity(protection.rating, "A") if protection.rating is not None else "rating not given"
    limit = ""
    if protection.stub:
        limit = ", exempt: short wire"
    elif protection.limit is not None:
        limit = f", largest for the wire {quantity(protection.limit, 'A')}"
    return f"{shown(protection.device)} {rating}{limit} (from {shown(protection.end)})"


def unprotected_words(row: WireRow) -> list[str]:
    """The ends that are energised without circuit protection between."""
    exempt = " (exempt: battery and starter cables)" if row.exempt else ""
    return [
        f"{shown(end)}, energised from {', '.join(map(shown, sources))}{exempt}"
        for end, sources in row.unprotected
    ]
