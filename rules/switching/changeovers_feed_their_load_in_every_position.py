"""A change-over switch has no position in which a function of the engine is dead.

Why: a centre-off position, or the gap between two positions, stops an engine that has both channels behind the switch.

How judged: a switch by which a channel lives in two positions, in each by a contact that is open in the other, its own or that of a relay that it
commands, is a change-over switch. It is set to each of its positions, and to the gap between neighbouring ones where it breaks before it makes, the rest
as in the dispatch state; functions whose loss is hazardous or catastrophic must live. A position that takes one channel of several is no finding, nor is a
gap, its `transfer-time`, that enough of the loads bridge by their `hold-up`.

Not covered: the time that a relay takes to follow.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet

HAZARD = HazardClass.HAZARDOUS
CITATIONS = (
    ("cfr-23-1367", "switches"),
    ("practice", "a change-over has no position in which the engine is without a source"),
)
REMEDY = "Use a switch without a centre-off position, or pass one channel only through it, or feed the channel by two diodes instead."


def subjects(facts: Facts):
    return [c.switch for c in facts.crew.changeovers]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    for change in (c for c in facts.crew.changeovers if c.switch == subject.pointer):
        if change.dead:
            yield Unmet(
                f"{change.function} is dead with {name} at {' or '.join(change.dead)}.", field="positions"
            )
            return
        if change.gaps:
            one, other = change.gaps[0]
            gap = subject.part(facts.design).transfer_time
            bridged = [
                n
                for n in change.channels
                if gap is not None and (facts.design.parts[n].hold_up or 0.0) >= gap
            ]
            if not facts.states.lost_with(
                change.function, [n for n in change.channels if n not in (*bridged, *change.fed)]
            ):
                continue
            known = "" if gap is None else f", {1000 * gap:g} ms"
            yield Unmet(
                f"{change.function} is dead for a moment{known} while {name} moves between {one} and {other}: all of its channels pass through it.",
                field="transit",
                hazard=HazardClass.MAJOR,
                numbers=tuple(
                    (f"{n} holds up", f"{1000 * (facts.design.parts[n].hold_up or 0.0):g} ms")
                    for n in change.channels
                    if known
                ),
            )
            return
