"""The crew can disconnect each battery from every bus and load that need not stay live.

Why: after a hard landing the battery is what lights the fuel; one movement must disconnect it from
all that does not need it.

How judged: the switches are set to every legal combination, engine stopped and no external power,
and as the declared states have them. A bus or load that a battery feeds in all of them is a
finding. Accepted: loads of functions of hazardous or catastrophic loss; loads that the battery is
dedicated to; loads behind circuit protection of 5 A or less, common practice (no published source).
So is a bus with no other loads, at the battery itself, behind such protection, or feeding a load
that is accepted for what it does.

Not covered: buses under `dead` in a state and what is downstream of them
(buses-declared-dead-are-de-energised); breakers pulled by hand. Nor are live wires up to a load's
own switch, and from which seat, or by how many movements, it is done.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, few, parts

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "on when not wanted"
CITATIONS = (
    ("cfr-23-1361", "(a), ready disconnection of each source; (b), circuits that may stay live"),
    ("practice", "5 A is the most that stays live with the master off"),
)
REMEDY = "Put a contactor in the feed at the battery, its coil switched by the master."


def subjects(facts: Facts):
    batteries = facts.design.of_kind(parts.Battery)
    return [f"parts/{n}" for n in batteries] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    found = facts.sources.always_live(subject.pointer)
    if found is None:
        return
    if not facts.design.functions:
        raise NotAssessable("`functions`: which loads must stay live with the master off")
    if found.unrated:
        raise NotAssessable(f"`rating` of {found.unrated[0]}, which may let {found.names[0]} stay live")
    wire = next((bare(e) for e in found.path if e.startswith("wires/")), "")
    past = f"Remove {wire}, or put a switch in it: it feeds {found.names[0]} around {found.past}."
    yield Unmet(
        f"No switch disconnects {subject.name} from {found.names[0]}.",
        remedy=past if found.past else "",
        path=found.path,
        changes=("isolation", "protection"),
        numbers=(("stays live", few(found.names)),),
    )
