"""Decisions about mutants of figures: by operating points solved directly, printed tables, and the criteria of the trade."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from reviewer.model import parts as p
from reviewer.model.design import Monitor
from reviewer.model.resolved_states import ResolvedState
from tests.mutants.currents import CONTINUOUS, CRANKING, FREE_AIR, INTERMITTENT, Solved, row_of
from tests.mutants.evaluated import Evaluated
from tests.mutants.verdict import Case, Verdict, new_grave_losses, new_wire_faults, other_new_losses
from tests.mutants.wiring_faults import starting_cables
from tests.oracle.plain import OPEN, Answer, Fault, solve, working
from tests.published.transcriptions import PRINTED

_FOOT = 304.8  # metres in 1000 ft
#: what a sense lead passes through
_LEADING = (p.Protector, p.Connector, p.Splice)
#: AC 43.13-1B Table 11-4 for 12 V, by the kind of load
_FACTORS = dict(
    zip(("lamp", "inductive", "resistive", "motor"), PRINTED["switch_factors/derating"]["12"], strict=True)
)


def rating_lowered(case: Case) -> Verdict:
    """A device must bear the solved current at 80 % of its rating, and the peaks of its loads."""
    device = case.mutant.place
    rating = case.changed.design.parts[device].rating
    if not case.base_solved.whole:
        return case.undecided("Not every current is given: what it carries cannot be solved.")
    carried = max(abs(op.amps.get(f"parts/{device}", 0.0)) for _, op in case.base_solved.points)
    given = f"It carries {carried:.2f} A; it is of {rating:g} A"
    if carried > 0.8 * rating:
        return case.yes(f"{given}: 80 % of that is {0.8 * rating:g} A.", device, chapters=("protection",))
    limit = _alternator_behind(case.base, device)
    if limit and rating < 1.1 * limit:
        why = f"It is of {rating:g} A in the output of an alternator that gives {limit:g} A; it wants 1.1 times that."
        return case.yes(why, device, chapters=("protection",))
    if _charges(case.base, device):
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


def _charges(of: Evaluated, device: str) -> bool:
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


def wire_changed(case: Case) -> Verdict:
    """A wire that is thinner or longer: device, stub, stated resistance, current, drop."""
    name = case.mutant.place
    if found := new_wire_faults(case) or _stated_resistance(case, name):
        return found
    if not case.solved.whole:
        return case.undecided("Not every figure is given: currents and drops cannot be solved.")
    return _too_hot(case, name) or _drops(case) or _coils(case) or _side_effects(case, name)


def _stated_resistance(case: Case, name: str) -> Verdict | None:
    wire = case.changed.design.wires[name]
    row = PRINTED["copper_wire/aircraft"].get(str(wire.gauge).removesuffix(" AWG"))
    if wire.highest_resistance and row and wire.length:
        ohms = row[3] / _FOOT * wire.length
        if ohms > wire.highest_resistance:
            why = f"{name} has {ohms * 1e3:.2f} mohm by Table 11-9; its test accepts {wire.highest_resistance * 1e3:g} mohm."
            return case.yes(why, name, chapters=("grounding",))
    return None


def _too_hot(case: Case, name: str) -> Verdict | None:
    carried, row = case.solved.current(name), row_of(case.changed, name)
    for alternator in case.changed.design.of_kind(p.Alternator):  # its lead is to bear all that it gives
        given = [op.given[f"parts/{alternator}"] for _, op in case.solved.points]
        if carried > 0.8 * max(given) > 0:
            carried = max(carried, case.changed.design.parts[alternator].most or 0.0)
    if carried < 0.05:
        return None
    if row is None:
        return case.undecided(f"{name} carries {carried:.2f} A; Table 11-9 has no row for it.")
    told = f"{name} carries {carried:.2f} A; its row of Table 11-9 is {row:g} A"
    if carried > FREE_AIR * row:
        return case.yes(
            f"{told}, and a wire in free air has less than three times that.", name, chapters=("wiring",)
        )
    return case.undecided(f"{told}, which is for the largest bundle.") if carried > row else None


def _drops(case: Case) -> Verdict | None:
    """What the loads lose, where the change made it worse."""
    if case.mutant.place in starting_cables(case.base) or _in_return_of_starter(case):
        lost = case.solved.cranking_loss()
        if lost > CRANKING[1]:
            return case.yes(
                f"Cranking loses {lost:.2f} V; trade practice accepts 1.5 V.", "starter", chapters=("wiring",)
            )
        if lost > CRANKING[0]:
            return case.undecided(f"Cranking loses {lost:.2f} V, between 1.0 and 1.5 V.")
    unclear = ""
    for load, drop in case.solved.drops.items():
        before = case.base_solved.drops.get(load)
        if before and drop.most < before.most + 1e-3 and drop.at_peak < before.at_peak + 1e-3:
            continue
        part = case.changed.design.parts[load]
        limit = INTERMITTENT if part.used == "intermittent" else CONTINUOUS
        told = f"{load} loses {drop.least:.2f} V between its bus and its ground"
        if drop.least > limit and (not before or before.least <= limit):
            return case.yes(f"{told}; Table 11-6 gives {limit:g} V.", load, chapters=("wiring", "endurance"))
        if drop.at_peak > INTERMITTENT and (not before or before.at_peak <= INTERMITTENT):
            why = f"{told}, {drop.at_peak:.2f} V at its peak; Table 11-6 gives 1 V for short times."
            return case.yes(why, load, chapters=("wiring", "endurance"))
        if drop.most > limit or drop.at_peak + drop.most - drop.least > INTERMITTENT:
            unclear = f"{told} and {drop.most:.2f} V from its source: what counts is not settled."
    return case.undecided(unclear) if unclear else None


def _in_return_of_starter(case: Case) -> bool:
    wire = case.base.design.wires[case.mutant.place]
    kinds = [type(case.base.design.parts[e.partition(".")[0]]) for e in (wire.from_, wire.to)]
    return all(k in (p.Airframe, p.GroundBlock, p.Battery) for k in kinds)


def _coils(case: Case) -> Verdict | None:
    """The volts across each coil that is energised, against its pull-in."""
    for state, op in case.solved.points:
        energised = case.changed.healthy(case.changed.states[state]).energised
        for coil in case.changed.circuit.coils:
            name = coil.element.partition("/")[2]
            needed = case.changed.design.parts[name].pull_in
            if energised[coil.element] and needed:
                volts = abs(op.volts[coil.plus[0]] - op.volts[coil.minus[0]])
                if volts < needed:
                    why = f"In {state} the coil of {name} has {volts:.2f} V; it pulls in at {needed:g} V."
                    return case.yes(why, name, chapters=("switching",))
    return None


def _side_effects(case: Case, name: str) -> Verdict:
    """What is left: the charge of a reserve, a shared ground, a motor that starts."""
    wire = case.changed.design.wires[name]
    ends = {e.partition(".")[0] for e in (wire.from_, wire.to)}
    grounds = set(case.changed.design.of_kind((p.GroundBlock, p.Airframe)))
    if ends & set(case.changed.design.of_kind(p.Diode)) or (ends & grounds and len(ends & grounds) > 1):
        return case.undecided(
            "It carries the charge of a reserve or the currents of many loads: a matter of degree."
        )
    if any(_charges(case.base, e) for e in ends):
        return case.undecided(
            "It carries the charge of a reserve: what it should have is a matter of degree."
        )
    if any(getattr(case.changed.design.parts[e], "type", "") == "motor" for e in ends):
        return case.undecided("What a motor takes when it starts is not in the file.")
    return case.no("Device, stub, current and drops stay within Tables 11-3, 11-6 and 11-9.")


def wire_better(case: Case) -> Verdict:
    name = case.mutant.place
    wire = case.changed.design.wires[name]
    if any(_charges(case.base, e.partition(".")[0]) for e in (wire.from_, wire.to)):
        return case.undecided("With less resistance a flat reserve takes more at first.")
    return case.no("A thicker or a shorter wire carries more, loses less, and may have a larger device.")


def guard_removed(case: Case) -> Verdict:
    """Start, master, ignition and change-over switches want a guard: one move starts, kills a bus, or takes a channel."""
    of, name = case.changed, case.mutant.place
    for position in of.design.parts[name].positions:
        if position == of.normal.switches.get(name):
            continue
        state = of.moved(of.normal, name, position)
        if told := _harm(of, state):
            why = f"By the plain evaluator {name} moved to {position} {told}."
            return case.yes(why, name, chapters=("switching",))
    grave = [n for n, f in of.design.functions.items() if f.loss == "hazardous" and _stops(of, name, n)]
    if grave:
        return case.undecided(
            f"It stops a channel of {grave[0]}, of hazardous loss; the criterion does not name it."
        )
    return case.no(
        "By the plain evaluator no other position starts the starter, opens a contactor or stops a channel."
    )


def _harm(of: Evaluated, state: ResolvedState) -> str:
    before, after = of.healthy(of.normal), of.healthy(state)
    for element in after.powered:
        name = element.partition("/")[2]
        if getattr(of.design.parts[name], "type", "") == "starter" and after.powered[element]:
            return f"turns {name}"
    for element, on in before.energised.items():
        if (
            on
            and not after.energised[element]
            and of.design.parts[element.partition("/")[2]].kind == "contactor"
        ):
            return f"opens {element.partition('/')[2]}"
    for name, function in of.design.functions.items():
        if function.loss == "catastrophic":
            dark = [
                c
                for c in _channels(of, name)
                if before.powered[f"parts/{c}"] and not after.powered[f"parts/{c}"]
            ]
            if dark:
                return f"stops {dark[0]}, on which {name} rests"
    return ""


def _stops(of: Evaluated, switch: str, function: str) -> bool:
    before = of.healthy(of.normal)
    for position in of.design.parts[switch].positions:
        after: Answer = of.healthy(of.moved(of.normal, switch, position))
        if any(
            before.powered[f"parts/{c}"] and not after.powered[f"parts/{c}"] for c in _channels(of, function)
        ):
            return True
    return False


def _channels(of: Evaluated, function: str) -> Iterator[str]:
    for channel in of.design.functions[function].of:
        if channel in of.design.functions:
            yield from _channels(of, channel)
        else:
            yield channel


def duty_exchanged(case: Case) -> Verdict:
    name = case.mutant.place
    if case.changed.design.parts[name].duty == "continuous":
        return case.undecided("A starter contactor of continuous duty is only heavier than it need be.")
    if case.changed.healthy(case.changed.normal).energised[f"parts/{name}"]:
        why = f"By the plain evaluator {name}, of intermittent duty, is energised in the normal state of flight."
        return case.yes(why, name, chapters=("switching",))
    return case.undecided("It is not energised in the normal state.")


def contact_small(case: Case) -> Verdict:
    """By the solved current of the contact: even the factor 1 of Table 11-4 is the least."""
    name = case.mutant.place
    rating = case.changed.design.parts[name].rating
    carried = _through(case.base_solved, case.base, name)
    if carried > rating:
        why = f"Its contact carries {carried:.2f} A and is rated {rating:g} A; Table 11-4 asks for 1 to 5 times the current."
        return case.yes(why, name, chapters=("switching",))
    return case.undecided(f"It carries {carried:.2f} A in the solved states, and is rated {rating:g} A.")


def contact_large(case: Case) -> Verdict:
    return case.no("A larger contact carries what the smaller one did; its metal is the same.")


def pin_small(case: Case) -> Verdict:
    name = case.mutant.place
    carried = _through(case.base_solved, case.base, name)
    if carried > 0.1:
        return case.yes(f"A pin carries {carried:.2f} A and is rated 0.1 A.", name, chapters=("wiring",))
    return case.undecided("Its pins carry only signals.")


def _through(solved: Solved, of: Evaluated, part: str) -> float:
    """The largest current of one contact or pin in a solved state."""
    carried = 0.0
    for _, op in solved.points:
        own = [abs(a) for (one, _), a in op.contacts.items() if one.partition(".")[0] == part]
        carried = max([carried, abs(op.amps.get(f"parts/{part}", 0.0)), *own])
    return carried


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
            for n in part.kept_for
            for c in ([n] if n in case.changed.design.parts else _channels(case.changed, n))
        ]
        drawn = sum(_least_current(case.changed.design.parts[c]) for c in loads)
    else:
        given = [op.given[f"parts/{name}"] for s, op in case.base_solved.points if _on_battery(case.base, s)]
        drawn = max(given, default=0.0)
    minutes = part.capacity / drawn * 60 if drawn > 0 else 1e9
    told = f"{part.capacity:g} Ah give {minutes:.0f} min at {drawn:.1f} A, nothing taken off for age or cold; {seconds / 60:g} min are asked for"
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
    value = case.changed.design.parts[case.mutant.place].over_voltage_trip
    told = "It has none" if value == "none" else f"It trips at {value:g} V"
    return case.yes(f"{told}; 14 V systems want 16.0 to 16.5 V.", case.mutant.place, chapters=("sources",))


def alarm_removed(case: Case) -> Verdict:
    """Loss of the alternator, and the volts of a reserve, want an alarm."""
    names: Iterable[str] = case.mutant.elements
    if case.mutant.place == "all":
        return case.yes(
            "No alarm is left that tells of an alternator lost.", *names, chapters=("indication",)
        )
    monitor = case.base.design.watch.monitors[case.mutant.place]
    sensed = monitor.senses.partition(".")[0]
    part = case.base.design.parts[sensed]
    if isinstance(part, p.Battery) and part.purpose == "reserve":
        why = f"The volts of {sensed} are shown and no longer alarmed; a reserve is to have both."
        return case.yes(why, sensed, *names, chapters=("indication",))
    others = [n for n, m in case.changed.design.watch.monitors.items() if m.alarm_below]
    if not others:
        return case.yes(
            "No alarm is left that tells of an alternator lost.", *names, chapters=("indication",)
        )
    return case.undecided(f"The alarm of {others[0]} is left: whether it is enough is not settled.")


def load_huge(case: Case) -> Verdict:
    load, of = case.mutant.place, case.base
    for taker in of.circuit.consumers:
        if taker.element == f"parts/{load}":
            for state in of.widest:
                for node in set(taker.plus) & of.live(state):
                    for device in of.short(state, node).devices:
                        rating = of.design.parts[device].rating
                        if rating and rating < 60:
                            why = f"It takes 60 A behind {device} of {rating:g} A."
                            return case.yes(why, device, chapters=("protection", "wiring", "endurance"))
    return case.undecided("No device smaller than 60 A feeds it.")


def sense_lead_cut(case: Case) -> Verdict:
    """A monitor whose instrument is no longer joined to what it senses; else a terminal with nothing on it."""
    instrument = case.mutant.elements[1]
    why = f"A signal terminal of {instrument} is connected to nothing."
    return blind_monitor(case) or case.yes(why, instrument, chapters=("documentation", "wiring"))


def blind_monitor(case: Case) -> Verdict | None:
    """A monitor that does not read any more what it says that it senses."""
    for name, monitor in case.base.design.watch.monitors.items():
        if _leads(case.base, monitor) != _leads(case.changed, monitor):
            why = f"{monitor.on} is not joined to {monitor.senses} as it was: {name} does not read it."
            return case.yes(why, name, monitor.on, chapters=("indication",))
    return None


def _leads(of: Evaluated, monitor: Monitor) -> tuple[frozenset[str], ...]:
    """The signal inputs that are nearest to what a monitor senses, by wires, devices and pins."""
    instrument = of.design.parts[monitor.on]
    if not isinstance(instrument, p.Instrument):
        return ()
    sensed = monitor.senses
    starts = [sensed] if "." in sensed else [f"{sensed}.line", f"{sensed}.load"]
    signals = {f"{monitor.on}.{i.signal}" for i in instrument.inputs.values()}
    return tuple(_nearest(of, start, signals) for start in starts)


def _nearest(of: Evaluated, start: str, wanted: set[str]) -> frozenset[str]:
    """The nodes among some that wires, devices, pins and splices join to a node in the fewest steps."""
    front, seen = {start}, {start}
    while front and not front & wanted:
        front = {
            other
            for way in of.circuit.ways
            if way.element.startswith("wires/")
            or isinstance(of.design.parts[way.element.partition("/")[2]], _LEADING)
            for one, other in ((way.one, way.other), (way.other, way.one))
            if one in front
        } - seen
        seen |= front
    return frozenset(front & wanted)


def label_doubled(case: Case) -> Verdict:
    one, other = case.mutant.elements
    return case.yes(f"{one} and {other} bear one label.", one, other, chapters=("documentation",))


def label_of_switch(case: Case) -> Verdict:
    return case.no("A breaker and the switch of its own circuit may bear one label.")
