"""No load returns by the lead that alone grounds a magneto.

Why: when such a lead opens, the load returns through the p-lead and the winding of the magneto. The
ignition that is switched off is hot, and one that runs may misfire.

How judged: in each declared state in which a magneto is grounded, each wire fails open in turn.
None may leave the magneto hot and a load that is on without its return.

Not covered: what the load then draws through the magneto; blocks, studs and connectors.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare, few, parts

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "on when not wanted"
CITATIONS = (("practice", "a p-lead is grounded by a lead of its own"),)
REMEDY = "Ground the p-lead by a lead of its own, and return nothing else by it."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Magneto)] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    for shared in facts.grounds.shared_p_lead_grounds:
        if shared.magneto == subject.name:
            lead = bare(shared.lead)
            yield Unmet(
                f"{lead} alone grounds the p-lead of {subject.name} and returns {few(list(shared.loads))}; "
                f"with {lead} open the load current returns through {subject.name}, which is hot.",
                state=shared.state,
                failure=f"{lead} open",
                path=(shared.lead,),
                elements=tuple(f"parts/{n}" for n in shared.loads),
                numbers=(("loads", ", ".join(shared.loads)),),
            )
