"""The crew can disconnect each battery from every bus and load that need not stay live.

Why: after a hard landing the battery is what lights the fuel; one movement must disconnect it from
all that does not need it.

How judged: the switches are set to every legal combination, engine stopped and no external power,
and as the declared states have them. A bus or load that a battery feeds in all of them is a
finding. Accepted: loads of functions of hazardous or catastrophic loss; loads that the battery is
dedicated to; loads behind circuit protection of 5 A or less, common practice (no published source).
So is a bus with no other loads, at the battery itself, behind such protection, or feeding a load
that is accepted for what it does. Loads past a second bus, which a switch takes off the first, are
not those of the first.

Not covered: buses under `dead` in a state and what is downstream of them
(buses-declared-dead-are-de-energised); breakers pulled by hand. Nor are live wires up to a load's
own switch, and from which seat, or by how many movements, it is done.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, few, parts, quantity

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
    fed = found.others or found.joined
    for_whom = f", which feeds {few(fed)}" if fed else ""
    yield Unmet(
        f"No switch disconnects {subject.name} from {found.names[0]}{for_whom}.",
        remedy=_remedy(found, wire, facts.sources.largest_always_live),
        path=found.path,
        changes=("isolation", "protection"),
        numbers=(("stays live", few(found.names)), *([("which feeds", few(fed))] if fed else ())),
    )


def _remedy(found, wire: str, most: float) -> str:
    """What puts it right; no contactor ahead of a load that is needed with the master off."""
    if found.past:
        return f"Remove {wire}, or put a switch in it: it feeds {found.names[0]} around {found.past}."
    if found.others:
        return (
            f"Feed {few(found.others)} from a bus that the master switches off, or protect it at "
            f"{quantity(most, 'A')} or less; {found.needed} needs {found.names[0]} live."
        )
    if live := [bus for bus in found.joined if bus in found.names]:
        return (
            f"Put a switch between {found.names[0]} and {few(live)}; {found.needed} needs "
            f"{found.names[0]} live."
        )
    if found.joined:
        return (
            f"Leave no switch position that joins {found.names[0]} to {few(found.joined)}; {found.needed} "
            f"needs {found.names[0]} live."
        )
    return ""
