"""A load is changed over between two sources by a double-throw switch.

Why: a single-throw switch, of one pole or two, can only make or break: closed it parallels the
sources, open it leaves the load with none. A second throw on the same bus is no second source.

How judged: a switch in which each terminal joins only one other is single-throw. If it brings feeds
of two different sources to one point, it is used to change over. Two poles that switch two separate
circuits together are accepted. Two throws that meet their common in different positions may not be
fed from one bus or source by conductors and circuit protection alone (major). A wire with a
`resistance` of its own makes another feed. For an automatic switch only the first is judged.

Not covered: change-over by relays.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare, parts

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "not there when wanted"
CITATIONS = (("practice", "a double-pole single-throw switch cannot change a load over"),)
REMEDY = "Use a double-throw switch: the load on the common, a source on each throw, break-before-make."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Switch)]


def judge(subject: Subject, facts: Facts):
    if tie := facts.paths.single_throw_tie(subject.name):
        one, other = (bare(s) for s in tie.sources)
        yield Unmet(
            f"Single-throw switch {subject.name} brings {one} and {other} to one point: when closed it "
            "parallels them.",
            field="positions",
            numbers=(("sources", f"{one}, {other}"),),
            changes=(f"{subject.pointer}/isolation",),
        )
    elif subject.part(facts.design).by_hand and (feed := facts.paths.one_feed(subject.name)):
        one, other = feed.positions
        yield Unmet(
            f"{subject.name} is fed from {feed.point} at {one} and at {other}: there is no second source.",
            hazard=HazardClass.MAJOR,
            field="positions",
            numbers=(("throws", ", ".join(feed.throws)), ("fed from", feed.point)),
            remedy="Feed the second throw from another bus or source.",
        )
