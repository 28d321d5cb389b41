"""Decisions about thinner, thicker, longer and shorter wires: by Tables 11-3, 11-6 and 11-9 and
solved points.
"""

from __future__ import annotations

from functools import cache

from reviewer.model import parts as p
from tests.mutants.currents import CONTINUOUS, CRANKING, FREE_AIR, INTERMITTENT, row_of
from tests.mutants.decide_figures import charges
from tests.mutants.evaluated import Evaluated
from tests.mutants.mutant import sound
from tests.mutants.starts import volts_at_start
from tests.mutants.verdict import Case, Verdict, new_wire_faults
from tests.mutants.wiring_faults import starting_cables
from tests.published.transcriptions import PRINTED

_FOOT = 304.8  # metres in 1000 ft


def wire_changed(case: Case) -> Verdict:
    """A wire that is thinner or longer: device, stub, stated resistance, current, drop."""
    name = case.mutant.place
    if found := new_wire_faults(case) or _stated_resistance(case, name):
        return found
    if not case.solved.whole:
        return case.undecided("Not every figure is given: currents and drops cannot be solved.")
    found = _too_hot(case, name) or _drops(case) or _coils(case)
    return found or _low_at_start(case) or _side_effects(case, name)


def _stated_resistance(case: Case, name: str) -> Verdict | None:
    wire = case.changed.design.wires[name]
    row = PRINTED["copper_wire/aircraft"].get(str(wire.gauge).removesuffix(" AWG"))
    if wire.max_resistance and row and wire.length:
        ohms = row[3] / _FOOT * wire.length
        if ohms > wire.max_resistance:
            most = wire.max_resistance * 1e3
            why = f"{name} has {ohms * 1e3:.2f} mohm by Table 11-9; its test accepts {most:g} mohm."
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
    told = f"{name} carries {carried:.2f} A; its row of Table 11-9 is {row:.3g} A"
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
        limit = INTERMITTENT if part.duty == "intermittent" else CONTINUOUS
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
            needed = case.changed.design.parts[name].pickup_voltage
            if energised[coil.element] and needed:
                volts = abs(op.volts[coil.plus[0]] - op.volts[coil.minus[0]])
                if volts < needed:
                    why = f"In {state} the coil of {name} has {volts:.2f} V; it pulls in at {needed:g} V."
                    return case.yes(why, name, chapters=("switching",))
    return None


def _low_at_start(case: Case) -> Verdict | None:
    """A load that has less than its minimum while the starter stands, and had enough before."""
    before, parts = _at_start_of(case.mutant.design), case.changed.design.parts
    for load, volts in sorted(volts_at_start(case.changed).items(), key=lambda of: of[1]):
        needed = parts[load].minimum
        if needed and volts < needed <= before.get(load, 0.0):
            told = f"{load} has {volts:.2f} V while the starter stands, and works from {needed:g} V"
            if parts[load].hold_up:
                return case.undecided(f"{told}; it bridges some time.")
            return case.yes(f"{told}.", load, chapters=("endurance", "wiring"))
    return None


@cache
def _at_start_of(design: str) -> dict[str, float]:
    return volts_at_start(Evaluated(sound(design)))


def _side_effects(case: Case, name: str) -> Verdict:
    """What is left: the charge of a reserve, a shared ground, a motor that starts."""
    wire = case.changed.design.wires[name]
    ends = {e.partition(".")[0] for e in (wire.from_, wire.to)}
    grounds = set(case.changed.design.of_kind((p.GroundBlock, p.Airframe)))
    if ends & set(case.changed.design.of_kind(p.Diode)) or (ends & grounds and len(ends & grounds) > 1):
        return case.undecided(
            "It carries the charge of a reserve or the currents of many loads: a matter of degree."
        )
    if any(charges(case.base, e) for e in ends):
        return case.undecided(
            "It carries the charge of a reserve: what it should have is a matter of degree."
        )
    if any(getattr(case.changed.design.parts[e], "type", "") == "motor" for e in ends):
        return case.undecided("What a motor takes when it starts is not in the file.")
    return case.no("Device, stub, current and drops stay within Tables 11-3, 11-6 and 11-9.")


def wire_better(case: Case) -> Verdict:
    name = case.mutant.place
    wire = case.changed.design.wires[name]
    if any(charges(case.base, e.partition(".")[0]) for e in (wire.from_, wire.to)):
        return case.undecided("With less resistance a flat reserve takes more at first.")
    return case.no("A thicker or a shorter wire carries more, loses less, and may have a larger device.")
