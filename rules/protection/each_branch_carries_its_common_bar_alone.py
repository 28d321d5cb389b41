"""Of several branches that feed one bar or unit by diodes, each carries all of it alone.

Why: the branch with the higher voltage takes nearly all of the current; its fuse opens, the other branch takes over, and its fuse opens too.

How judged: for each bar behind two or more diodes, and each unit of two or more supplies, in every state of normal flight with the loads of each phase:
each protector in a branch carries its solved current and that of the other branches, which may be 80 % of its rating at most.

Not covered: what the diodes bear (a rule of its own), and branches without diodes, of which another rule says that they feed back.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("ntsb", "LAX08LA066, both ignitions by two fuses to one bar, and both fuses opened"),
    ("practice", "80 % of the rating on and on; no source"),
)
REMEDY = "Give each channel branches of its own, or size each branch for all that the bar feeds."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.protection.alone_in_a_branch]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    rating = subject.part(facts.design).rating
    if rating is None:
        raise NotAssessable(f"`rating` of {name}")
    worst = max(facts.protection.alone_in_a_branch[name], key=lambda alone: alone.amps)
    if worst.amps != worst.amps:
        raise NotAssessable(
            f"`gauge` and `length` of the wires about {name}: without them its current is left open"
        )
    limit = rating * facts.protection.steady_share
    if worst.amps > limit * (1 + 1e-9):
        critical = facts.design.functions and set(worst.feeds) & facts.wires.critical_loads
        yield Unmet(
            f"{name} of {rating:g} A carries {worst.amps:.3g} A where {worst.branch} feeds {', '.join(worst.feeds)} without {' and '.join(worst.others)}.",
            field="rating",
            state=worst.state,
            failure=f"{' and '.join(worst.others)} without voltage",
            numbers=(
                ("current", f"{worst.amps:.3g} A"),
                ("limit", f"{limit:.3g} A"),
                ("current with all branches", f"{worst.now:.3g} A"),
            ),
            hazard=HazardClass.HAZARDOUS if critical else HAZARD,
        )
