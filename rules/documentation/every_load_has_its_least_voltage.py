"""Every load has the lowest voltage at which it works, in every flown state and on a battery at the end of its charge.

Why: what fails when the bus sags is no part, so no list of failures shows it; it fails when it is needed most.

How judged: volts across each live load, solved in each flown state in which the engine does not crank, against its `minimum`; and with every battery held
at 11.0 V at its posts (22.0 V in a 28 V system; or where its management disconnects it, if that is higher) in each state of flight that lives on batteries
alone. Where none of these keeps every bus of the dispatch state alive, in the dispatch state without its alternators too. The class is that of the
functions that the starved loads of the state take together.

Not covered: cranking (rules of their own), and what a load does just above its minimum.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (("cfr-23-1351", "(b), voltage at the loads"), ("practice", "11.0 V at the bus on battery alone"))
REMEDY = "Lose less on its way (wire, contacts, a diode of lower drop), or feed it from nearer the battery."


def subjects(facts: Facts):
    if facts.wires.no_sizes:
        return []
    loads = [
        n
        for n in facts.design.of_kind(parts.Consumer)
        if getattr(facts.design.parts[n], "type", None) != "starter"
    ]
    return [f"parts/{n}" for n in loads if facts.wires.fed_in_steady(f"parts/{n}")]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    if subject.part(facts.design).minimum is None:
        raise NotAssessable(f"`minimum` of {name}: the lowest voltage at which it works")
    low = [s for s in facts.wires.starved if s.load == subject.pointer]
    if not low:
        for flown in facts.wires.steady:
            if lacks := facts.wires.lacking(flown, ()):
                raise NotAssessable(f"{lacks}, to know what the loads have")
        return
    worst = min(low, key=lambda s: (-s.hazard(facts.design), s.volts))
    on = "" if worst.at_posts is None else f" with {worst.at_posts:g} V at the battery"
    yield Unmet(
        f"{name} has {worst.volts:.2f} V in {worst.flown}{on} and works from {worst.minimum:g} V.",
        field="minimum",
        state=worst.flown.state,
        numbers=(
            ("across it", f"{worst.volts:.2f} V"),
            ("minimum", f"{worst.minimum:g} V"),
            *facts.wires.typical_behind(worst.flown, (subject.pointer,)),
        ),
        hazard=worst.hazard(facts.design),
    )
