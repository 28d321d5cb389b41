"""Every critical or emergency switch is accessible from each pilot seat.

Why: an engine stopped because the pilot flying could not reach the switch that would have restored
it.

How judged: a switch states by `accessible-from` from which seats it is accessible. Judged are those
in the circuits of loads and instruments of a function of hazardous or catastrophic loss, and those
that a declared action moves. These must be all the seats of `pilot-seats`.

Not covered: breakers, for which another rule asks `accessible`; whether a switch feels different
from its neighbours.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, and_list

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (
    ("cfr-23-1367", "(c), accessible to the appropriate crew members"),
    ("ntsb", "ERA09IA326, the rear seat could not reach the switches"),
)
REMEDY = "Move the switch, or fit a second one, so that it is accessible from each seat."


def subjects(facts: Facts):
    if facts.switches.emergency_switches and not facts.design.aircraft.pilot_seats:
        raise NotAssessable("`pilot-seats` of the aircraft, and `accessible-from` of its switches")
    return [f"parts/{n}" for n in facts.switches.emergency_switches]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    seats, reached = facts.design.aircraft.pilot_seats, subject.part(facts.design).accessible_from
    if not reached:
        raise NotAssessable(f"`accessible-from` of {name}")
    if missing := [seat for seat in seats if seat not in reached]:
        yield Unmet(f"Switch {name} is not accessible from {and_list(missing)}.", field="accessible-from")
