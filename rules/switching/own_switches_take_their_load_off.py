"""A load's own switch de-energises it, whatever else feeds it.

Why: an ignition that a change-over feeds around its own switch stays live with the switch off. The
propeller can fire while a hand is on it, and smoke from the load is not stopped.

How judged: a switch is a load's own where moving it alone, from a declared state, switches the load
off and leaves every bus alive. A change-over between feeds of the load does not count: in the off
position nothing may feed the load. Nor does the switch of another load, whose warning goes out as
that one goes on. With it off, the change-overs that can feed the load are set to every legal
combination, engine running and stopped. A load that a change-over brings on then is a finding:
hazardous for a load of a function of hazardous or catastrophic loss, else minor. A change-over is a
switch that closes a contact in each position, or one that commands a relay with normally open and
normally closed contacts. So is a load that is powered with every switch off and the engine stopped,
where a switch in its circuit feeds it too. Accepted: a second supply with a switch of its own that
can be open, or at another terminal of the load.

Not covered: the master (masters-take-off-the-loads-of-their-bus); current through another load
(circuits-switched-off-have-no-sneak-path); spring-return positions.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, and_list, bare

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (
    ("cfr-23-1367", "(d), labelled for operation and the circuit that it controls"),
    ("practice", "off means off: a switch de-energises what it is labelled for"),
)
REMEDY = "Put the load's own switch next to the load, after the change-over and where the feeds join."


def subjects(facts: Facts):
    own = (own.load for own in facts.switches.switched_loads)
    return list(dict.fromkeys((*own, *facts.switches.unswitched_feeds)))


def judge(subject: Subject, facts: Facts):
    functions = facts.states.critical_functions if facts.design.functions else ()
    critical = any(subject.name in facts.states.loads_of(f) for f in functions)
    hazard = HazardClass.HAZARDOUS if critical else None
    found = facts.switches.stays_on(subject.pointer)
    feed = facts.switches.unswitched_feeds.get(subject.pointer)
    if found is not None:
        own, how = found.own, found.combination
        moved = and_list(f"{s} at {at}" for s, at in how.moved)
        yield Unmet(
            f"{subject.name} stays on with its own switch, {own.switch}, at {own.position}: "
            f"{moved} feeds it from {bare(found.path[0])}.",
            path=found.path,
            switches=how.switches,
            numbers=(("engine", how.engine),),
            hazard=hazard,
        )
    elif feed is not None:
        off = and_list(f"{s} at {at}" for s, at in feed.switches)
        yield Unmet(
            f"{subject.name} stays on with {off} and every other switch off: {bare(feed.path[0])} feeds it "
            "by a path without a switch.",
            path=feed.path,
            numbers=(("off", off), ("engine", "stopped")),
            hazard=hazard,
        )
