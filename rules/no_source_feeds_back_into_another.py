"""No source feeds back into another in any declared state, nor while a switch moves.

Why: a reserve that feeds the main bus is empty when it is wanted, and a shorted battery pulls down every source that is tied to it.

How judged: in each declared state, a reserve battery must not feed another source, and two main batteries must not feed each other with no diode
between. A switch that is not declared to break before it makes is also tried half-way to each of its other positions. An alternator or outside
power charging a battery, and one-way charging of a reserve, is what they are for.

Not covered: states that are not declared.
"""

from reviewer.rulebook import Facts, HazardClass, Unmet, parts

HAZARD = HazardClass.HAZARDOUS
CITATIONS = (("cfr-23-1351", "(b), failure of one source must not impair the others; (c)(4)"), ("ntsb", "CEN12LA389, one battery drained the other"))
REMEDY = "Put an isolation diode into the leg, or change over with a switch that breaks before it makes."


def subjects(facts: Facts):
    batteries = facts.design.of_kind(parts.Battery)
    return [f"parts/{n}" for n in batteries] if len(batteries) > 1 and facts.states else []


def judge(subject: str, facts: Facts):
    feeds = [f for f in facts.reverse_feeds() if f.source == subject]
    if feeds:
        first = feeds[0]
        into = ", ".join(dict.fromkeys(f.into.partition("/")[2] for f in feeds if f.state == first.state))
        also = ", ".join(dict.fromkeys(f.state for f in feeds if f.state != first.state))
        yield Unmet(
            f"{subject.partition('/')[2]} feeds back into {into}"
            + (f" while {first.transit}" if first.transit else "")
            + (", each feeding the other." if first.both_ways else "."),
            state=first.state,
            path=first.path,
            numbers=(("also in", also),) if also else (),
        )
