"""No connector pin carries more than its rating, derated in a full connector.

Why: a hot pin loosens its spring, runs hotter, and chars the shell and its neighbours; it fails
behind a panel long after the first flight.

How judged: the current of each pin in each operating state except cranking, against the connector's
`pin-rating`. If every pin carries current at once and there are more than two, against 0.6 of it.
Parallel pins count as one less, since one may make no contact. A supply and its return alone are no
full connector (no published source). Without a `pin-rating` a pin is reported where it carries more
than any contact with its wire does by a maker's table, else it is not assessed.

Not covered: tabs and ring terminals, and derating by shell and altitude.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, over_rated, parts, quantity

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (
    ("ac-43-13-1b", "11-69, the rating of a contact may govern over that of its wire"),
    ("contact-catalogue", "Table 1, most current by wire size"),
    ("practice", "0.6 to 0.8 of the pin rating in a full connector"),
)
REMEDY = "Use a larger contact, or share the current over more pins, one more than needed."


def subjects(facts: Facts):
    return [] if facts.wires.no_sizes else [f"parts/{n}" for n in facts.design.of_kind(parts.Connector)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    rating = subject.part(facts.design).pin_rating
    loads = facts.wires.pin_loads(name)
    if loads and rating is None:
        beyond = facts.wires.beyond_contact(loads)
        if beyond is None:
            raise NotAssessable(f"`pin-rating` of {name}")
        load, most = beyond
        yield Unmet(
            f"Pin {', '.join(load.pins)} of {name} carries {quantity(load.alone, 'A', most)} in "
            f"{load.flown}; no contact with {load.thickest} wire carries more than {quantity(most, 'A')}.",
            state=load.flown.state,
            numbers=(("current", quantity(load.alone, "A")), ("most of a contact", quantity(most, "A"))),
        )
        return
    for load in sorted(loads, key=lambda load: -load.weight)[:1]:
        limit = rating * load.factor
        if over_rated(load.weight, rating):
            amps = load.amperes / load.shares
            figure, pins = quantity(amps, "A", limit), f"{', '.join(load.pins)} of {name}"
            what = f"Pin {pins} carries {figure} in {load.flown}"
            together = f"{quantity(load.amperes, 'A')} together in {load.flown}"
            if len(load.pins) > 1:
                what = f"Pins {pins} carry {together}, counted as {figure} a pin"
            yield Unmet(
                f"{what}; limit {quantity(limit, 'A', amps)}.",
                field="pin-rating",
                state=load.flown.state,
                numbers=(
                    ("current", quantity(load.amperes, "A")),
                    ("pin rating", quantity(rating, "A")),
                    ("derating in a full connector", f"{load.factor:g}"),
                ),
            )
        elif lacks := facts.wires.lacking(load.flown, ()):
            raise NotAssessable(f"{lacks}, for the current of the pins")
