"""No source feeds the p-lead of a magneto.

Why: a p-lead carries the primary current of its magneto. Bus voltage on it burns the primary
winding and its capacitor, and the magneto stops firing; with the switch off it is a short of
that source.

How judged: in every declared state, whether a source feeds the p-lead while the ground of the
magneto is not live too. Where that is live, a short of the source is found by itself.

Not covered: combinations of switches in no declared state; leakage through a tachometer on the
lead.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare, parts

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (("practice", "nothing feeds the p-lead of a magneto; its switch joins it to ground"),)
REMEDY = "Disconnect what feeds the p-lead; its switch may join it to the magneto's ground alone."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Magneto)] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    live = facts.detection.live_lead(subject.name)
    if live is None:
        return
    yield Unmet(
        f"The p-lead of {subject.name} is live in {live.states[0]}: {bare(live.source)} feeds it.",
        state=live.states[0],
        path=live.path,
        numbers=((("also in", ", ".join(live.states[1:])),) if live.states[1:] else ()),
    )
