"""The direct-current rating that a contact needs for the loads that it switches and carries."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from functools import cached_property

from reviewer.analysis.operating_point.assumptions import Assumptions
from reviewer.analysis.operating_point.devices import amps_of
from reviewer.analysis.switching.contact_loading import ContactUse, Through, has_peak_alone
from reviewer.model import parts as p
from reviewer.model.canonical_order import name_order
from reviewer.model.design import Design
from reviewer.model.quantity_words import quantity
from reviewer.model.record import record
from reviewer.model.rounding import over_rated
from reviewer.network.graph import bare
from reviewer.network.kinds import UnknownKind
from reviewer.tables.limits import switch_factor
from reviewer.tables.practice import practice

#: types of load that draw more as the contact closes, and those that burn it as it opens
_INRUSH, _ARC = ("lamp", "motor", "starter"), ("inductive", "motor", "starter")

#: share of its current below which a load is taken to be in series with another, not on a bus that
#: sags; two equal ones take half each; a value of our own
_IN_SERIES = 2 / 3
#: what a load asks for, A; its element; `at most ` or ""; its own current, A; by what that is multiplied,
#: in words
_Asked = tuple[float, str, str, float, str]


@record
class Need:
    """The direct-current rating that a contact needs for one use.

    ``making`` is the current onto which it closes and ``breaking`` the inductive one that it opens,
    in A: 0 where the contact has no rating of its own for it, and ``amperes`` covers it then.
    ``asked`` is what each load asks for, and the keys that are ``missing`` to say it.
    """

    use: ContactUse
    amperes: float
    making: float
    breaking: float
    asked: tuple[_Asked, ...]
    missing: tuple[str, ...]

    @cached_property
    def loads(self) -> tuple[str, ...]:
        """The loads in words, with what each asks for, the most first."""
        told = [
            (wanted, f"{bare(element)} {limit}{quantity(amps, 'A')}{factor}")
            for wanted, element, limit, amps, factor in self.asked
        ]
        return tuple(words for _, words in sorted(told, key=lambda at: (-at[0], name_order(at[1]))))


def need(design: Design, use: ContactUse, typical: Collection[str], dead: Collection[str] = ()) -> Need:
    """The rating that a contact needs for one use.

    A load switched by the contact counts with the factor of AC 43.13-1B Table 11-4 for its type, or
    with its peak where that is more, and with its peak where the file gives nothing else; what the
    contact only carries counts once, a starter with its peak. Where the contact has a make rating,
    that takes the inrush, and an inductive rating the opening of coils and motors; the rest counts
    as a resistance, as does a load whose type is not stated, which is the least. The table is printed
    for switches; for a relay it is used by analogy, with at least the margin of common practice.
    ``typical`` are the elements whose current is a typical value, ``dead`` those without power, which
    take what leaks into them and never their peak.
    """
    part = design.part(bare(use.element), p.RatedContacts)
    margin = practice("factors", "relay-contact-over-load").low if isinstance(part, p.Electromagnet) else 1.0
    amperes, making, breaking = 0.0, 0.0, 0.0
    asked: list[_Asked] = []
    missing: list[str] = []
    for one in use.through:
        carried = one.share * one.amperes
        kind = load_type(design, one.element)
        other = design.parts[bare(one.element)]
        if one.switched and (kind is None or (has_peak_alone(other) and part.make_rating is not None)):
            missing.append(f"`{'type' if kind is None else 'current'}` of {bare(one.element)}")
            if kind is not None:
                continue
        peak = 0.0 if one.element in dead else (getattr(other, "peak", None) or 0.0) * one.share
        wanted = closes = told = carried
        limit, words = "", " (typical)" if one.element in typical else ""
        if has_peak_alone(other):
            limit, words = "at most ", ""
        elif not one.switched and kind == "starter" and peak > carried:
            # a starter that stands takes its peak through every contact on the way, the nearest makes it
            wanted, closes, limit, told, words = peak, 0.0, "at most ", peak, ""
        elif one.switched:
            least, factor = (
                max(switch_factor(design.aircraft.nominal, name).value, margin)
                for name in ("resistive", kind or "resistive")
            )
            closes = max(peak, carried * (factor if kind in _INRUSH else 1.0))
            opens = carried if kind in _ARC else 0.0
            wanted = carried * least
            if part.make_rating is None:
                wanted = max(wanted, closes)
            if part.inductive_rating is None:
                wanted = max(wanted, opens * factor)
            else:
                breaking += opens
            if wanted > carried * factor:
                limit, told, words = "at most ", wanted, ""
            else:
                words += f" x {factor if wanted == carried * factor else least:g}"
            words += " or more (`type` not stated)" if kind is None else ""
        amperes += wanted
        making += closes if part.make_rating is not None else 0.0
        asked.append((wanted, one.element, limit, told, words))
    return Need(use, amperes, making, breaking, tuple(asked), tuple(missing))


@record
class Demand:
    """What one use asks of one of the ratings of a contact, in A.

    ``key`` names the rating in the file and ``limit`` is its value, None where the file has none.
    ``where`` the use is, and the ``state``, "" for none.
    """

    where: str
    state: str
    key: str
    limit: float | None
    required: float
    need: Need

    @property
    def is_over(self) -> bool:
        """Whether it exceeds the rating by more than the currents of a file are rounded by."""
        return self.limit is not None and over_rated(self.required, self.limit)


def demands(design: Design, where: str, state: str, cranks: bool, found: Need) -> Iterator[Demand]:
    """What one use asks of the ratings of its contact; while the engine ``cranks`` of the
    short-time rating, where there is one, instead of the rating."""
    part = design.part(bare(found.use.element), p.RatedContacts)
    if cranks and part.short_time_rating is not None:
        yield Demand(where, state, "short-time-rating", part.short_time_rating, found.amperes, found)
    else:
        yield Demand(where, state, "rating", getattr(part, "rating", None), found.amperes, found)
    if part.make_rating is not None:
        yield Demand(where, state, "make-rating", part.make_rating, found.making, found)
    if part.inductive_rating is not None:
        yield Demand(where, state, "inductive-rating", part.inductive_rating, found.breaking, found)


def load_type(design: Design, element: str) -> str | None:
    """The type of load that an element is to a contact; None where the file does not say.

    Of a load its own. An instrument, a converter and a charger are electronic, a coil or a field
    inductive, a battery under charge a resistance. Raises UnknownKind.
    """
    part = design.parts[bare(element)]
    if isinstance(part, p.Load):
        return part.type
    if isinstance(part, (p.Instrument, p.Converter, p.Charger)):
        return "electronic"
    if isinstance(part, p.Battery):
        return "resistive"
    if isinstance(part, (p.Electromagnet, p.Alternator)):
        return "inductive"
    raise UnknownKind(part, "the load of a contact")


def largest(design: Design, use: ContactUse, phases: Sequence[str] = ()) -> float:
    """The largest current of a contact in one use, A: each load at the current that the file gives
    at nominal volts in some phases, or at its peak where one is given."""
    return sum(
        one.share
        * max(_nominal(design, one, phases), getattr(design.parts[bare(one.element)], "peak", None) or 0)
        for one in use.through
    )


def _nominal(design: Design, one: Through, phases: Sequence[str]) -> float:
    """The current of a load or coil at nominal volts, whatever the volts of its bus; the solved one
    where the file gives none, or where something in series takes much of the volts."""
    part = design.parts[bare(one.element)]
    if isinstance(part, p.Electromagnet):
        given = part.coil_current
    elif isinstance(part, (p.Load, p.Instrument)) and part.currents:
        given = amps_of(part, one.element, phases, Assumptions())
    else:
        given = None
    return given if given and one.amperes > _IN_SERIES * given else one.amperes
