"""An isolation diode bears the current, the heat and the reverse voltage of its place.

Why: a diode that fails shorted ties the reserve to the bus that it was to survive, and nothing shows it; one that fails open leaves it uncharged.

How judged: its rating is 1.25 times that of the lowest protector before it, or else no less than its largest current: solved in all that is flown, and the
first current into a flat battery. It blocks twice the highest voltage of the system, which is the over-voltage trip or else the set point. Where its
drop times that current is above 2 W, it has a heat sink.

Not covered: one leg of a bridge counts by its own rating; the size of the heat sink; suppression diodes.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (
    (
        "practice",
        "1.25 times the protector before it, twice the volts of the system, a heat sink above 2 W; no source",
    ),
)
REMEDY = "Fit a diode of a higher rating, and bolt it to a heat sink."


def subjects(facts: Facts):
    names = facts.design.of_kind(parts.Diode)
    return [
        f"parts/{n}" for n in names if facts.design.parts[n].duty != "suppression" and facts.states.declared
    ]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    diode = subject.part(facts.design)
    missing = [
        f"`{key.replace('_', '-')}`" for key in ("rating", "reverse_rating") if getattr(diode, key) is None
    ]
    if missing:
        raise NotAssessable(f"{' and '.join(missing)} of {name}")
    duty = facts.protection.duty_of_diode(name)
    if duty.reverse is None:
        raise NotAssessable("`over-voltage-trip` or `set-point` of an alternator")
    enough = duty.wanted is not None and diode.rating >= duty.wanted * (1 - 1e-9)
    if not enough and diode.rating < duty.amps:
        before = f", and {duty.protector} before it is rated {duty.lowest:g} A" if duty.protector else ""
        yield Unmet(
            f"{name} of {diode.rating:g} A carries {duty.amps:.3g} A {duty.when}{before}.",
            field="rating",
            numbers=(
                ("rating", f"{diode.rating:g} A"),
                ("limit", f"{min(duty.amps, duty.wanted or duty.amps):.3g} A or more"),
            ),
        )
    elif diode.reverse_rating < duty.reverse:
        yield Unmet(
            f"{name} blocks {diode.reverse_rating:g} V; twice {duty.system} is {duty.reverse:g} V.",
            field="reverse-rating",
            numbers=(
                ("reverse rating", f"{diode.reverse_rating:g} V"),
                ("limit", f"{duty.reverse:g} V or more"),
            ),
        )
    elif duty.watts > duty.sink_above and diode.heat_sink is None:
        raise NotAssessable(f"`heat-sink` of {name}, which makes {duty.watts:.2g} W")
    elif duty.watts > duty.sink_above and not diode.heat_sink:
        yield Unmet(
            f"{name} makes {duty.watts:.2g} W of heat at {duty.amps:.3g} A {duty.when}, and has no heat sink.",
            field="heat-sink",
            numbers=(
                ("heat", f"{duty.watts:.2g} W"),
                ("limit without a heat sink", f"{duty.sink_above:g} W"),
            ),
        )
