"""An isolation diode is rated for the current, heat and reverse voltage of its circuit.

Why: a diode that fails shorted joins the reserve to its bus; one that fails open leaves it empty.

How judged: its rating is at least 1.25 times that of the smallest breaker, fuse or current limiter
ahead of it, or at least its largest current. It is solved in all operating states without
failures, and where the diode alone feeds a bus that several diodes feed. A flat battery draws its
initial current there (lead-acid 11.8 V, lithium where its management disconnects it, else no
charge). Where an alternator's whole output passes, that counts. Its reverse rating is twice the
overvoltage trip, else twice the set point. Above 2 W it has a heat sink.

Not covered: legs of a bridge as a whole; the heat sink's size; diodes across a coil or a supply.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, exceeds, parts, quantity

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
RATED = "1.25 times the protection ahead of it, twice the system voltage, heat sink above 2 W; no source"
CITATIONS = (("practice", RATED),)
REMEDY = "Fit a diode of a higher rating, and bolt it to a heat sink."


def subjects(facts: Facts):
    names = facts.design.of_kind(parts.Diode) if facts.states.declared else ()
    return [f"parts/{n}" for n in names if not facts.paths.lies_across(n)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    diode = subject.part(facts.design)
    missing = [f"`{k}`" for k in ("rating", "reverse-rating") if getattr(diode, k.replace("-", "_")) is None]
    duty = facts.protection.duty_of_diode(name)
    label = f"{(diode.duty or 'isolation').capitalize()} diode {name}"
    enough = duty.wanted is not None and diode.rating is not None and not exceeds(duty.wanted, diode.rating)
    hot = exceeds(duty.watts, duty.sink_above)
    if diode.rating is not None and not enough and exceeds(duty.amps, diode.rating):
        lowest = "" if duty.lowest is None else quantity(duty.lowest, "A")
        before = f", protected at {lowest} by {duty.protector}" if duty.protector else ""
        wanted = quantity(min(duty.amps, duty.wanted or duty.amps), "A", diode.rating)
        yield Unmet(
            f"{label} carries {quantity(duty.amps, 'A', diode.rating)} {duty.when}{before}; rated "
            f"{quantity(diode.rating, 'A')}, required {wanted}.",
            field="rating",
            remedy=f"Fit a diode rated {wanted} or more{', and bolt it to a heat sink' if hot else ''}.",
            numbers=(
                ("current", f"{quantity(duty.amps, 'A')} {duty.when}"),
                *((("protected by", f"{duty.protector} at {lowest}"),) if duty.protector else ()),
                ("rating", quantity(diode.rating, "A")),
                ("limit", f"{wanted} or more"),
            ),
        )
    elif duty.reverse and diode.reverse_rating and exceeds(duty.reverse, diode.reverse_rating):
        yield Unmet(
            f"{label}: reverse rating {quantity(diode.reverse_rating, 'V')}; required "
            f"{quantity(duty.reverse, 'V')}, twice {duty.system}.",
            field="reverse-rating",
            changes=(f"{subject.pointer}/reverse-rating", *duty.set_by),
            numbers=(
                ("reverse rating", quantity(diode.reverse_rating, "V", duty.reverse)),
                ("limit", f"{quantity(duty.reverse, 'V')} or more"),
            ),
        )
    elif hot and diode.heat_sink is False:
        yield Unmet(
            f"{label} dissipates {quantity(duty.watts, 'W', duty.sink_above)} at {quantity(duty.amps, 'A')} "
            f"{duty.when}; limit without a heat sink {quantity(duty.sink_above, 'W')}.",
            field="heat-sink",
            numbers=(
                ("dissipation", f"{quantity(duty.watts, 'W')} at {quantity(duty.amps, 'A')} {duty.when}"),
                ("limit without a heat sink", quantity(duty.sink_above, "W")),
            ),
        )
    elif missing:
        raise NotAssessable(f"{' and '.join(missing)} of {name}")
    elif duty.reverse is None:
        machine = "an alternator" if facts.design.of_kind(parts.Alternator) else "an alternator or charger"
        raise NotAssessable(f"`overvoltage-trip` or `set-point` of {machine}")
    elif hot and diode.heat_sink is None:
        raise NotAssessable(f"`heat-sink` of {name}, which dissipates {quantity(duty.watts, 'W')}")
