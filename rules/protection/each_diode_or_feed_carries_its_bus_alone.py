"""Each feed of a diode-OR bus or unit carries the whole load alone.

Why: the feed with the higher voltage carries nearly all of the current; its fuse opens, the other
feed takes over, and its fuse opens too.

How judged: for each bus behind two or more diodes, and each unit with two or more supplies, in
every normal flight state with the loads of each phase. Each breaker, fuse and current limiter of a
feed carries its solved current plus that of the other feeds. That is at most 80 % of its rating
without the loads of intermittent `duty`. With them, and in a phase of at most 5 min, it is at most
the rating.

Not covered: the rating of the diodes (another rule), and feeds without diodes, which the rules on
backfeeds cover.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    and_list,
    parts,
    quantity,
    rated,
)

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (
    ("ntsb", "LAX08LA066, two fuses fed one bus of both ignitions, and both fuses opened"),
    ("practice", "80 % of the rating, continuous: of what is on for more than 5 min"),
)
REMEDY = "Give each channel its own feeds, or size each feed for all that the bus supplies."


def subjects(facts: Facts):
    devices = facts.design.of_kind(parts.Protector)
    return [f"parts/{n}" for n in facts.protection.sole_branches if n in devices]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    rating = subject.part(facts.design).rating
    if rating is None:
        raise NotAssessable(f"`rating` of {name}")
    worst = max(facts.protection.sole_branches[name], key=lambda alone: alone.amps / alone.share)
    if worst.amps != worst.amps:
        raise NotAssessable(
            f"`gauge` and `length` of the wires around {name}: without them its current is unknown"
        )
    limit = rating * worst.share
    if worst.over(rating):
        critical = facts.design.functions and set(worst.feeds) & facts.wires.critical_loads
        yield Unmet(
            f"{rated(name, subject.part(facts.design))} carries {quantity(worst.amps, 'A', limit)} when "
            f"{worst.branch} alone feeds {', '.join(worst.feeds)}; limit {quantity(limit, 'A', worst.amps)}.",
            field="rating",
            state=worst.state,
            failure=f"{and_list(worst.others)} without voltage",
            numbers=(
                (
                    "current",
                    f"{quantity(worst.amps, 'A', limit)} by {worst.branch} to {', '.join(worst.feeds)}",
                ),
                ("limit", quantity(limit, "A")),
                ("current with all feeds", quantity(worst.now, "A")),
            ),
            hazard=HazardClass.HAZARDOUS if critical else HAZARD,
        )
