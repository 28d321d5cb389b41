"""What a trial changes, in words: which wire, between which terminals, through what."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.rulebook.crossed_leads import exchange_words, is_exchange
from reviewer.rulebook.numbers import and_list, minutes, quantity
from reviewer.rulebook.trial_repairs import Change, part_of

#: how much conductor may be unprotected
_STUB = "6 in (0.15 m)"


def change_words(change: Change, design: Design) -> str:
    """What is done, a sentence for each thing; a new feed of a load before the return that goes with it."""
    moved, added = list(_moved(change, design)), list(_added(change, design))
    words = (*(added + moved if change.feeds else moved + added), *_exchanged(change, design))
    return " ".join(dict.fromkeys(words))


def _moved(change: Change, design: Design) -> Iterator[str]:
    """The wires with other ends, and the monitors that sense elsewhere."""
    reversed_ones = dict(_reversed(change, design))
    yield from reversed_ones.values()
    if is_exchange(change):
        yield exchange_words(change)
        return
    for name, ends in change.moved.items():
        wire = design.wires[name]
        both = [_fitted(end, change, design) for end in ends.values()]
        if len(both) > 1 and all(isinstance(part, p.Splice) for part in both):
            yield f"Remove {name}."
            continue
        for end in (e for e in (wire.from_, wire.to) if e in ends and part_of(e) not in reversed_ones):
            fitted = _fitted(ends[end], change, design)
            if fitted is None:
                yield f"Move {name} from {end} to {_at(ends[end], design)}."
            elif isinstance(fitted, p.Splice):
                yield f"Take {name} off {end}."
            elif isinstance(fitted, p.Diode):
                side = "cathode" if ends[end].endswith(".anode") else "anode"
                yield f"Put a diode into {name}, {side} to {end}."
    for monitor, terminal in change.senses.items():
        yield f"Let {monitor} sense at {terminal}."


def _reversed(change: Change, design: Design) -> Iterator[tuple[str, str]]:
    """The diodes of which the wires at both terminals are exchanged, each with what is done."""
    ends = {old: new for moved in change.moved.values() for old, new in moved.items()}
    for name in design.of_kind(p.Diode):
        anode, cathode = f"{name}.anode", f"{name}.cathode"
        if (ends.get(anode), ends.get(cathode)) == (cathode, anode):
            to_cathode, to_anode = (
                and_list(wire for wire in change.moved if end in _ends(design, wire))
                for end in (anode, cathode)
            )
            yield name, f"Reverse {name}: {to_anode} on its anode, {to_cathode} on its cathode."


def _ends(design: Design, wire: str) -> tuple[str, str]:
    return design.wires[wire].from_, design.wires[wire].to


def _added(change: Change, design: Design) -> Iterator[str]:
    """The wires that are new or of another size, and the feeds through a breaker of their own."""
    for name, wire in change.wires.items():
        fitted = [part for end in (wire.from_, wire.to) if (part := _fitted(end, change, design))]
        before = design.wires.get(name)
        if before and (before.from_, before.to) != (wire.from_, wire.to):
            yield f"Run {name} from {_at(wire.from_, design)} to {_at(wire.to, design)}, of {wire.size}."
        elif before:
            yield f"Fit a thicker wire for {name} (tried with {wire.size})."
        elif not fitted:
            by = ", through a breaker and a switch of its own" if _is_field(wire.to, design) else ""
            yield f"Add a wire from {_at(wire.from_, design)} to {_at(wire.to, design)}{by}."
        elif isinstance(fitted[0], p.Protector) and not change.feeds:
            amps, at = fitted[0].rating, wire.from_
            rating = "" if amps is None else f" of {quantity(amps, 'A')}"
            behind = _fed_by(part_of(wire.to), change)
            yield f"Fit a breaker{rating} between {at} and {behind}, within {_STUB} of {at}."
        elif isinstance(fitted[0], p.Protector) and part_of(wire.to) not in design.parts:
            fed = _fed_by(part_of(wire.to), change)
            load = f"{change.feeds}, by {fed}," if change.feeds != fed else fed
            yield f"Feed {load} from {part_of(wire.from_)} through a breaker of its own."


def _is_field(terminal: str, design: Design) -> bool:
    """Whether a terminal is the field of an alternator or the supply of a regulator: the crew switches it."""
    owner, _, name = terminal.partition(".")
    part = design.parts.get(owner)
    return (isinstance(part, p.Alternator) and name == "field") or (
        isinstance(part, p.Regulator) and name == "supply"
    )


def _exchanged(change: Change, design: Design) -> Iterator[str]:
    """The parts that are there and are exchanged."""
    for name, part in change.parts.items():
        before = design.parts.get(name)
        if isinstance(before, p.Protector) and part.rating != before.rating:
            yield f"Fit {name} of {quantity(part.rating, 'A')}."
        elif isinstance(before, p.Converter):
            yield f"Fit a larger converter as {name} (tried with {quantity(part.rating, 'A')})."
        elif isinstance(before, p.Battery) and part.capacity != before.capacity:
            times = part.capacity / before.capacity
            yield f"Fit a larger battery as {name} (tried with {times:g} times its capacity)."
        elif isinstance(before, p.Alternator | p.Regulator):
            yield f"Set {name} to {quantity(part.set_point, 'V')}."
        elif isinstance(before, p.Electromagnet) and part.coil == before.coil[::-1]:
            yield f"Exchange the leads at the coil of {name}."
        elif isinstance(before, p.Electromagnet) and part.coil != before.coil:
            yield f"Join the coil of {name} to {and_list(f'{name}.{t}' for t in part.coil)}."
        elif isinstance(before, p.Switch) and (fewer := _parted(before, part)):
            at, pair = fewer
            yield f"Leave {and_list(pair)} of {name} apart in its position {at}."
        elif isinstance(before, p.Switch) and (joined := _other_pair(before, part)):
            at = next(at for at, pairs in before.positions.items() if part.positions[at] != pairs)
            yield f"In position {at} of {name} {joined}."
        elif isinstance(before, p.Switch) and (both := _exchanged_positions(before, part)):
            yield f"Exchange the positions {and_list(both)} of {name}."
        elif isinstance(before, p.Electromagnet | p.Switch):
            yield f"Exchange the contacts of {name}: closed where they are open."
        elif isinstance(before, p.Instrument) and part.internal_battery != before.internal_battery:
            yield f"Fit a battery inside {name} (tried with {minutes(part.internal_battery)})."
        elif before is not None and getattr(part, "plugged_on", None) != getattr(before, "plugged_on", None):
            yield f"Plug {name} on {part.plugged_on}."


def _parted(before: p.Switch, after: p.Switch) -> tuple[str, Sequence[str]] | None:
    """The position in which a switch joins two terminals no more, and these, where nothing else changes."""
    joined, left = (
        {(at, tuple(pair)) for at, pairs in part.positions.items() for pair in pairs}
        for part in (before, after)
    )
    return next(iter(joined - left)) if len(joined - left) == 1 and left < joined else None


def _other_pair(before: p.Switch, after: p.Switch) -> str:
    """What a switch joins otherwise in one position, in words, where it is one pair and nothing else changes;
    "" else."""
    other = [at for at, pairs in before.positions.items() if after.positions[at] != pairs]
    if len(other) != 1:
        return ""
    (at,) = other
    was, now = (
        [set(pair) for pair in one.positions[at] if set(pair) not in map(set, two.positions[at])]
        for one, two in ((before, after), (after, before))
    )
    if not len(was) == len(now) == 1:
        return ""
    if kept := was[0] & now[0]:
        return f"join {and_list(kept)} with {and_list(now[0] - kept)} instead of {and_list(was[0] - kept)}"
    return f"join {and_list(sorted(now[0]))} instead of {and_list(sorted(was[0]))}"


def _exchanged_positions(before: p.Switch, after: p.Switch) -> tuple[str, ...]:
    """The two positions of a switch that take each other's pairs; () where it is not so, or where it has no
    more than these and no hand moves it."""
    other = tuple(at for at, pairs in before.positions.items() if after.positions[at] != pairs)
    if len(other) != 2 or not before.by_hand:
        return ()
    one, two = other
    swapped = after.positions[one] == before.positions[two] and after.positions[two] == before.positions[one]
    return other if swapped else ()


def _fitted(terminal: str, change: Change, design: Design) -> Any:
    """The part of a terminal if the change puts it in, else None."""
    name = part_of(terminal)
    return None if name in design.parts else change.parts.get(name)


def _fed_by(breaker: str, change: Change) -> str:
    """What a new breaker feeds: the wire that is moved to it, or the load to which its new wire leads."""
    moved = (wire for wire, ends in change.moved.items() if f"{breaker}.load" in ends.values())
    loads = (part_of(wire.to) for wire in change.wires.values() if part_of(wire.from_) == breaker)
    return [*moved, *loads][0]


def _at(terminal: str, design: Design) -> str:
    """A terminal, or its part where it has none of that name yet."""
    name = part_of(terminal)
    wired = any(terminal in (wire.from_, wire.to) for wire in design.wires.values())
    part = design.parts.get(name)
    own = () if part is None else (*part.terminals(), *part.spare_terminals())
    return terminal if wired or terminal.partition(".")[2] in own else name
