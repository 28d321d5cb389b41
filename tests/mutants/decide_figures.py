"""Decisions about ratings of devices, batteries, alternators and loads: by solved points and the
criteria of the trade.
"""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.model import parts as p
from tests.mutants.evaluated import Evaluated
from tests.mutants.verdict import Case, Verdict, new_grave_losses, other_new_losses
from tests.oracle.plain import OPEN, Fault, solve, working


def rating_lowered(case: Case) -> Verdict:
    """A device must bear the solved current at 80 % of its rating, and the peaks of its loads."""
    device = case.mutant.place
    rating = case.changed.design.parts[device].rating
    if not case.base_solved.whole:
        return case.undecided("Not every current is given: what it carries cannot be solved.")
    carried = max(abs(op.amps.get(f"parts/{device}", 0.0)) for _, op in case.base_solved.points)
    given = f"It carries {carried:.2f} A; it is of {rating:g} A"
    usual = [
        abs(op.amps.get(f"parts/{device}", 0.0))
        for s, op in case.base_solved.points
        if s == case.base.normal.name
    ]
    if carried > 0.8 * rating >= max(usual) > 0:
        return case.undecided(f"{given}, and less in the normal state.")
    if carried > 0.8 * rating:
        return case.yes(f"{given}: 80 % of that is {0.8 * rating:g} A.", device, chapters=("protection",))
    limit = _alternator_behind(case.base, device)
    if limit and rating < 1.1 * limit:
        told = f"It is of {rating:g} A in the output of an alternator that gives {limit:g} A"
        why = f"{told}; it wants 1.1 times that."
        return case.yes(why, device, chapters=("protection",))
    if charges(case.base, device):
        return case.undecided(f"{given}; what a flat reserve takes at first is not settled.")
    if found := new_grave_losses(case) or other_new_losses(case):
        return found
    peak = carried + _extra_peak(case.base, device)
    if peak > rating:
        return case.undecided(f"{given}; {peak:.1f} A at the peaks of its loads, of which no time is given.")
    return case.no(f"{given}; {peak:.1f} A at the peaks of its loads, and no order is upset.")


def _alternator_behind(of: Evaluated, device: str) -> float:
    for wire in of.design.wires.values():
        ends = {e.partition(".")[0] for e in (wire.from_, wire.to)}
        for name in of.design.of_kind(p.Alternator):
            if {device, name} <= ends and f"{name}.output" in (wire.from_, wire.to):
                return of.design.parts[name].rating or 0.0
    return 0.0


def charges(of: Evaluated, device: str) -> bool:
    return any(
        {device, diode} <= {e.partition(".")[0] for e in (w.from_, w.to)}
        for diode in of.design.of_kind(p.Diode)
        for w in of.design.wires.values()
    )


def _extra_peak(of: Evaluated, device: str) -> float:
    """The sum of what the loads behind a device take more at their peaks, amperes."""
    extra = 0.0
    for state in of.widest:
        healthy = of.healthy(state)
        answer = solve(of.circuit, state, (Fault(f"parts/{device}", OPEN),), healthy)
        dark = [e for e, on in healthy.powered.items() if on and not answer.powered[e]]
        parts = [of.design.parts[e.partition("/")[2]] for e in dark]
        extra = max(extra, sum(part.peak or 0.0 for part in parts if getattr(part, "type", "") != "starter"))
    return extra


def capacity_fifth(case: Case) -> Verdict:
    """Amperes into hours, with nothing taken off for age or cold: more than can be had."""
    name = case.mutant.place
    part, operation = case.changed.design.parts[name], case.changed.design.operation
    assert operation
    seconds = part.endurance if part.purpose == "reserve" else operation.endurance
    if not seconds:
        return case.undecided("No endurance is asked for.")
    if part.purpose == "reserve":
        loads = [
            c
            for n in part.dedicated_to
            for c in ([n] if n in case.changed.design.parts else channels_of(case.changed, n))
        ]
        drawn = sum(_least_current(case.changed.design.parts[c]) for c in loads)
    else:
        given = [op.given[f"parts/{name}"] for s, op in case.base_solved.points if _on_battery(case.base, s)]
        drawn = max(given, default=0.0)
    minutes = part.capacity / drawn * 60 if drawn > 0 else 1e9
    lasting = (
        f"{part.capacity:g} Ah give {minutes:.0f} min at {drawn:.1f} A, nothing taken off for age or cold"
    )
    told = f"{lasting}; {seconds / 60:g} min are asked for"
    if minutes < seconds / 60:
        return case.yes(f"{told}.", name, chapters=("endurance",))
    return case.undecided(f"{told}; the discount decides.")


def _least_current(part: p.Consumer) -> float:
    return part.current if isinstance(part.current, float) else 0.0


def _on_battery(of: Evaluated, state: str) -> bool:
    healthy = of.healthy(of.states[state])
    alternators = [s.element for s in of.circuit.sources if s.kind == "alternator"]
    dark = not any(healthy.alive[a] for a in alternators)
    grave = [n for n, f in of.design.functions.items() if f.loss == "catastrophic"]
    works = working(of.design, healthy.powered)
    return dark and of.states[state].use == "abnormal" and all(works[n] for n in grave)


def capacity_double(case: Case) -> Verdict:
    if case.changed.design.parts[case.mutant.place].internal_resistance is None:
        return case.undecided(
            "Its resistance follows from its capacity, and with it what it takes when flat."
        )
    return case.no("A larger battery of the same resistance lasts longer.")


def alternator_small(case: Case) -> Verdict:
    name = case.mutant.place
    given = max((op.given[f"parts/{name}"] for _, op in case.base_solved.points), default=0.0)
    if not case.base_solved.whole or given <= 5:
        return case.undecided("Not every current is given.")
    return case.yes(f"It is asked for {given:.1f} A; it gives 5 A.", name, chapters=("endurance", "sources"))


def trip_wrong(case: Case) -> Verdict:
    value = case.changed.design.parts[case.mutant.place].overvoltage_trip
    told = "It has none" if value == "none" else f"It trips at {value:g} V"
    return case.yes(f"{told}; 14 V systems want 16.0 to 16.5 V.", case.mutant.place, chapters=("sources",))


def load_huge(case: Case) -> Verdict:
    load, of = case.mutant.place, case.base
    for taker in of.circuit.consumers:
        if taker.element == f"parts/{load}":
            for state in of.widest:
                for node in sorted(set(taker.plus) & of.live(state)):
                    for device in of.short(state, node).devices:
                        rating = of.design.parts[device].rating
                        if rating and rating < 60:
                            why = f"It takes 60 A behind {device} of {rating:g} A."
                            return case.yes(why, device, chapters=("protection", "wiring", "endurance"))
    return case.undecided("No device smaller than 60 A feeds it.")


def channels_of(of: Evaluated, function: str) -> Iterator[str]:
    for channel in of.design.functions[function].of:
        if channel in of.design.functions:
            yield from channels_of(of, channel)
        else:
            yield channel
