"""An alternator and its regulator have two ground paths.

Why: a loose crimp in the only ground makes the regulator sense less than the bus voltage and raise
it until batteries boil, or loses the alternator.

How judged: the paths from its ground terminal to the negative of a main battery, to which its
charging current returns. No single wire, strap, mounting (`mounted-on`), connector or bolt of
several wires may be in every path. A reserve counts only where no battery is a main one. Structure
itself, ground blocks and the negative lead of a battery, with what is in series in it, do not
count.

Not covered: an aircraft without a battery; a generator that feeds one load alone; the ground of an
external regulator, which is no part of its own; paint under a foot.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, and_list, bare, parts

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (
    ("practice", "two straps, and a wire beside the bolted bracket"),
    (
        "ntsb",
        "WPR18LA021, a loose crimp at the ground of the alternator, and 15.5 V",
    ),
)
REMEDY = (
    "Run a second wire from the alternator frame, and a second strap from the engine, each with its own ends."
)


def subjects(facts: Facts):
    charges = facts.design.of_kind(parts.Battery)
    machines = [f"parts/{n}" for n in facts.design.of_kind(parts.Alternator)] if charges else []
    return [machine for machine in machines if machine not in facts.states.own_generators]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    cuts = facts.sources.ground_cuts(subject.pointer)
    if cuts is None:
        raise NotAssessable(f"wires from {name}.ground to the negative of a main battery")
    if cuts:
        named = and_list("its mounting" if e == subject.pointer else bare(e) for e in cuts)
        leads = and_list(bare(e) for e in cuts if e.startswith("wires/"))
        remedy = f"Run a second lead beside {leads}, by another route, with its own ends and bolts."
        yield Unmet(
            f"{name} has a single ground path: {named}.", path=cuts, remedy=remedy if leads else REMEDY
        )
