"""A load's own switch takes it off in every position of the change-overs.

Why: an ignition that a change-over feeds around its own switch stays live with the switch off: the
propeller can fire while a hand is on it, and smoke from the load is not stopped.

How judged: a switch is a load's own where moving it alone, from a declared state, takes the load
off and leaves every bus alive. With it off, the change-overs that can feed the load are set to
every legal combination, engine running and stopped; a load that is powered then is a finding:
hazardous for a load of a function of hazardous or catastrophic loss, else minor. A change-over is a
switch of which each position closes a contact, or one that commands a relay with contacts of both
kinds. Accepted: a second supply with a switch of its own that can be open.

Not covered: the master, of which `masters-take-off-the-loads-of-their-bus` speaks; current through
another load, of which `circuits-switched-off-have-no-sneak-path` speaks; positions that spring
back.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare

HAZARD = HazardClass.MINOR
CITATIONS = (
    ("cfr-23-1367", "switches"),
    ("practice", "off means off: a switch takes off what it is labelled for"),
)
REMEDY = "Put the load's own switch after the change-over, next to the load, so that every feed passes it."


def subjects(facts: Facts):
    return list(dict.fromkeys(own.load for own in facts.switches.switched_loads))


def judge(subject: Subject, facts: Facts):
    found = facts.switches.stays_on(subject.pointer)
    if found is not None:
        own, how = found.own, found.combination
        moved = " and ".join(f"{s} at {at}" for s, at in how.moved)
        functions = facts.states.critical_functions if facts.design.functions else ()
        critical = any(subject.name in facts.states.loads_of(f) for f in functions)
        yield Unmet(
            f"{subject.name} stays on with its own switch, {own.switch}, at {own.position}: "
            f"{moved} feeds it from {bare(found.path[0])}.",
            path=found.path,
            switches=how.switches,
            numbers=(("engine", how.engine),),
            hazard=HazardClass.HAZARDOUS if critical else None,
        )
