"""Every ground lead and bond states the resistance that a test accepts, and that is low enough and can be reached.

Why: a bond that looks tight can be a hundred times too high under paint; without a number on the card nobody measures it.

How judged: from the detailed stage on, each wire between blocks, studs, structure and the negatives of sources has `highest-resistance`. Where it
carries its share of the return of an alternator or starter to the battery it may be 2.5 milliohm, else 10 milliohm more than the wire has of itself
by the published table. It may not be less than that.

Not covered: bonds against static and lightning; mountings without a wire.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.MINOR
CITATIONS = (
    ("ac-43-13-1b", "11-188f, 2.5 milliohm from frame to structure"),
    ("practice", "2.5 milliohm for heavy returns, 10 milliohm in the joints of others"),
)
REMEDY = "State a resistance in `highest-resistance`, and put it on the test card."


def subjects(facts: Facts):
    return (
        [] if facts.design.aircraft.stage == "concept" else [f"wires/{n}" for n in facts.grounds.ground_leads]
    )


def judge(subject: Subject, facts: Facts):
    name = subject.name
    accepted = facts.design.wires[name].highest_resistance
    if accepted is None:
        raise NotAssessable(f"`highest-resistance` of {name}")
    own = facts.wires.wire_ohms(name) or 0.0
    most = 0.0025 if subject.pointer in facts.grounds.heavy_wires else own + 0.010
    if accepted > most:
        yield Unmet(
            f"The test of {name} accepts {accepted * 1000:g} milliohm; {most * 1000:.3g} is the most for its kind.",
            field="highest-resistance",
        )
    elif accepted < own:
        yield Unmet(
            f"The test of {name} accepts {accepted * 1000:g} milliohm, and the wire alone has up to {own * 1000:.2g}.",
            field="highest-resistance",
            remedy="Use a thicker or shorter wire, or accept what the wire has.",
        )
