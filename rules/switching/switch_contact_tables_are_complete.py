"""Every switch states the contacts closed in each position and in transit.

Why: what a switch does between positions decides whether two sources meet; a gap in the table hides
a position in which a load is dead.

How judged: the switch has at least two positions; no two of them join the same terminals. Where
more than one position joins something, `transfer` is stated and known: the contacts of the one are
open before those of the other close, or not. An on-off switch, which joins in one position only,
need not state it.

Not covered: whether the table is that of the switch bought.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (("practice", "the contact table is part of the design"),)
REMEDY = "Give every position with the terminal pairs that it joins, and `transfer` from the data sheet."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Switch)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    switch = subject.part(facts.design)
    tables = [frozenset(frozenset(pair) for pair in pairs) for pairs in switch.positions.values()]
    if len(tables) < 2:
        yield Unmet(f"Switch {name} has a single position.", field="positions")
    elif len(set(tables)) < len(tables):
        yield Unmet(f"Switch {name} has two positions that join the same terminals.", field="positions")
    elif sum(map(bool, tables)) < 2:
        return
    elif switch.transfer == "unknown":
        yield Unmet(
            f"The contacts of {name} during transfer between positions are not known.", field="transfer"
        )
    elif switch.transfer is None:
        raise NotAssessable(f"`transfer` of {name}")
