"""A change-over switch has no position that leaves a critical function unpowered.

Why: a centre-off position, or the gap between two positions, stops an engine with both channels
behind the switch.

How judged: a switch is a change-over switch if a channel is powered in two positions, in each by a
contact that is open in the other. The contact is its own or that of a relay it commands. It is set
to each position, and to the gap between neighbouring ones if it is break-before-make, the rest as
in the normal state. Functions of hazardous or catastrophic loss must stay powered. Accepted: a
position that loses one of several channels, and a gap (`transfer-time`) that enough loads bridge by
their `hold-up`.

Not covered: the operating time of a relay.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, quantity

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "not there when wanted"
CITATIONS = (("practice", "a change-over has no position that leaves the engine without a source"),)
REMEDY = (
    "Use a switch without a centre-off position, pass only one channel through it, or feed the channel "
    "by two diodes instead."
)


def subjects(facts: Facts):
    return [c.switch for c in facts.crew.changeovers]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    for change in (c for c in facts.crew.changeovers if c.switch == subject.pointer):
        if change.dead:
            yield Unmet(
                f"{change.function} is lost with {name} at {' or '.join(change.dead)}.", field="positions"
            )
            return
        if change.gaps:
            one, other = change.gaps[0]
            gap = subject.part(facts.design).transfer_time
            bridged = [
                n for n in change.channels if gap is not None and facts.design.parts[n].bridging >= gap
            ]
            dark = [n for n in change.channels if n not in (*bridged, *change.fed)]
            if not facts.states.lost_with(change.function, dark):
                continue
            bridges = 1000 * facts.design.parts[dark[0]].bridging
            known = (
                ""
                if gap is None
                else f", {quantity(1000 * gap, 'ms')} (hold-up of {dark[0]} {quantity(bridges, 'ms')}),"
            )
            unsure = subject.part(facts.design).transfer in (None, "unknown")
            unstated = " (`transfer` not stated)" if unsure else ""
            yield Unmet(
                f"{change.function} is lost momentarily{known} while {name} moves between {one} and "
                f"{other}{unstated}: all its channels pass through it.",
                field="transfer",
                hazard=HazardClass.MAJOR,
                numbers=tuple(
                    (f"hold-up of {n}", quantity(1000 * facts.design.parts[n].bridging, "ms"))
                    for n in change.channels
                    if known
                ),
            )
            return
