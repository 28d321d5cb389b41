"""An isolation diode is rated for the current, heat and reverse voltage of its circuit.

Why: a diode that fails shorted parallels the reserve with the bus it must survive, without
indication; one that fails open leaves the reserve uncharged.

How judged: its rating is 1.25 times the lowest breaker, fuse or current limiter ahead of it, or at
least its largest current: solved in all states flown, healthy and with a flat battery that takes
its initial current (lead-acid 11.8 V, lithium where its management disconnects it, else no charge).
Its reverse rating is twice the highest system voltage: the overvoltage trip, else the set point.
Above 2 W (forward drop times current) it has a heat sink.

Not covered: each leg of a bridge counts by its own rating; the size of the heat sink; diodes across
a coil or a supply, whatever duty they are declared to have.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, beside, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (
    (
        "practice",
        "1.25 times the protection ahead of it, twice the system voltage, heat sink above 2 W; no source",
    ),
)
REMEDY = "Fit a diode of a higher rating, and bolt it to a heat sink."


def subjects(facts: Facts):
    names = facts.design.of_kind(parts.Diode) if facts.states.declared else ()
    return [f"parts/{n}" for n in names if not facts.paths.lies_across(n)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    diode = subject.part(facts.design)
    keys = [key for key in ("rating", "reverse_rating") if getattr(diode, key) is None]
    missing = [f"`{key.replace('_', '-')}`" for key in keys]
    if missing:
        raise NotAssessable(f"{' and '.join(missing)} of {name}")
    duty = facts.protection.duty_of_diode(name)
    label = f"{(diode.duty or 'isolation').capitalize()} diode {name}"
    if duty.reverse is None:
        raise NotAssessable("`overvoltage-trip` or `set-point` of an alternator")
    enough = duty.wanted is not None and diode.rating >= duty.wanted * (1 - 1e-9)
    if not enough and diode.rating < duty.amps:
        before = f", protected at {duty.lowest:g} A by {duty.protector}" if duty.protector else ""
        wanted = f"{beside(min(duty.amps, duty.wanted or duty.amps), diode.rating, '.3g')} A"
        yield Unmet(
            f"{label} carries {beside(duty.amps, diode.rating, '.3g')} A {duty.when}{before}; rated "
            f"{diode.rating:g} A, required {wanted}.",
            field="rating",
            numbers=(
                ("current", f"{duty.amps:.3g} A {duty.when}"),
                *((("protected by", f"{duty.protector} at {duty.lowest:g} A"),) if duty.protector else ()),
                ("rating", f"{diode.rating:g} A"),
                ("limit", f"{wanted} or more"),
            ),
        )
    elif diode.reverse_rating < duty.reverse:
        yield Unmet(
            f"{label}: reverse rating {diode.reverse_rating:g} V; required {duty.reverse:g} "
            f"V, twice {duty.system}.",
            field="reverse-rating",
            numbers=(
                ("reverse rating", f"{diode.reverse_rating:g} V"),
                ("limit", f"{duty.reverse:g} V or more"),
            ),
        )
    elif duty.watts > duty.sink_above and diode.heat_sink is None:
        raise NotAssessable(f"`heat-sink` of {name}, which dissipates {duty.watts:.2g} W")
    elif duty.watts > duty.sink_above and not diode.heat_sink:
        yield Unmet(
            f"{label} dissipates {beside(duty.watts, duty.sink_above, '.2g')} W at {duty.amps:.3g} A "
            f"{duty.when}; limit without a heat sink {duty.sink_above:g} W.",
            field="heat-sink",
            numbers=(
                ("dissipation", f"{duty.watts:.2g} W at {duty.amps:.3g} A {duty.when}"),
                ("limit without a heat sink", f"{duty.sink_above:g} W"),
            ),
        )
