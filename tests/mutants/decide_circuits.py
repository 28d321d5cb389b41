"""Decisions about mutants of protection, channels, grounds and diodes: by the plain evaluator and
Table 11-3.
"""

from __future__ import annotations

from reviewer.model import parts as p
from tests.mutants.decide_monitors import blind_monitor
from tests.mutants.evaluated import Evaluated
from tests.mutants.verdict import (
    Case,
    Verdict,
    dead_bus_lives,
    fed_by,
    lost_purpose,
    new_bare_load,
    new_darkness,
    new_grave_losses,
    new_idle_source,
    new_tie,
    new_wire_faults,
    not_charged,
    other_new_losses,
    supply_stays_fed,
    switch_does_nothing,
    through_loads,
    useful,
)
from tests.mutants.wiring_faults import most_amperes
from tests.oracle.plain import OPEN, Fault, solve

FOOT_M = 0.3048


def protection_removed(case: Case) -> Verdict:
    return (
        new_wire_faults(case)
        or new_grave_losses(case)
        or new_bare_load(case)
        or case.undecided("No rating or gauge or length says whether the wires want protection.")
    )


def rating_raised(case: Case) -> Verdict:
    """Also decided: a diode behind the device, and the order in which devices open."""
    device = case.mutant.place
    found = new_wire_faults(case) or new_grave_losses(case) or other_new_losses(case)
    if found:
        return found
    behind = [w for w in case.changed.design.wires.values() if f"{device}.load" in (w.from_, w.to)]
    if any(w.gauge is None for w in behind):
        return case.undecided("The wires have no gauge, so Table 11-3 gives no limit.")
    for diode in case.changed.design.of_kind(p.Diode):
        if f"{diode}.anode" in {e for w in behind for e in (w.from_, w.to)}:
            return case.undecided(
                f"{diode} is to bear 1.25 times the device or the largest solved current: either will do."
            )
    largest = min(
        (most_amperes(case.changed.design.parts[device].kind, str(w.gauge).removesuffix(" AWG")) or 0)
        for w in behind
    )
    return case.no(
        f"Every wire behind it may have {largest:g} A by Table 11-3 or more, and no order is upset."
    )


def reach_lost(case: Case) -> Verdict:
    device, of = case.mutant.place, case.changed
    operation = of.design.operation
    assert operation
    moved = [n for n, a in operation.actions.items() if device in a.move or device in a.after_failure_of]
    if moved:
        return case.yes(
            f"The action {moved[0]} moves it in flight.", moved[0], chapters=("protection", "endurance")
        )
    answer = solve(of.circuit, of.normal, (Fault(f"parts/{device}", OPEN),), of.healthy(of.normal))
    dark = {
        e.partition("/")[2] for e, on in of.healthy(of.normal).powered.items() if on and not answer.powered[e]
    }
    cleared: dict[str, str] = {}
    for name, function in of.design.functions.items():
        channels = dark & set(function.of)
        if function.loss != "minor":
            cleared |= {c: by for c in channels if (by := _opens_first(of, device, c))}
            channels -= cleared.keys()
        if channels and function.loss in ("hazardous", "catastrophic"):
            told = f"it takes {', '.join(sorted(channels))}, a channel of {name} of {function.loss} loss"
            return case.yes(
                f"Opened, by the plain evaluator {told}; such a device is reset in flight.",
                *sorted(channels),
                name,
                chapters=("protection",),
            )
        if channels and function.loss == "major":
            return case.undecided(
                f"It takes a channel of {name}, of major loss; what is essential is not settled."
            )
    if cleared:
        one, by = min(cleared.items())
        return case.no(
            f"Opened, it takes {one}; by the plain evaluator {by}, in reach, clears a short behind it before, "
            "and what is left to open it is a short on its own run, which no reset clears."
        )
    return case.no("Opened, by the plain evaluator it takes no channel of a function of major loss or worse.")


def _opens_first(of: Evaluated, device: str, load: str) -> str:
    """A breaker in reach, nearer to a load than a device, that alone clears a short behind it and
    that ratings promise to open before the device; "" without one.
    """
    healthy = of.healthy(of.normal)
    for name in of.design.of_kind((p.Breaker, p.BreakerSwitch)):
        if name == device or of.design.parts[name].accessible != "in-flight":
            continue
        opened = solve(of.circuit, of.normal, (Fault(f"parts/{name}", OPEN),), healthy)
        short = of.short(of.normal, f"{name}.load")
        if (
            healthy.powered[f"parts/{load}"]
            and not opened.powered[f"parts/{load}"]
            and short.devices == (name,)
            and of.opens_before(name, device)
        ):
            return name
    return ""


def ground_lead_cut(case: Case) -> Verdict:
    return (
        new_darkness(case)
        or new_idle_source(case)
        or not_charged(case)
        or new_grave_losses(case)
        or _last_ground(case)
        or case.undecided("Nothing is lost, and no further opening of a ground lead takes more than it did.")
    )


def _last_ground(case: Case) -> Verdict | None:
    """What one more opened ground lead takes that it did not take before."""
    for wire in case.changed.design.wires:
        more = _taken(case.changed, wire) - _taken(case.base, wire)
        if more:
            names = sorted(more)
            taken = ", ".join(names[:3])
            why = f"By the plain evaluator {wire}, opened, now takes {taken}: one ground path is left of two."
            return case.yes(why, wire, *names, chapters=("grounding",))
    return None


def _taken(of: Evaluated, wire: str) -> set[str]:
    """The loads and sources that one wire takes, opened, in the normal state or while the starter
    turns.
    """
    taken = set()
    for state in of.states.values():
        if state is of.normal or state.engine == "cranking":
            whole = solve(of.circuit, state, through_loads(of), of.healthy(state))
            cut = solve(of.circuit, state, (*through_loads(of), Fault(f"wires/{wire}", OPEN)), whole)
            taken |= useful(of, whole) - useful(of, cut)
            taken |= {e.partition("/")[2] for e, on in whole.powered.items() if on and not cut.powered[e]}
    return taken


def return_cut(case: Case) -> Verdict:
    load = case.mutant.elements[1]
    return new_darkness(case) or case.yes(
        f"A return of {load} is connected to nothing.", load, chapters=("documentation",)
    )


def return_moved(case: Case) -> Verdict:
    found = new_darkness(case) or new_grave_losses(case) or _noise(case)
    if found:
        return found
    _, load, block = case.mutant.elements
    if _sharing(case.changed, p.Instrument) - _sharing(case.base, p.Instrument):
        return case.undecided(f"A pulsed load and an instrument that reads no signal now share {block}.")
    part = case.changed.design.parts[load]
    if isinstance(part, p.Instrument) and any(i.return_ or i.signal for i in part.inputs.values()):
        return case.undecided(f"{load} reads signals: what its ground then differs by is a matter of degree.")
    if more := _cutters(case.changed, load) - _cutters(case.base, load) - {case.mutant.elements[0]}:
        return case.undecided(f"{min(more)}, opened, now takes {load} too, which no criterion forbids.")
    return case.no(
        f"{load} gets its current back by {block}, and no noisy current joins that of an instrument."
    )


def _cutters(of: Evaluated, load: str) -> set[str]:
    """The grounds whose opening takes a load in any state that is declared, or with all switches
    closed.
    """
    elements = [
        *(f"parts/{n}" for n in of.design.of_kind(p.GroundBlock)),
        *(f"wires/{n}" for n in of.design.wires),
    ]
    found = set()
    for state in (*of.states.values(), *of.widest):
        healthy = of.healthy(state)
        if healthy.powered[f"parts/{load}"]:
            for element in elements:
                if not solve(of.circuit, state, (Fault(element, OPEN),), healthy).powered[f"parts/{load}"]:
                    found.add(element.partition("/")[2])
    return found


def _noise(case: Case) -> Verdict | None:
    """A pulsed or motor load and an instrument that come to share a block away from the battery's
    own, and the instrument has no return but by it.
    """
    before, after = _sharing(case.base, p.Instrument), _sharing(case.changed, p.Instrument)
    shared = [
        (load, instrument, block)
        for load, instrument, block in sorted(after - before)
        if case.changed.design.parts[instrument].inputs
    ]
    for load, instrument, block in shared:
        if not _returns_by(case.changed, instrument, block):
            continue
        why = f"{load}, pulsed or a motor, and {instrument} now return by {block}: they share its leads."
        return case.yes(why, load, instrument, block, chapters=("grounding",))
    for load, instrument, block in shared[:1]:
        why = f"{instrument} has a return besides that by {block}: what {load} adds to it is a matter of degree."
        return case.undecided(why)
    return None


def _returns_by(of: Evaluated, instrument: str, block: str) -> bool:
    """Whether an instrument that is on has no return but by a block."""
    healthy = of.healthy(of.normal)
    opened = solve(of.circuit, of.normal, (Fault(f"parts/{block}", OPEN),), healthy)
    return healthy.powered[f"parts/{instrument}"] and not opened.powered[f"parts/{instrument}"]


def _sharing(of: Evaluated, kind: type[p.Part]) -> set[tuple[str, str, str]]:
    blocks: dict[str, set[str]] = {}
    for taker in of.circuit.consumers:
        for wire in of.design.wires.values():
            for end, other in ((wire.from_, wire.to), (wire.to, wire.from_)):
                block = other.partition(".")[0]
                if end in taker.minus and isinstance(of.design.parts[block], p.GroundBlock):
                    blocks.setdefault(block, set()).add(taker.element.partition("/")[2])
    star = {e.partition(".")[0] for w in of.design.wires.values() for e in (w.from_, w.to) if _at_post(of, w)}
    found = set()
    for block, loads in blocks.items():
        for load in loads if block not in star else ():
            part = of.design.parts[load]
            if isinstance(part, p.Load) and (part.noise == "pulsed" or part.type == "motor"):
                found |= {(load, o, block) for o in loads if isinstance(of.design.parts[o], kind)}
    return found


def _at_post(of: Evaluated, wire: p.Wire) -> bool:
    mains = [n for n in of.design.of_kind(p.Battery) if of.design.parts[n].purpose == "main"]
    return any(f"{n}.negative" in (wire.from_, wire.to) for n in mains)


def charging_line_cut(case: Case) -> Verdict:
    return not_charged(case) or case.undecided("The reserve is charged by another way.")


def channels_joined(case: Case) -> Verdict:
    found = new_tie(case) or new_grave_losses(case) or dead_bus_lives(case) or switch_does_nothing(case)
    return found or other_new_losses(case) or case.no("Both hang on one node already, behind one device.")


def feed_moved(case: Case) -> Verdict:
    found = new_grave_losses(case) or not_charged(case) or _beyond_purpose(case)
    found = found or new_wire_faults(case) or blind_monitor(case) or lost_purpose(case)
    return found or case.undecided("No function is lost, and the reserve feeds what it is kept for.")


def _beyond_purpose(case: Case) -> Verdict | None:
    for name in case.changed.design.of_kind(p.Battery):
        kept = set(case.changed.design.parts[name].dedicated_to)
        more = fed_by(case.changed, name) - fed_by(case.base, name) - kept
        if kept and more:
            loads = ", ".join(sorted(more)[:3])
            why = f"By the plain evaluator {name} feeds {loads}, which it is not kept for."
            return case.yes(why, name, *sorted(more), chapters=("backfeed", "endurance"))
    return None


def one_bundle(case: Case) -> Verdict:
    """A common run of 1 ft or less is accepted (common practice, no source)."""
    lengths = [case.changed.design.wires[n].length for n in case.mutant.elements[3:]]
    if all(length is not None and length <= FOOT_M + 1e-9 for length in lengths):
        return case.undecided("The common run is no longer than 1 ft.")
    return new_grave_losses(case) or case.undecided("No function of hazardous loss goes with the bundle.")


def switch_bypassed(case: Case) -> Verdict:
    return (
        switch_does_nothing(case)
        or supply_stays_fed(case)
        or case.undecided("In the normal state the switch takes nothing off.")
    )


def diode_changed(case: Case) -> Verdict:
    diode = case.mutant.place
    return (
        _shorts_its_coil(case, diode)
        or _unsuppressed(case)
        or not_charged(case)
        or new_darkness(case)
        or new_tie(case)
        or dead_bus_lives(case)
        or case.undecided("No source, load or bus is affected in any declared state.")
    )


def _shorts_its_coil(case: Case, diode: str) -> Verdict | None:
    """A diode, or what stands in its place, that joins the feed of a coil to its return."""
    of = case.changed
    for name in of.design.of_kind(p.Electromagnet):
        coil = {f"{name}.{t}" for t in of.design.parts[name].coil}
        if not coil <= _wired_to(of, diode):
            continue
        for state in of.states.values():
            answer = of.healthy(state)
            for source in of.circuit.sources:
                fed, back = answer.fed[source.element], answer.returned[source.element]
                if source.positive in back and coil & fed & back:
                    told = f"{diode} joins the feed of {name}'s coil to its return in {state.name}"
                    why = f"By the plain evaluator {told}."
                    return case.yes(why, diode, name, chapters=("backfeed", "protection", "switching"))
    return None


def _wired_to(of: Evaluated, part: str) -> set[str]:
    """The far ends of the wires at a part."""
    ends = [(w.from_, w.to) for w in of.design.wires.values()]
    there = [(a, b) if a.partition(".")[0] == part else (b, a) for a, b in ends]
    return {far for near, far in there if near.partition(".")[0] == part}


def _unsuppressed(case: Case) -> Verdict | None:
    """A coil without a suppressor inside, and with no diode between its ends."""
    for name in case.changed.design.of_kind(p.Electromagnet):
        if case.changed.design.parts[name].suppression == "none" and not _has_diode(case.changed, name):
            why = f"The coil of {name} has no suppressor inside and no diode across it."
            return case.yes(why, name, chapters=("switching",))
    return None


def _has_diode(of: Evaluated, name: str) -> bool:
    coil = {f"{name}.{t}" for t in of.design.parts[name].coil}
    return any(coil <= _wired_to(of, diode) for diode in of.design.of_kind(p.Diode))


def suppression_removed(case: Case) -> Verdict:
    return _unsuppressed(case) or case.no("A diode lies across its coil.")
