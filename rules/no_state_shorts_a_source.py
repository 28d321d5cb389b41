"""No declared state joins a source's positive to its own negative.

Why: a reversing switch with a wrong table, or a wire on the wrong terminal, is a dead short at the first power-up.

How judged: in each declared state, the feed of each live source must not reach its own negative without a load between.

Not covered: states that are not declared.
"""

from reviewer.rulebook import Facts, HazardClass, Unmet

HAZARD = HazardClass.HAZARDOUS
CITATIONS = (("practice", "no position of a reversing switch joins both rails"),)
REMEDY = "Interlock the contacts, or move the wire."


def subjects(facts: Facts):
    return [s.element for s in facts.network.sources if facts.states]


def judge(subject: str, facts: Facts):
    shorted = [s for s in facts.shorted_sources() if s.source == subject]
    if shorted:
        also = ", ".join(s.state for s in shorted[1:])
        first = shorted[0]
        yield Unmet(
            f"{subject.partition('/')[2]} is shorted in {first.state}.",
            state=first.state,
            path=first.path,
            numbers=(("also in", also),) if also else (),
        )
