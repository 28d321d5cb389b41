"""A reserve battery feeds its dedicated loads and nothing else.

Why: each ampere that another load draws from a reserve shortens the endurance of the loads it is
dedicated to; a dedicated load on another battery has no reserve.

How judged: `dedicated-to` of each reserve battery names its functions, loads and instruments. No
other consumer may be fed by it and returned to it, in any declared state or legal combination of
the switches that matter. Nor may it excite an alternator that does not charge it. Each dedicated
load must be fed by it and returned to it in one of them, or in a declared state with something
open. Of a function, as many as it needs must be.

Not covered: the size of the current, relay coils, and leakage through a load.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    and_list,
    bare,
    few,
    one_feed,
    parts,
)

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (
    ("cfr-23-1165", "(b), capacity for the ignition besides the greatest other demand"),
    ("practice", "a reserve is dedicated to named loads"),
)
REMEDY = (
    "Move the load off the reserve side of the diode or switch, or name it under `dedicated-to` and count "
    "it in the endurance."
)
FIELD = "Feed the field from the bus that its alternator feeds, or let that charge the reserve."


def subjects(facts: Facts):
    reserves = [n for n in facts.design.of_kind(parts.Battery) if facts.design.parts[n].purpose == "reserve"]
    return [f"parts/{n}" for n in reserves if facts.states.declared]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    if not subject.part(facts.design).dedicated_to:
        raise NotAssessable(f"`dedicated-to` of {name}")
    found = facts.paths.beyond_purpose(name)
    if found:
        first = found[0]
        names = [bare(f.load) for f in found]
        fields = facts.design.of_kind(parts.Alternator)
        said = [f"the field of {n}" if n in fields else n for n in names]
        loads, lacking = ", ".join(said), facts.paths.not_served_by_others(name)
        moved = one_feed(facts.design, names) if set(names) <= lacking else ()
        how = first.combination
        yield Unmet(
            f"Reserve {name} also feeds {loads}, not among its dedicated loads"
            + (f", with {and_list(f'{s} at {at}' for s, at in how.moved)}." if how and how.moved else "."),
            field="dedicated-to",
            state=first.state,
            path=first.path,
            changes=("isolation", *moved),
            numbers=(("also fed", loads),),
            switches=how.switches if how else (),
            remedy=FIELD if set(names) <= set(fields) else "",
        )
    if missing := facts.paths.not_served(name):
        yield Unmet(
            f"Reserve {name} does not power {few(missing)}, to which it is dedicated, in any switch "
            "position.",
            field="dedicated-to",
            changes=(f"{subject.pointer}/dedicated-to", *one_feed(facts.design, missing)),
            numbers=(("not powered", ", ".join(missing)),),
            elements=tuple(f"parts/{n}" for n in missing if n in facts.design.parts),
            remedy="Feed the load from the reserve and return it there, or remove it from `dedicated-to`.",
            extent=", ".join(missing),
        )
