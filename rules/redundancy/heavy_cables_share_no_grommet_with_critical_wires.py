"""No bulkhead opening carries a heavy cable together with a wire of a critical function.

Why: where a grommet wears through, the heavy cable burns, and the fire cuts the wires that keep the
engine running.

How judged: heavy cables are those between a main battery and the alternators, starters and external
power sockets. Critical wires are those in circuits of loads and instruments of a function of
hazardous or catastrophic loss that no mechanical channel maintains without them. No opening named
in `through` may carry both. A wire that is both, such as an alternator lead that feeds an ignition
directly, does not count.

Not covered: a wire that passes a bulkhead without saying so once others do; how the opening is
lined and sealed.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "can burn"
CITATIONS = (("practice", "heavy cables and engine wires pass the firewall through separate openings"),)
REMEDY = "Route the heavy cable through its own fitting."


def subjects(facts: Facts):
    if not facts.wires.critical_loads:
        return []
    if not facts.grounds.openings and facts.design.aircraft.stage != "concept":
        raise NotAssessable("`through` of the wires that pass a bulkhead")
    return list(
        dict.fromkeys(wire for opening in facts.grounds.openings.values() for wire, _ in opening.heavy)
    )


def judge(subject: Subject, facts: Facts):
    for name, opening in facts.grounds.openings.items():
        served = dict(opening.heavy).get(subject.pointer)
        beside = [(wire, load) for wire, load in opening.critical if wire != subject.pointer]
        if served and beside:
            loads = ", ".join(dict.fromkeys(load for _, load in beside))
            yield Unmet(
                f"{subject.name} ({served} cable) shares the bulkhead opening {name} with wires of {loads}.",
                field="through",
                path=(subject.pointer, *(wire for wire, _ in beside)),
                numbers=(("critical wires", ", ".join(f"{bare(w)} of {load}" for w, load in beside)),),
            )
