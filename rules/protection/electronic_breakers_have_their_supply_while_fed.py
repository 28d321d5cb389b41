"""Electronic breakers that stay closed without supply have their supply whenever they are fed.

Why: an electronic breaker opens by the power of its unit. Without it, one that stays closed is a
piece of wire, and a short behind it burns what it should protect.

How judged: each electronic breaker inside a unit with `without-supply: closed`. In every declared
state, and after every single failure in it, the unit has power while either side of the breaker is
fed. Else every path from a battery or external power to the breaker passes a device that fits the
wires behind it. A failure of the unit itself opens the breaker and does not count. Major where only
a failure causes it.

Not covered: how long the unit keeps working in the voltage dip of a short, and electronic breakers
that open without supply: what they feed is lost then.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare, rated

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "can burn"
CITATIONS = (
    ("ac-43-13-1b", "11-47, circuit protection for every wire, as close as possible to the source bus"),
    ("cfr-23-1357", "(a), protective devices in all circuits but those of the starter"),
)
REMEDY = "Put a fuse that fits the wires ahead of the breaker, or fit a breaker that opens by itself."


def subjects(facts: Facts):
    return [f"parts/{name}" for name in facts.protection.stay_closed]


def judge(subject: Subject, facts: Facts):
    found = facts.protection.unsupplied.get(subject.name)
    if found:
        part = subject.part(facts.design)
        failed = found.failure
        after = f" after failure of {bare(failed.element)}" if failed else ""
        yield Unmet(
            f"{rated(subject.name, part)} gives no protection{after}: {part.inside} has no power, and the "
            "breaker stays closed without it.",
            field="without-supply",
            state=found.state,
            failure=f"{bare(failed.element)} {failed.words(facts.network)}" if failed else "",
            hazard=HazardClass.MAJOR if failed else HAZARD,
            path=(*((failed.element,) if failed else ()), f"parts/{part.inside}", subject.pointer),
        )
