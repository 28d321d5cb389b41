"""Findings of single points: what is lost, the changes that keep it, and those in words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, TypeVar

from reviewer.analysis.cut_sets.single_points import SinglePoint
from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.channels import MechanicalChannel
from reviewer.model.design import Design
from reviewer.network.graph import bare
from reviewer.rulebook.batteries_apart import batteries_apart, ends_at
from reviewer.rulebook.changes import dead_with, feeds
from reviewer.rulebook.lost_channels import LostChannels
from reviewer.rulebook.numbers import and_list, beside
from reviewer.rulebook.rule import Unmet
from reviewer.rulebook.subject import Subject
from reviewer.rulebook.trade_words import failed_words, kind_word

if TYPE_CHECKING:
    from reviewer.analysis.crew.recovery import Recovery

_T = TypeVar("_T")
#: what holds returns, and leaves them open where it fails
_GROUNDS = (p.GroundBlock, p.Stud)
#: loads that a remedy names; of more the rule's own remedy speaks
_FEW = 3
#: what is said where the supply or the return of some loads is the single point
_SECOND = {
    "supply": "Feed {} from another source, through circuit protection and wires of its own.",
    "return": "Return {} to {} by a ground and wires of its own{}.",
}
#: what a load is given that stops with a unit that has failed; its driver
_WITHOUT_UNIT = {
    "feed": "Feed {} through circuit protection and wires of its own",
    "return": "Return {} by wires of its own",
    "driver": "Wire {} to {}, which drives it",
    "p-lead": "Give {} a p-lead and a contact of its own",
    "grounded": "Open in flight what grounds {}",
}


def loss_words(point: SinglePoint) -> str:
    """What its loads lose: ``left, right lose their return``, ``left not powered``, ``left has 9.1 V,
    minimum 10 V``.

    A load that is itself the point has failed, whatever feeds it.
    """
    low = [
        f"{n} has no volts"
        if least is None
        else f"{n} has {beside(volts, least, '.1f')} V, minimum {least:g} V"
        for n, volts, least in point.low_volts
        if f"parts/{n}" != point.element
    ]
    others = [n for n in point.lost if f"parts/{n}" != point.element and n not in point.low]
    sparks = [n for n in others if n in point.grounded]
    others = [n for n in others if n not in point.grounded]
    itself = f"{bare(point.element)} itself fails" if point.element in _loads(point) else ""
    lose = f"{'lose their' if others[1:] else 'loses its'} return" if point.returns else "not powered"
    dark = f"{', '.join(others)} {lose}" if others else ""
    stopped = f"{', '.join(sparks)} grounded" if sparks else ""
    return ", ".join(filter(None, (itself, dark, stopped, *low, *point.others)))


def _losses(points: Sequence[SinglePoint]) -> str:
    """What the loads of every function lose in the first state, those that lose the same together."""
    ways: dict[tuple[bool, bool], SinglePoint] = {}
    for point in points:
        if point.state != points[0].state:
            continue
        way = point.returns, point.element in _loads(point)
        one = ways.setdefault(way, point)
        ways[way] = replace(
            one,
            lost=_each_once(one.lost, point.lost),
            others=_each_once(one.others, point.others),
            grounded=_each_once(one.grounded, point.grounded),
            low=_each_once(one.low, point.low),
            low_volts=_each_once(one.low_volts, point.low_volts),
        )
    return "; ".join(loss_words(point) for point in ways.values())


def _each_once(*several: tuple[_T, ...]) -> tuple[_T, ...]:
    return tuple(dict.fromkeys(one for each in several for one in each))


def _loads(point: SinglePoint) -> tuple[str, ...]:
    """The elements of its loads: a bundle may have the name of one."""
    return tuple(f"parts/{name}" for name in (*point.lost, *point.grounded))


def of_single_points(subject: Subject, points: Sequence[SinglePoint], facts: Facts) -> Iterator[Unmet]:
    """One Unmet for all single points of one element, or none."""
    if not points:
        return
    by_hand = _restored_by_hand(points, facts)
    first, lost = points[0], tuple(dict.fromkeys(name for point in points for name in point.lost))
    functions = ", ".join(dict.fromkeys(p.function for p in points))
    equivalent = ", ".join(dict.fromkeys(bare(e) for p in points for e in p.equivalent))
    numbers = [
        ("states", ", ".join(dict.fromkeys(p.state for p in points))),
        *([("loads lost", ", ".join(lost))] if lost else ()),
    ]
    if equivalent:
        numbers.append(("same effect from a short to ground at", equivalent))
    if series := ", ".join(dict.fromkeys(bare(e) for p in points for e in p.series)):
        numbers.append(("same effect from failure of", series))
    yield Unmet(
        f"{failed_words(subject.pointer)} causes loss of {functions}: {_losses(points)}. "
        + (f"Setting {by_hand} would restore it, but no" if by_hand else "Not recoverable in flight (no")
        + (" crew action is declared." if by_hand else " crew action declared restores it)."),
        state=first.state,
        failure="; ".join(first.modes),
        path=first.path,
        numbers=tuple(numbers),
        elements=tuple(dict.fromkeys(e for p in points for e in (*p.equivalent, *p.series))),
        lost=lost,
        changes=(
            *((f"operation/actions/{by_hand}",) if by_hand else ()),
            *dict.fromkeys(change for p in points for change in _changes(p, facts)),
        ),
        functions=tuple(dict.fromkeys(p.function for p in points)),
        hazard=max(p.hazard for p in points),
        remedy=f"Declare setting {by_hand} under `actions`, for the checklist, or make the "
        "change-over automatic."
        if by_hand
        else _remedy(points, subject, facts),
    )


def no_channel_to_spare(design: Design, functions: Iterable[str]) -> tuple[str, ...]:
    """Those of some functions that need all of their channels, so that none can be parted from another."""
    declared = design.functions
    return tuple(f for f in dict.fromkeys(functions) if len(declared[f].of) <= declared[f].any)


def feed_or_ground(
    function: str, loads: Sequence[str], state: str, failed: Sequence[str], facts: Facts
) -> tuple[str, ...]:
    """The changes that keep a function when any of some elements has ``failed``, the gravest first: a second
    feed of its ``loads`` (names), or a second ground block or stud where none of them is one by which these
    are fed in the state."""
    design, ground = facts.design, facts.design.parts.get(bare(failed[0]))
    fed = {element for load in loads for element in facts.states.path_to(state, f"parts/{load}")}
    beside = isinstance(ground, _GROUNDS) and fed.isdisjoint(failed)
    return (*feeds(design, [function], loads, failed[0]), *([f"{failed[0]}/second"] if beside else []))


def _restored_by_hand(points: Sequence[SinglePoint], facts: Facts) -> str:
    """The one move in no declared action that restores a function after each of its failures, as ``selector
    to down``; "" where none does, and where more than the function and the normal state are concerned."""
    functions, states = {p.function for p in points}, {p.state for p in points}
    operation = facts.design.operation
    if len(functions) > 1 or operation is None or states != {operation.normal}:
        return ""
    failures = {f for p in points for f in p.failures}
    for move in facts.crew.missing_actions(points[0].function):
        if failures <= set(move.failures):
            return f"{move.name} to {move.position}"
    return ""


def _remedy(points: Sequence[SinglePoint], subject: Subject, facts: Facts) -> str:
    """What parts the channels that are lost, of every function: by name, where there are few; of many one
    of each function."""
    design, first = facts.design, points[0]
    part = design.parts.get(subject.name) if subject.kind == "parts" else None
    alone = no_channel_to_spare(design, [point.function for point in points])
    if isinstance(part, MechanicalChannel):
        return ""
    if all(grounded := [_grounded_before(point, design) for point in points]):
        magnetos = " or ".join(dict.fromkeys(name for names in grounded for name in names))
        return f"{_WITHOUT_UNIT['grounded'].format(magnetos)}, so that it fires when {subject.name} fails."
    if first.element in _loads(first):
        idle = [] if alone else [n for n in first.idle if n != subject.name]
        if first.alone and idle:
            own = "circuit protection, a switch and wires of its own"
            return f"Feed {' or '.join(idle)} through {own}, so that it works when {subject.name} fails."
        return _beside_failed(points, subject.name, facts)
    if first.side not in ("supply", "return"):
        loads = first.lost[: _FEW + 1]
        functions = [point.function for point in points]
        if apart := batteries_apart(first.failures[0], first.state, first.lost, facts):
            return apart
        if isinstance(part, _GROUNDS) and first.returns and not alone and _grounded_elsewhere(points, facts):
            words = _one_of_each(points, design)
            return _SECOND["return"].format(words, _negative(first, facts), "") if words else ""
        if part and 1 < len(loads) <= _FEW and len(set(functions)) == 1:
            several = f"{', '.join(loads[:-1])} and {loads[-1]}"
            return f"Give {several} each a {kind_word(part)} of its own."
        if part and not alone and (one := _one_of_each(points, design)):
            return f"Give {one} a {kind_word(part)} of its own."
        lost = tuple(dict.fromkeys(name for point in points for name in point.gone))
        channels = LostChannels(design, lost)
        if not alone or len(channels.needed(functions)) > _FEW + 1:
            return ""
        past = f"a second feed or return that does not pass {subject.name}"
        return f"Give {loads_words} {past}." if (loads_words := channels.wanted(functions)) else ""
    found = []
    for side, words in _SECOND.items():
        those = [point for point in points if point.side == side]
        functions = list(dict.fromkeys(point.function for point in those))
        lost = tuple(dict.fromkeys(name for point in those for name in point.gone))
        channels = LostChannels(design, lost)
        loads = channels.needed(functions)
        many = len(loads) > _FEW + 1
        if loads_words := _one_of_each(those, design) if many else channels.wanted(functions):
            size = "" if many else _return_size(loads, design)
            said = words.format(loads_words, _negative(those[0], facts), size)
            found.append(said)
    return " ".join(found)


def _grounded_before(point: SinglePoint, design: Design) -> tuple[str, ...]:
    """The magnetos that would keep the function of a point if they were not grounded before it fails; () for
    none, and where they are too few."""
    idle = tuple(n for n in point.idle if isinstance(design.parts[n], p.Magneto))
    function = design.functions[point.function]
    return idle if len([n for n in idle if n in function.of]) >= function.any else ()


def _lacking(point: SinglePoint, facts: Facts) -> dict[str, tuple[str, ...]]:
    """What is missing, a ``feed``, ``return``, ``driver`` or ``p-lead`` -> the loads that would save the
    function if one of them had it, where a unit has failed and takes others along."""
    design, found = facts.design, dict[str, tuple[str, ...]]()
    channels = LostChannels(design, point.gone, dead_with(design, point.element))
    for load in channels.needed([point.function]):
        passed = point.element in facts.states.path_back(point.state, f"parts/{load}")
        back = "driver" if getattr(design.parts[load], "driver", None) else "return"
        what = "p-lead" if load in point.grounded else back if passed else "feed"
        what = "grounded" if load in _grounded_before(point, design) else what
        found[what] = (*found.get(what, ()), load)
    return found


def _beside_failed(points: Sequence[SinglePoint], unit: str, facts: Facts) -> str:
    """What keeps functions that are lost where a unit (a name) fails itself: what the loads lack that go with
    it, else a second unit."""
    lacking: dict[str, None] = {}
    each = [_lacking(point, facts) for point in points]
    for one in each:
        for what, loads in one.items():
            words = _WITHOUT_UNIT[what]
            drivers = {getattr(facts.design.parts[load], "driver", None) for load in loads}
            by = " or ".join(sorted(filter(None, drivers)))
            lacking[words.format(" or ".join(loads), by)] = None
    told = [f"{words}, so that it works when {unit} fails." for words in lacking]
    second = f"Fit a second unit that does what {unit} does, with circuit protection and wires of its own."
    if any("grounded" in one for one in each) and not all(each):
        told.append(second)  # the function that has no magneto still rests on the unit
    return " ".join(told) or second


def _grounded_elsewhere(points: Sequence[SinglePoint], facts: Facts) -> bool:
    """Whether any load of some points has a ground without the ground block that is lost, and is lost all
    the same, so that blocks of their own help nothing."""
    lost = {load for point in points for load in point.lost}
    return not all(ends_at(f"parts/{load}", points[0].element, facts) for load in lost)


def _return_size(loads: Iterable[str], design: Design) -> str:
    """The size of the wires by which some loads return, where it is one: `` (18 AWG, as W23)``."""
    ends = {f"{load}.{end}" for load in loads for end in getattr(design.parts[load], "returns", ())}
    wires = {n: w.size for n, w in design.wires.items() if ends.intersection((w.from_, w.to))}
    sizes = set(wires.values())
    return f" ({sizes.pop()}, as {and_list(wires)})" if len(sizes) == 1 and all(sizes) else ""


def _one_of_each(points: Sequence[SinglePoint], design: Design) -> str:
    """Of each function that is lost, as few loads as would save it, in words; "" where they are many."""
    chosen: dict[tuple[str, ...], str] = {}
    for point in points:
        lost = point.gone or point.lost
        channels = [load for load in lost if load in design.functions[point.function].of]
        known = [load for load in channels if (load,) in chosen and design.functions[point.function].any == 1]
        loads = tuple(known[:1]) or LostChannels(design, lost).fewest(point.function)
        if not loads:
            return ""
        chosen.setdefault(loads, point.function)
    each = [_channels(loads, function, design) for loads, function in chosen.items()]
    return and_list(each) if all(each) and len(each) <= _FEW else ""


def _channels(loads: Sequence[str], function: str, design: Design) -> str:
    """Some loads that save a function, in words; "" where they are many and not its own channels."""
    own = all(load in design.functions[function].of for load in loads)
    if own and len(loads) == 1:
        return f"one channel of {function} (such as {loads[0]})"
    if len(loads) > _FEW:
        return f"{len(loads)} channels of {function}" if own else ""
    return f"{and_list(loads)} (for {function})"


def _negative(point: SinglePoint, facts: Facts) -> str:
    """The negative terminal to which the loads of a point return: of the battery that feeds one of them, or
    of the only one."""
    batteries = facts.design.of_kind(p.Battery)
    feeds = (facts.states.path_to(point.state, f"parts/{load}")[:1] for load in point.gone)
    feeding = dict.fromkeys(bare(source) for feed in feeds for source in feed if bare(source) in batteries)
    known = [*feeding, *(batteries if len(batteries) == 1 else ())]
    return f"{known[0]}.negative" if known else "the negative of a battery"


def _changes(point: SinglePoint, facts: Facts) -> tuple[str, ...]:
    """A second feed or return for a load that is lost; of a shared device a second one; of a unit that fails
    itself another that does its work, or what the others lack that go with it."""
    design = facts.design
    if point.alone:
        return (f"{min(point.alone)}/spare",)
    if point.element in _loads(point):
        lacking = _lacking(point, facts).items()
        return tuple(f"parts/{' or '.join(loads)}/{what}" for what, loads in lacking) or (
            f"{point.element}/spare",
        )
    if point.side not in ("supply", "return"):
        return (f"{point.element}/second",)
    loads = " or ".join(LostChannels(design, point.gone).needed([point.function]))
    return (f"parts/{loads}/{'feed' if point.side == 'supply' else 'return'}",) if loads else ()


def no_move(
    subject: Subject, points: Sequence[SinglePoint], ways: Sequence[Recovery], facts: Facts
) -> tuple[tuple[str, ...], str]:
    """The changes with which functions go on after a failure without the moves of some ``ways``, and what is
    told of them; "" for what the rule itself says.

    A unit that one move turns on, if it is all that restores them whatever fails, would go on if it was on.
    """
    off = {name for point in points for name in point.idle}
    on = {tuple(name for name in way.after if name not in way.before) for way in ways}
    (units, *others) = on or {()}
    alone = units and not others and off.issuperset(units) and all(len(way.moves) == 1 for way in ways)
    functions = dict.fromkeys(point.function for point in points)
    lost = tuple(dict.fromkeys(name for point in points for name in point.lost))
    changes = feeds(facts.design, functions, lost, subject.pointer)
    if not alone:
        return changes, ""
    told = f"Have {and_list(units)} on in {points[0].state} too, or make it start automatically"
    return (*changes, *(f"parts/{name}/running" for name in units)), f"{told} when the other fails."
