"""The direct-current rating that a contact needs for the loads that it switches and carries."""

from __future__ import annotations

from collections.abc import Collection

from reviewer.analysis.switching.contact_loading import ContactUse, has_peak_alone
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import bare
from reviewer.network.kinds import UnknownKind
from reviewer.tables.limits import switch_factor
from reviewer.tables.practice import practice


@record
class Need:
    """The direct-current rating that a contact needs for one use.

    ``loads`` in words, and the keys that are ``missing`` to say it.
    """

    use: ContactUse
    amperes: float
    loads: tuple[str, ...]
    missing: tuple[str, ...]


def need(design: Design, use: ContactUse, typical: Collection[str]) -> Need:
    """The rating that a contact needs for one use.

    A load switched by the contact counts with the factor of AC 43.13-1B Table 11-4 for its type, or
    with its peak where that is more, and with its peak where the file gives nothing else; what the
    contact only carries counts once. The table is
    printed for switches; for a relay it is used by analogy, with at least the margin of common
    practice. ``typical`` are the elements whose current is a typical value.
    """
    part = design.parts[bare(use.element)]
    margin = practice("factors", "relay-contact-over-load").low if isinstance(part, p.Electromagnet) else 1.0
    amperes, loads, missing = 0.0, [], []
    for one in use.through:
        carried = one.share * one.amperes
        kind = load_type(design, one.element)
        other = design.parts[bare(one.element)]
        if kind is None and one.switched:
            missing.append(f"`type` of {bare(one.element)}")
            continue
        wanted, words = carried, f"{bare(one.element)} {carried:.2f} A"
        words += " (typical)" if one.element in typical else ""
        if has_peak_alone(other):
            words = f"{bare(one.element)} at most {carried:.2f} A"
        elif one.switched and kind is not None:
            factor = max(switch_factor(design.aircraft.nominal, kind).value, margin)
            wanted, words = carried * factor, f"{words} x {factor:g}"
            if (peak := getattr(other, "peak", None)) is not None and peak * one.share > wanted:
                wanted, words = peak * one.share, f"{bare(one.element)} at most {peak * one.share:.2f} A"
        amperes += wanted
        loads.append((wanted, words))
    return Need(use, amperes, tuple(words for _, words in sorted(loads, reverse=True)), tuple(missing))


def load_type(design: Design, element: str) -> str | None:
    """The type of load that an element is to a contact; None where the file does not say.

    Of a load its own. An instrument is electronic, a coil or a field inductive, a battery under
    charge a resistance. Raises UnknownKind.
    """
    part = design.parts[bare(element)]
    if isinstance(part, p.Load):
        return part.type
    if isinstance(part, p.Instrument):
        return "electronic"
    if isinstance(part, p.Battery):
        return "resistive"
    if isinstance(part, (p.Electromagnet, p.Alternator)):
        return "inductive"
    raise UnknownKind(part, "the load of a contact")


def largest(design: Design, use: ContactUse) -> float:
    """The largest current of a contact in one use: each load at its peak where one is given."""
    return sum(
        one.share * max(one.amperes, getattr(design.parts[bare(one.element)], "peak", None) or 0.0)
        for one in use.through
    )
