"""Decisions about switches, coils, contacts, pins and labels."""

from __future__ import annotations

from reviewer.model.resolved_states import ResolvedState
from tests.mutants.currents import Solved
from tests.mutants.decide_figures import channels_of
from tests.mutants.evaluated import Evaluated
from tests.mutants.verdict import Case, Verdict
from tests.oracle.plain import Answer


def guard_removed(case: Case) -> Verdict:
    """Start, master, ignition and change-over switches want a guard: one move starts, kills a bus,
    or takes a channel.
    """
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
                for c in channels_of(of, name)
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
            before.powered[f"parts/{c}"] and not after.powered[f"parts/{c}"]
            for c in channels_of(of, function)
        ):
            return True
    return False


def duty_exchanged(case: Case) -> Verdict:
    name = case.mutant.place
    if case.changed.design.parts[name].duty == "continuous":
        return case.undecided("A starter contactor of continuous duty is only heavier than it need be.")
    if case.changed.healthy(case.changed.normal).energised[f"parts/{name}"]:
        told = f"{name}, of intermittent duty, is energised in the normal state of flight"
        why = f"By the plain evaluator {told}."
        return case.yes(why, name, chapters=("switching",))
    return case.undecided("It is not energised in the normal state.")


def contact_small(case: Case) -> Verdict:
    """By the solved current of the contact: even the factor 1 of Table 11-4 is the least."""
    name = case.mutant.place
    rating = case.changed.design.parts[name].rating
    carried = _through(case.base_solved, case.base, name)
    if carried > rating:
        told = f"Its contact carries {carried:.2f} A and is rated {rating:g} A"
        why = f"{told}; Table 11-4 asks for 1 to 5 times the current."
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


def label_doubled(case: Case) -> Verdict:
    one, other = case.mutant.elements
    return case.yes(f"{one} and {other} bear one label.", one, other, chapters=("documentation",))


def label_of_switch(case: Case) -> Verdict:
    return case.no("A breaker and the switch of its own circuit may bear one label.")
