"""A master switch de-energises the loads of its bus in every position of the change-overs.

Why: the master is the first thing that a crew switches off for smoke, and the last before they
leave. A load that a change-over feeds around it stays on, or discharges the battery overnight.

How judged: a master is a switch that de-energises a live bus when it moves from a declared state,
with the switches that an exclusion moves with it. It is left off, and the change-overs that can
feed a load of that bus are set to every legal combination. A change-over is a switch that closes a
contact in each position, or one that commands a relay with normally open and normally closed
contacts. Accepted: a load of a function of hazardous or catastrophic loss, and a reserve dedicated
to the load. So are a second supply whose own switch can be open, a declared state with the master
off that feeds the load so, and an action that restores it so.

Not covered: circuits that the master does not switch off as the states set them, such as a clock or
a door light on the battery; spring-return positions.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, and_list, bare

HAZARD = HazardClass.MINOR
CONSEQUENCE = "on when not wanted"
CITATIONS = (
    ("cfr-23-1361", "(a), ready disconnection of each source from the distribution"),
    ("practice", "off means off: a switch de-energises what it is labelled for"),
)
REMEDY = (
    "Give the change-over switch an off position, or prevent it by an interlock, or declare the state "
    "in which it feeds the load with the master off."
)


def subjects(facts: Facts):
    critical = facts.states.critical_functions if facts.design.functions else ()
    needed = {f"parts/{load}" for function in critical for load in facts.states.loads_of(function)}
    loads = dict.fromkeys(off.own.load for off in facts.switches.loads_of_masters)
    return [load for load in loads if load not in needed]


def judge(subject: Subject, facts: Facts):
    found = facts.switches.stays_on_with_master_off(subject.pointer)
    if found is not None:
        own, how = found.own, found.combination
        moved = and_list(f"{s} at {at}" for s, at in how.moved)
        yield Unmet(
            f"{subject.name} stays on with {own.switch} at {own.position}: {moved} feeds it from "
            f"{bare(found.path[0])}.",
            path=found.path,
            switches=how.switches,
            numbers=(("engine", how.engine),),
        )
