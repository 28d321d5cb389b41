"""What is grounded to metal structure has a low resistance to the ground points of its sources.

Why: structure carries returns well only as far as its bonds do; one strap across rubber mounts, or a bond under paint, is in every circuit of that side.

How judged: for each load and instrument that is bolted to metal structure, or has a wire from its return to it: the resistance from there to the negative of
each source that feeds it in a declared state, by all conductors of the return side together, as a milliohm meter would read it; 0.005 ohm at most.
A bond whose test accepts a `highest-resistance` is taken for that much; a reserve counts for what it is kept for.

Not covered: loads that return to a ground block (judged by their drop), and joints within the structure.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, structure_return_ohms

HAZARD = HazardClass.MINOR
CITATIONS = (("faa-h-8083-32", "chapter 4, return through structure"),)
REMEDY = "Bond the structure to the ground points with a shorter or heavier strap, or with a second one."


def subjects(facts: Facts):
    return [] if facts.wires.no_sizes else list(facts.grounds.structure_returns)


def judge(subject: Subject, facts: Facts):
    found, limit = facts.grounds.structure_returns[subject.pointer], structure_return_ohms()
    if found.ohms > limit.value * (1 + 1e-9):
        name, source = subject.name, bare(found.source)
        yield Unmet(
            f"{name} is grounded at {found.terminal}, and from there to the negative of {source} there are {found.ohms * 1000:.1f} milliohm.",
            numbers=(
                ("resistance", f"{found.ohms * 1000:.2f} mohm"),
                ("limit", f"{limit.value * 1000:g} mohm"),
            ),
        )
    elif found.missing:
        raise NotAssessable(f"{found.missing}, to know the resistance of the returns")
