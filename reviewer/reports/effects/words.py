"""The sentences in which the effects of failures are told, shared by text, table and JSON."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from reviewer.analysis.crew.recovery import Recovery
from reviewer.model.design import Design
from reviewer.questions.effects import Effect, Left
from reviewer.reports.wording import counted, element_words, shown

LIMITS: tuple[str, ...] = (
    "One failure at a time, from one declared state, with everything else as drawn.",
    "Shorts are cleared by the nearest protectors; that a larger one might open first was not tried.",
    "A short to ground is tried only where something is fed. No voltages, currents, temperatures or times were computed.",
)
NO_FUNCTIONS = "not assessed: the file declares no `functions`"
NO_ACTIONS = "not assessed: the file declares no `actions`"
NO_WATCH = "not assessed: the file declares no `watch`"


def local_effect(effect: Effect) -> str:
    """What happens near the failure: sources, protectors, relays, buses and loads, in this order."""
    told = [
        _told(effect.sources, "is lost", "are lost"),
        _told(effect.idle, "feeds nothing any more", "feed nothing any more"),
        _told(effect.protectors, "opens", "open"),
        _told(effect.let_go, "lets go", "let go"),
        _told(effect.pull_in, "pulls in", "pull in"),
        _told(effect.buses, "goes dead", "go dead"),
        _told(effect.loads, "loses its power", "lose their power"),
        _told(effect.woken, "comes alive", "come alive"),
        "the relays do not come to rest, so nothing else is sure" if effect.hunts else "",
    ]
    return "; ".join(filter(None, told)) or "no source, protector, relay, bus or load changes"


def _told(elements: Sequence[str], one: str, many: str) -> str:
    return f"{names(elements)} {one if len(elements) == 1 else many}" if elements else ""


def names(elements: Iterable[str]) -> str:
    """``main-bus, W12``."""
    return ", ".join(map(element_words, elements))


def functions_lost(design: Design, effect: Effect) -> str:
    """``ignition (catastrophic), radio (major)``, or "none"."""
    if not design.functions:
        return NO_FUNCTIONS
    return ", ".join(f"{shown(name)} ({hazard.word})" for name, hazard in effect.functions) or "none"


def indication(design: Design, effect: Effect) -> str:
    """What shows it: monitors, those that go dark, and checks before flight."""
    if not design.watch.monitors and not design.watch.checks:
        return NO_WATCH
    signs = effect.signs
    told = [
        ", ".join(map(shown, signs.monitors)),
        f"dark: {', '.join(map(shown, signs.dark))}" if signs.dark else "",
        f"before flight: {', '.join(map(shown, signs.checks))}" if signs.checks else "",
    ]
    return "; ".join(filter(None, told)) or "nothing"


def redundancy(design: Design, effect: Effect) -> str:
    """What is left of the functions that live on and have less behind them than before."""
    if not design.functions:
        return NO_FUNCTIONS
    if not effect.left:
        return "no function lives on"
    return "; ".join(left_words(left) for left in effect.left if left.touched) or "as before"


def recovery_words(way: Recovery) -> str:
    """``by to-reserve: source-select to reserve, 10 s``."""
    moves = ", ".join(f"{shown(name)} {shown(position)}" for name, position in way.moves)
    time = f", {way.seconds:g} s" if way.seconds is not None else ", time not declared"
    return f"by {' then '.join(map(shown, way.actions))} ({moves}{time})"


def off_words(functions: Sequence[str]) -> str:
    """``Not working in this state with nothing failed, and so not told of: pitot-heat.``"""
    return f"Not working in this state with nothing failed, and so not told of: {', '.join(map(shown, functions))}."


def left_words(left: Left) -> str:
    """``ignition: left-ignition of left-ignition, right-ignition (1 is enough), 12 single failures now take it``."""
    text = f"{shown(left.function)}: {channels_words(left)}"
    return text + (
        f", {counted(len(left.takers), 'single failure')} now {'take' if len(left.takers) > 1 else 'takes'} it"
        if left.takers
        else ""
    )


def channels_words(left: Left) -> str:
    """``1 of 2 channels (left-ignition), 1 needed``."""
    of = "" if len(left.channels) == len(left.of) else f" ({', '.join(map(shown, left.channels))})"
    return f"{len(left.channels)} of {counted(len(left.of), 'channel')}{of}, {left.needed} needed"
