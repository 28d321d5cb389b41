"""The changes that put a finding right, as evidence: places and what is missing there."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence

from reviewer.analysis.conduction.states import rests_on
from reviewer.model import parts as p
from reviewer.model.design import Design


def placed(changes: Iterable[str], path: Sequence[str]) -> tuple[str, ...]:
    """The changes with each that names no place, as ``isolation``, made at every place of a path but the
    parts at its two ends."""
    places = [e for i, e in enumerate(path) if 0 < i < len(path) - 1 or (i and e.startswith("wires/"))]
    return tuple(
        change
        for given in changes
        for change in ([given] if "/" in given else [f"{element}/{given}" for element in places])
    )


def checks(elements: Iterable[str]) -> tuple[str, ...]:
    """That a check or monitor shows the failure of any of some elements."""
    return tuple(f"{element}/check" for element in elements)


def feeds(
    design: Design, functions: Iterable[str], lost: Collection[str], failed: str = ""
) -> tuple[str, ...]:
    """A second feed for one of the loads without which ``functions`` go, as a failure takes ``lost``; none
    for a unit that has ``failed`` itself (a pointer), nor for what it drives."""
    loads = " or ".join(needed(design, functions, lost, dead_with(design, failed)))
    return (f"parts/{loads}/feed",) if loads else ()


def dead_with(design: Design, failed: str) -> frozenset[str]:
    """The loads that no feed makes work while an element has failed: itself, and what it drives."""
    unit = failed.removeprefix("parts/")
    return frozenset(n for n in design.parts if unit in (n, getattr(design.parts[n], "driver", None)))


def one_feed(design: Design, loads: Sequence[str]) -> tuple[str, ...]:
    """Another feed for the one load (a name) that there is; of more, one alone does not do."""
    return tuple(f"parts/{name}/feed" for name in loads if name in design.parts) if len(loads) == 1 else ()


def own_returns(users: Sequence[str]) -> tuple[str, ...]:
    """A return of its own for one of two loads (names) that share one; of more, one alone does not do."""
    return tuple(f"parts/{user}/return" for user in users) if len(users) == 2 else ()


def thicker(design: Design, wire: str, sources: Collection[str]) -> tuple[str, ...]:
    """A thicker wire (a pointer), where only sources (names) that limit themselves energise it."""
    limited = design.of_kind((p.Alternator, p.Charger, p.Converter))
    return (f"{wire}/gauge",) if set(sources) <= set(limited) else ()


def strapped(design: Design, element: str) -> tuple[str, ...]:
    """A strap to what holds a return (an element) if it is structure or a ground block."""
    part = design.parts.get(element.removeprefix("parts/"))
    return (f"{element}/strap",) if isinstance(part, p.Airframe | p.GroundBlock) else ()


def needed(
    design: Design, functions: Iterable[str], lost: Collection[str], dead: Collection[str] = ()
) -> tuple[str, ...]:
    """The lost loads of which one more that works would save the functions; of those ``dead`` none does.

    Of a function that still has channels enough, or that a dead load keeps from working, no load is named.
    """
    known: dict[str, list[str]] = {}
    found: dict[str, None] = {}
    todo, seen = list(functions), set[str]()
    while todo:
        function = todo.pop(0)
        if function in seen or not _saved(design, function, lost, dead, known):
            continue
        seen.add(function)
        for channel in _gone(design, function, lost, known):
            if channel in design.functions:
                todo.append(channel)
            elif channel in design.parts and channel not in dead:
                found[channel] = None
    return tuple(found)


def _saved(
    design: Design,
    channel: str,
    lost: Collection[str],
    dead: Collection[str],
    known: dict[str, list[str]],
) -> bool:
    """Whether a channel works once every lost load has power; those ``dead`` never do."""
    if channel not in design.functions:
        return channel not in dead
    spec, gone = design.functions[channel], _gone(design, channel, lost, known)
    return len(spec.of) - sum(not _saved(design, one, lost, dead, known) for one in gone) >= spec.any


def fewest(
    design: Design,
    function: str,
    lost: Collection[str],
    cost: Callable[[tuple[str, ...]], int] = len,
) -> tuple[str, ...]:
    """The fewest lost loads that save a function once they have power, or those of the least ``cost``; ()
    where it has channels enough left, or power alone saves none, as of a coil that a unit drives."""
    known: dict[str, list[str]] = {}
    return _fewest(design, function, lost, cost, known, {}) if _gone(design, function, lost, known) else ()


def _fewest(
    design: Design,
    name: str,
    lost: Collection[str],
    cost: Callable[[tuple[str, ...]], int],
    known: dict[str, list[str]],
    found: dict[str, tuple[str, ...]],
) -> tuple[str, ...]:
    """The same for a function or load in it, each once."""
    if name not in design.functions:
        powered = name in design.parts and getattr(design.parts[name], "driver", None) is None
        return (name,) if powered else ()
    if name not in found:
        spec, gone = design.functions[name], _gone(design, name, lost, known)
        short = spec.any - (len(spec.of) - len(gone))
        each = [_fewest(design, channel, lost, cost, known, found) for channel in gone]
        ways = sorted(filter(None, each), key=cost)
        loads = dict.fromkeys(load for way in ways[:short] for load in way)
        found[name] = tuple(loads) if len(ways) >= short else ()
    return found[name]


def wanted(design: Design, functions: Sequence[str], lost: Collection[str]) -> str:
    """The lost loads that must work for the functions to be kept, in words: ``left or right``; with more
    that must be, ``injection, and left or right``. "" where none is named."""
    known, found = dict[str, list[str]](), dict[str, str]()
    outer = [f for f in functions if not any(f != o and rests_on(design, o, f) for o in functions)]
    words = [_wanted(design, function, lost, known, found) for function in outer]
    return _all_of(list(dict.fromkeys(filter(None, words))))


def _wanted(
    design: Design,
    function: str,
    lost: Collection[str],
    known: dict[str, list[str]],
    found: dict[str, str],
) -> str:
    """The same of one function; those that share channels in levels are looked at once each."""
    if function not in found:
        spec, gone = design.functions[function], _gone(design, function, lost, known)
        words = [
            _wanted(design, c, lost, known, found) if c in design.functions else c
            for c in gone
            if c in design.functions or c in design.parts
        ]
        short = spec.any - (len(spec.of) - len(gone))
        words = list(dict.fromkeys(filter(None, words)))
        found[function] = _all_of(words) if short >= len(words) else _some_of(words, short)
    return found[function]


def _all_of(words: Sequence[str]) -> str:
    plain = sorted(words, key=lambda one: " or " in one or " of " in one)
    joint = ", and " if any(" or " in one or " of " in one for one in words) else " and "
    return joint.join(plain)


def _some_of(words: Sequence[str], number: int) -> str:
    return " or ".join(words) if number < 2 else f"{number} of {', '.join(words)}"


def _gone(design: Design, function: str, lost: Collection[str], known: dict[str, list[str]]) -> list[str]:
    """The lost channels of a function that has not enough left, else none; each function once."""
    if function not in known:
        spec = design.functions[function]
        gone = [c for c in spec.of if c in lost or (c in design.functions and _gone(design, c, lost, known))]
        known[function] = gone if len(spec.of) - len(gone) < spec.any else []
    return known[function]
