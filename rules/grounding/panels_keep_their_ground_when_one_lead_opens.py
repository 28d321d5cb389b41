"""Several loads share no single ground lead, and the second lead carries them alone.

Why: one loose nut or broken terminal at a panel's only ground loses every instrument on it at once,
or raises their ground by volts. An undersized second lead burns.

How judged: in normal flight each wire and bolt of structure on the return side is opened. Two or
more loads may not lose their return to the batteries that feed them, which an alternator does not
replace. Accepted: loads of one channel, whose functions all survive without them, and a unit with
what it drives. The loss of a critical function without recovery is reported by no-single-return-
failure-stops-a-critical-function. No powered load may be more than 1 V from the nearest negative of
a source, and no parallel wire over AC 43.13-1B Table 11-9, in any phase.

Not covered: the block or stud itself; the lead of a battery or converter, whose opening loses that
source (other rules). Nor are corrosion of all leads at once, and the rating of braids and of
connector pins.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, gaps, own_returns, quantity

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (
    ("ac-43-13-1b", "11-186e, a ground that several circuits share"),
    ("ac-43-13-1b", "Table 11-9, current that a wire carries continuously"),
    ("practice", "two leads by different routes ground a panel; 1 V on the remaining one"),
)
REMEDY = "Add a second ground lead of the same size by another route."
OF_BOLT = "Bring some of the returns, or a second lead of their block, to another bolt of the structure."


def subjects(facts: Facts):
    leads = (f"wires/{n}" for n in facts.grounds.ground_leads)
    return list(dict.fromkeys((*leads, *facts.grounds.lost_grounds)))


def judge(subject: Subject, facts: Facts):
    name, lost = subject.name, facts.grounds.lost_grounds.get(subject.pointer)
    points = facts.failures.single_points if lost and facts.design.functions else {}
    if any(point.side != "supply" for point in points.get(subject.pointer, ())):
        return  # the rules of single return failures and shared devices report it
    if lost:
        users, kept = ", ".join(lost.users), lost.to_battery
        yield Unmet(
            f"Single ground path {name} of {users}: they lose their return{kept} if it opens.",
            state=lost.state,
            failure="open",
            path=facts.states.path_back(lost.state, f"parts/{lost.users[0]}", *lost.opened),
            changes=(f"{subject.pointer}/second", *own_returns(lost.users)),
            remedy=OF_BOLT if subject.pointer.startswith("bolts/") else REMEDY,
            numbers=((f"without return{kept}", users),),
        )
        return
    if (rise := facts.grounds.rise(name)).volts > rise.most:
        yield Unmet(
            f"Open {name} shifts the ground of {rise.user} by {quantity(rise.volts, 'V', rise.most)} from "
            f"its source; limit {quantity(rise.most, 'V')} (common practice, no published source).",
            state=rise.state,
            failure="open",
            path=facts.states.path_back(rise.state, f"parts/{rise.user}", subject.pointer),
            numbers=rise.assumed,
        )
        return
    if rise.missing:
        raise NotAssessable(gaps(rise.missing, None))
    over = facts.grounds.overload(name)
    if over and over.missing:
        carried = quantity(over.amps, "A")
        raise NotAssessable(f"{over.missing}: with {name} open {over.wire} carries {carried}")
    if over and over.allowed:
        limit, around = over.allowed.ampacity.amperes, over.allowed.around
        basis = f"Table 11-9, bundle of {around.wires}, {quantity(around.ambient_c, 'C')} ambient"
        gauge = facts.design.wires[over.wire].size
        carried, most = quantity(over.amps, "A", limit), quantity(limit, "A", over.amps)
        yield Unmet(
            f"Open {name} leaves {carried} to {over.wire} ({gauge}); limit {most}.",
            state=over.flown.state,
            failure="open",
            path=(subject.pointer, f"wires/{over.wire}"),
            numbers=(("current", carried), ("limit", most), ("basis", basis)),
        )
