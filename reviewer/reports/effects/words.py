"""The sentences of failure effects, shared by text, table, JSON, page and schedules."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.quantity_words import clock, quantity
from reviewer.network.graph import bare, holder
from reviewer.questions.effects import Effect, RemainingRedundancy
from reviewer.questions.fail import Recovery
from reviewer.questions.sneak_relays import EnergisedBySneak
from reviewer.reports.wording import BATTERY_CHARGE, counted, element_words, shown

LIMITS: tuple[str, ...] = (
    "One failure at a time, from one declared state, with everything else as designed.",
    "A short is cleared by the nearest circuit protection. Where the ratings do not ensure that, and one "
    "further upstream may take more loads, that outcome is listed too.",
    "A short to ground is analysed at energised terminals, and where a source feeds through a load or coil "
    "that has no return.",
    "Voltages were computed for loads whose current and minimum voltage the file gives, and the currents of "
    "batteries and alternators. Other voltages, currents, temperatures and times were not.",
    BATTERY_CHARGE,
)
NO_FUNCTIONS = "not assessed: the file declares no `functions`"
NO_ACTIONS = "not assessed: the file declares no `actions`"
NO_WATCH = "not assessed: the file declares no `watch`"
#: what stands under ``indication``
INDICATION = (
    "Indication: monitors, lamps and alarms that show the failure, and checks before flight that would. "
    "Where none does, what stops may still be noticed in use: a function, an instrument, the starter."
)


def local_effect(effect: Effect, most: int | None = None) -> str:
    """The local effect, in this order: overvoltage, sources, batteries not charged any more,
    overload, circuit protection, relays, switches that follow something, buses and loads; of a list
    at most so many names, and how many more."""
    by_itself = " uncommanded" if effect.uncommanded else ""
    clauses = [
        *_full_field(effect),
        _clause(effect.sources, "is lost", "are lost"),
        f"the field of {names(effect.fields_on)} draws on" if effect.fields_on else "",
        _clause(effect.unloaded, "feeds no load", "feed no load"),
        f"no longer charged: {names(effect.uncharged)}" if effect.uncharged else "",
        _clause(effect.overloaded, "is overloaded", "are overloaded"),
        _clause(effect.protection, "opens", "open"),
        _clause(effect.dropped_out, "drops out", "drop out", most),
        _clause(effect.energised, f"is energised{by_itself}", f"are energised{by_itself}"),
        *(f"{element_words(switch)} moves to {shown(at)}" for switch, at in effect.moved),
        _clause(effect.buses, "is dead", "are dead", most),
        _clause(effect.loads, "loses power", "lose power", most),
        _clause(effect.low, "has less than its minimum voltage", "have less than their minimum voltage"),
        *(
            f"{names([unit])} runs on its own battery for {clock(seconds)}"
            for unit, seconds in effect.on_own_battery
        ),
        _clause(effect.newly_powered, f"is powered{by_itself}", f"are powered{by_itself}"),
        *(_silenced(effect, e) for e in effect.silenced),
        _clause(effect.hot, "is no longer grounded", "are no longer grounded"),
        "the relays do not settle, so nothing else is certain" if effect.unsettled else "",
    ]
    return "; ".join(filter(None, clauses)) or "none"


def _silenced(effect: Effect, magneto: str) -> str:
    """What stops a magneto: its own failure, or that its p-lead is grounded."""
    own = effect.failure.element == magneto and effect.mode == "open"
    return f"{element_words(magneto)} {'fires no more' if own else 'is grounded'}"


def _full_field(effect: Effect) -> Iterator[str]:
    """The alternators that their regulator drives to full field, or may."""
    for one in effect.full_field:
        alternator, regulator = shown(one.alternator), shown(one.regulator)
        if one.unstated:
            keys = " and ".join(f"`{key}`" for key in one.unstated)
            yield f"overvoltage of {alternator} or its loss: {keys} of {regulator} not stated"
        else:
            inside = (
                f"the trip inside {regulator}, {one.inside:g} V, loses the same lead" if one.inside else ""
            )
            ends = "that nothing stops" if one.trip == "none" else "(`overvoltage-trip` not stated)"
            if inside and one.trip == "none":
                ends = f"{ends}: {inside}"
            elif inside:
                ends = f"({inside}; whether {alternator} has another `overvoltage-trip` is not stated)"
            ends = f"until it trips at {one.trip:g} V" if isinstance(one.trip, float) else ends
            regulator = "its regulator" if one.regulator == one.alternator else regulator
            yield f"{regulator} drives {alternator} to full field, overvoltage {ends}"


def _clause(elements: Sequence[str], one: str, many: str, most: int | None = None) -> str:
    if most is not None and len(elements) > most:
        return f"{names(elements[:most])} and {len(elements) - most} more {many}"
    return f"{names(elements)} {one if len(elements) == 1 else many}" if elements else ""


def names(elements: Iterable[str]) -> str:
    """``main-bus, W12, bundle panel``: a bundle may have the name of a part."""
    return ", ".join(
        f"bundle {element_words(one)}" if one.startswith("bundles/") else element_words(one)
        for one in elements
    )


def functions_lost(design: Design, effect: Effect) -> str:
    """``ignition (catastrophic), radio (major)``, or "none"."""
    if not design.functions:
        return NO_FUNCTIONS
    return (
        ", ".join(f"{shown(n)} ({hazard.word}){lost_after(effect, n)}" for n, hazard in effect.functions)
        or "none"
    )


def lost_after(effect: Effect, function: str) -> str:
    """When a function is lost that batteries inside its units keep on at first."""
    seconds = dict(effect.lost_after).get(function)
    return "" if seconds is None else f" after {clock(seconds)}"


def indication(design: Design, effect: Effect) -> str:
    """What indicates it: monitors, those that go dark, and checks before flight; where none does, whether
    use shows it."""
    if not design.watch.monitors and not design.watch.checks:
        return NO_WATCH
    signs = effect.signs
    clauses = [
        ", ".join(map(shown, signs.monitors)),
        f"dark: {', '.join(map(shown, signs.dark))}" if signs.dark else "",
        f"before flight: {', '.join(map(shown, signs.checks))}" if signs.checks else "",
        f"not solved: {', '.join(map(shown, signs.unsolved))}" if signs.unsolved else "",
        f"not solved before flight: {', '.join(map(shown, signs.unsolved_checks))}"
        if signs.unsolved_checks
        else "",
    ]
    return "; ".join(filter(None, clauses)) or _no_indication(design, effect)


def _no_indication(design: Design, effect: Effect) -> str:
    """Where no monitor or check shows it: what of it use shows, or "none"."""
    if effect.functions:
        return none_but_the_loss([dict(effect.lost_after).get(name) for name, _ in effect.functions])
    stopped = stopped_in_use(design, effect)
    return f"none but {_clause(stopped, 'itself', 'themselves')}" if stopped else "none"


def none_but_the_loss(seconds: Sequence[float | None]) -> str:
    """That functions are lost, each at once or after some seconds, is all that shows a failure."""
    later = [one for one in seconds if one is not None]
    after = f" after {clock(min(later))}" if len(later) == len(seconds) else ""
    return f"none but the loss itself{after}"


def stopped_in_use(design: Design, effect: Effect) -> tuple[str, ...]:
    """The instruments and starters (elements) that stop: use of them shows the failure. One that works on
    by a battery of its own is none of them."""
    works_on = {element for element, _ in effect.on_own_battery}
    stopped = (e for e in effect.loads if e not in works_on and holder(e) == e)
    return tuple(e for e in stopped if _instrument_or_starter(design, e))


def _instrument_or_starter(design: Design, element: str) -> bool:
    part = design.parts[bare(element)]
    return isinstance(part, p.Instrument) or (isinstance(part, p.Load) and part.type == "starter")


def redundancy(design: Design, effect: Effect) -> str:
    """The remaining redundancy of the functions that still work and have less than before."""
    if not design.functions:
        return NO_FUNCTIONS
    if not effect.remaining:
        return "no function works"
    return "; ".join(remaining_words(one) for one in effect.remaining if one.reduced) or "as before"


def effect_cells(design: Design, effect: Effect) -> tuple[str, str, str, str]:
    """Local effect, functions lost, indication and remaining redundancy."""
    return (
        local_effect(effect),
        functions_lost(design, effect),
        indication(design, effect),
        redundancy(design, effect),
    )


def alike(design: Design, effects: Iterable[Effect]) -> Iterator[list[Effect]]:
    """Failures that read the same but for what fails."""
    groups: dict[tuple[str, ...], list[Effect]] = {}
    for effect in effects:
        groups.setdefault(effect_cells(design, effect), []).append(effect)
    yield from groups.values()


def failures_words(same: Sequence[Effect]) -> str:
    """What fails, mode by mode: ``W1, breaker open; breaker.load, W2 shorted to ground``.

    A short at a terminal is named by the terminal alone.
    """
    modes: dict[str, list[str]] = {}
    for effect in same:
        mode = f"{effect.mode}{effect.failure.clearing}" if effect.at else effect.words
        modes.setdefault(mode, []).append(shown(effect.at) or element_words(effect.failure.element))
    return "; ".join(f"{', '.join(which)} {shown(mode)}" for mode, which in modes.items())


def recovery_words(way: Recovery) -> str:
    """``by to-reserve (source-select to reserve, 10 s)``."""
    moves = ", ".join(f"{shown(name)} to {shown(position)}" for name, position in way.moves)
    time = quantity(way.seconds, "s") if way.seconds is not None else "time not in the file"
    return f"by {' then '.join(map(shown, way.actions))} ({moves}, {time})"


def off_words(functions: Sequence[str]) -> str:
    """``Functions off in this state with nothing failed: pitot-heat.``"""
    return f"Functions off in this state with nothing failed: {', '.join(map(shown, functions))}."


def remaining_words(one: RemainingRedundancy) -> str:
    """``ignition: 1 of 2 channels (left-ignition), 1 needed; 2 further failures cause its loss``"""
    text = f"{shown(one.function)}: {channels_words(one)}"
    if not one.next_failures:
        return text
    further = counted(len(one.next_failures), "further single failure")
    return f"{text}, {further} {'causes' if len(one.next_failures) == 1 else 'cause'} its loss"


def channels_words(one: RemainingRedundancy) -> str:
    """``1 of 2 channels (left-ignition), 1 needed``."""
    of = "" if len(one.channels) == len(one.of) else f" ({', '.join(map(shown, one.channels))})"
    return f"{len(one.channels)} of {counted(len(one.of), 'channel')}{of}, {one.needed} needed"


def beside_words(sneaks: Sequence[EnergisedBySneak]) -> list[str]:
    """How the effects with a relay still energised are asked for, of those that do not drop out."""
    return [
        f"The effects are with {element_words(one.relay)} de-energised; with it energised they are those of "
        f"the state `{shown(one.beside)}`."
        for one in sneaks
        if one.beside
    ]
