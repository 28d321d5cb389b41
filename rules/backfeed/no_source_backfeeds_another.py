"""No source backfeeds another in any switch combination, nor while a switch moves.

Why: a reserve that feeds the main bus is flat when it is needed, and a shorted battery pulls down
every source paralleled with it.

How judged: a reserve battery must not feed another source, and two main batteries must not feed
each other without a diode: in each declared state; in every legal combination of the switches that
matter, engine running and stopped; and between neighbouring positions of these switches, both
closed unless declared break-before-make. Accepted: an alternator or external power that charges a
battery, one-way charging of a reserve, a reserve on the bus of its own alternator (that no main
battery is on in the normal state), and a tie while cranking or while a spring-return position is
held.

Not covered: breakers pulled outside the declared states, and two switches in transit at once.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare, parts

HAZARD = HazardClass.HAZARDOUS
CITATIONS = (
    ("cfr-23-1351", "(b), failure of one source must not impair the others; (c)(4)"),
    ("ntsb", "CEN12LA389, one battery drained the other"),
)
REMEDY = (
    "Put an isolation diode into the leg, or change over with a break-before-make switch, or exclude "
    "the combination by an interlock."
)


def subjects(facts: Facts):
    batteries = facts.design.of_kind(parts.Battery)
    return [f"parts/{n}" for n in batteries] if len(batteries) > 1 and facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    feeds = [f for f in facts.paths.reverse_feeds if f.source == subject.pointer]
    if feeds:
        first = feeds[0]
        into = ", ".join(dict.fromkeys(bare(f.into) for f in feeds if f.state == first.state))
        also = ", ".join(dict.fromkeys(f.state for f in feeds if f.state not in ("", first.state)))
        how = first.combination
        yield Unmet(
            f"{subject.name} backfeeds {into}"
            + (f" while {how.transit}" if how and how.transit else "")
            + (
                f" with {' and '.join(f'{s} at {at}' for s, at in how.moved)}"
                if how and how.moved and not how.transit
                else ""
            )
            + (", each feeding the other." if first.both_ways else "."),
            state=first.state,
            path=first.path,
            switches=how.switches if how else (),
            numbers=((("also in", also),) if also else ()) + ((("engine", how.engine),) if how else ()),
        )
