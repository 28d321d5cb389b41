"""What the trade calls a part of the design file, and a fault of its wiring."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.protection.unprotected_ends import EnergisedEnd
from reviewer.model import parts
from reviewer.model.quantity_words import length, quantity
from reviewer.model.rounding import exceeds
from reviewer.network.graph import bare
from reviewer.rulebook.numbers import and_list, few
from reviewer.tables.practice import practice

#: the kinds of the design file; some the trade calls by another word
_WORDS: dict[type, str] = {
    **{kind: word.replace("-", " ") for word, kind in parts.PART_KINDS.items()},
    parts.Limiter: "current limiter",
    parts.BreakerSwitch: "switch-rated breaker",
    parts.ExternalPower: "external power socket",
    parts.Airframe: "structure",
}

#: wires that a remedy names
_NAMED = 6
#: how the failure of a group of elements is said; of a part or a wire it is its single failure
_FAILED = {"bundles": "Severed bundle", "bolts": "Open bolt"}


def kind_word(part: Any) -> str:
    """The trade's word for the kind of a part: breaker, current limiter, ground block."""
    return _WORDS[type(part)]


def failed_words(element: str) -> str:
    """The failure of an element that a sentence begins with: ``Single failure of F3``, ``Severed bundle
    panel``, ``Open bolt engine.case``."""
    group, _, name = element.partition("/")
    return f"{_FAILED.get(group, 'Single failure of')} {name}"


def rated(name: str, part: Any) -> str:
    """A part by name and kind, with its rating in amperes if it has one: ``F3 (5 A fuse)``."""
    rating = getattr(part, "rating", None)
    return (
        f"{name} ({kind_word(part)})"
        if rating is None
        else f"{name} ({quantity(rating, 'A')} {kind_word(part)})"
    )


def miswired(facts: Facts, relay: str) -> str:
    """The coil lead of a relay (a pointer) that is wired behind its own contact, and where it must be
    wired, as a sentence before another; "" for none."""
    lead = facts.switches.miswired_lead(relay) if relay in facts.switches.coils else None
    if lead is None or not lead.belongs:
        return ""
    wired = f"wired to {lead.at}, " if lead.at else ""
    return f"Coil lead {lead.lead} is {wired}behind its own contact, and must be wired to {lead.belongs}. "


def size_and_length(wire: Any, unit: str) -> str:
    """Gauge and length of a wire, as far as they are given: `` (22 AWG, 0.4 m)``."""
    known = (wire.size, "" if wire.length is None else length(wire.length, unit))
    return f" ({', '.join(filter(None, known))})" if any(known) else ""


def larger_wire(size: str, wires: Sequence[str]) -> str:
    """What wires (names) are exchanged for: ``10 AWG or larger for W1 and W2``; ``size`` may be unknown."""
    return f"{f'{size} or larger' if size else 'larger wire'} for {few(wires, _NAMED)}"


def wire_of_output(size: str, wire: str, sources: Sequence[str]) -> str:
    """What a lead is exchanged for that all passes which some sources (names) give."""
    return f"Use {larger_wire(size, [wire])}, which carries the full output of {and_list(sources)}."


def protection_at_end(found: EnergisedEnd, run: float | None, facts: Facts) -> str:
    """What to fit or bring nearer; of a short wire, what is before it; for what limits itself, a wire."""
    end, wire = found.feed.end, bare(found.feed.wire)
    if size := facts.protection.size_for_sources(wire, found.sources):
        return wire_of_output(size, wire, found.sources)
    own, near = facts.design.wires[wire].length, facts.protection.at_other_end(wire, end)
    if own is not None and run is not None and own <= practice("metres", "unprotected-conductor").high < run:
        return "Shorten the unprotected conductor to 6 in (0.15 m) in all, or fit protection ahead of it."
    most, least = facts.protection.ratings_of(wire), facts.protection.output_through(wire)
    fit, within = largest_protection(most, least), "within 6 in (0.15 m) of"
    if most and least > max(most.values()):
        larger = larger_wire(facts.protection.size_for(wire, "fuse", least), [wire])
        return f"Use {larger}, and fit protection of {quantity(least, 'A')} or more {within} {end}."
    return f"Move {near} to {within} {end}, or fit {fit} there." if near else f"Fit {fit} {within} {end}."


def smaller_or_thicker(name: str, thin: Sequence[str], amps: float, facts: Facts) -> str:
    """A smaller device, if it carries what it has to, or the size of wire that its rating needs, and that of
    what protects the wires from elsewhere."""
    part = facts.design.part(name, parts.Protector)
    every = tuple(dict.fromkeys((*thin, *facts.protection.too_thin_for(name))))
    size = facts.protection.size_behind(name, every[:_NAMED])
    beyond = ", and for what is behind them as far as the next circuit protection"
    wire = f"{larger_wire(size, every[:_NAMED])}{beyond if every[_NAMED:] else ''}"
    try:
        least = facts.protection.least_rating(name, amps)
    except NotAssessable:
        least = 0.0
    if exceeds(least, amps):
        return f"Use {wire}: a smaller {kind_word(part)} does not carry {quantity(least, 'A')}."
    carried = least if name in facts.protection.output_devices else 0.0
    return f"Fit a {kind_word(part)} of {_between(carried, amps)}, or use {wire}."


def largest_protection(most: Mapping[str, float], least: float = 0.0) -> str:
    """What to fit, by kind of protection and its largest rating in A: ``a breaker of 5 A or less``, or ``of
    60 to 80 A`` where it must carry the ``least``, A."""
    ratings = {amps: [kind for kind in most if most[kind] == amps] for amps in most.values()}
    fitted = [
        f"a {' or '.join(kinds)} of {_between(least, amps)}"
        for amps, kinds in ratings.items()
        if amps >= least
    ]
    return ", or ".join(fitted) or "a fuse, current limiter or breaker"


def _between(least: float, most: float) -> str:
    """A rating from what must be carried, A, 0 for nothing, to the largest."""
    if least == most:
        return quantity(most, "A")
    return (
        f"{quantity(least, 'A').removesuffix(' A')} to {quantity(most, 'A')}"
        if least
        else f"{quantity(most, 'A')} or less"
    )
