"""No circuit protection is in the p-lead of a magneto.

Why: a p-lead carries no battery current, so that a fuse in it protects nothing. One that has
opened, or is not in its holder, leaves the magneto hot with its switch off.

How judged: in each state that declares the magneto `silent` and in which it is grounded, each
breaker, fuse and limiter opens in turn; none may leave the magneto hot.

Not covered: filters and connectors in the lead, and a device that a second lead to ground bypasses.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare, few, parts

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "on when not wanted"
CITATIONS = (("practice", "no fuse or breaker is in the p-lead of a magneto"),)
REMEDY = "Run the p-lead from the magneto to its switch without circuit protection."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Magneto)] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    opened = facts.detection.opened_ground(subject.name)
    if opened is None:
        return
    devices = few([bare(e) for e in opened.devices])
    yield Unmet(
        f"{subject.name} is grounded through {devices} in {opened.state}; with that open it is hot.",
        state=opened.state,
        failure="open",
        path=opened.path,
    )
