"""A generator that excites itself has a cut-out that keeps the batteries off its output.

Why: an alternator has rectifiers, a generator has none. When it turns too slowly, or fails, the
battery drives it as a motor until the battery is flat or the armature burns.

How judged: no battery may feed the output of an alternator with `excitation: self` and get its
current back at its ground. Judged is each declared state with its engine stopped or in which it
works. A cut-out is drawn as a diode in the output, `technology: ideal` for one with contacts.

Not covered: at which current and voltage a cut-out with contacts opens.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare, parts

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "can burn"
CITATIONS = (("cfr-23-1351", "(c)(3), automatic means against reverse current"),)
REMEDY = "Draw the cut-out as a diode in the output of the generator, its anode at the generator."


def subjects(facts: Facts):
    machines = facts.design.of_kind(parts.Alternator) if facts.states.declared else ()
    return [f"parts/{n}" for n in machines if facts.design.parts[n].excitation == "self"]


def judge(subject: Subject, facts: Facts):
    found = facts.sources.driven_in_reverse(subject.pointer)
    if found is not None:
        yield Unmet(
            f"{bare(found.battery)} discharges into {subject.name} when that delivers nothing: no "
            "reverse-current cut-out.",
            state=found.state,
            path=found.path,
            changes=("cut-out",),
        )
