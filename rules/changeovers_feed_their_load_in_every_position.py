"""A change-over switch has no position in which a function of the engine is dead.

Why: a centre-off position, or the gap between two positions, stops an engine that has both channels behind the switch.

How judged: a switch by which a channel lives in two positions, in each by a contact that is open in the other, its own or that of a relay that it
commands, is a change-over switch. It is set to each of its positions, and to the gap between neighbouring ones where it breaks before it makes, the rest as in the dispatch state; functions whose loss is hazardous or
catastrophic must live. A position that takes one channel of several is no finding.

Not covered: how long a unit rides through a gap.
"""

from reviewer.rulebook import Facts, HazardClass, Unmet

HAZARD = HazardClass.HAZARDOUS
CITATIONS = (("cfr-23-1367", "switches"), ("practice", "a change-over has no position in which the engine is without a source"))
REMEDY = "Use a switch without a centre-off position, or pass one channel only through it, or feed the channel by two diodes instead."


def subjects(facts: Facts):
    return [c.switch for c in facts.changeovers]


def judge(subject: str, facts: Facts):
    name = subject.partition("/")[2]
    for change in (c for c in facts.changeovers if c.switch == subject):
        if change.dead:
            yield Unmet(f"{change.function} is dead with {name} at {' or '.join(change.dead)}.", field="positions")
            return
        if change.gaps:
            one, other = change.gaps[0]
            yield Unmet(
                f"{change.function} is dead for a moment while {name} moves between {one} and {other}: all of its channels pass through it.",
                field="transit",
                hazard=HazardClass.MAJOR,
            )
            return
