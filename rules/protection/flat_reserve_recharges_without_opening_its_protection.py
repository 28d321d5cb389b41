"""A flat reserve recharges without opening the circuit protection of its charging line.

Why: a discharged reserve draws tens of amperes when the alternator comes on line; the charging fuse
opens, and the reserve is never charged again.

How judged: for each reserve that an alternator charges, itself or by a converter, the initial
current, in the state and phase in which it is largest. It is solved in the circuit with its
resistances, diodes, loads and the limit of the alternator. Lead-acid is flat at 11.8 V, lithium
where its management disconnects it, else at no charge; only its own resistance limits its charge at
first. Circuit protection on the path opens above twice its rating. Major if the open device is not
indicated, else minor.

Not covered: how the current falls within minutes; batteries that limit their own charge; diodes,
which have their own rule.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, made_words, minutes, parts, quantity, rated

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (
    ("practice", "initial current into the flat battery against twice the rating"),
    ("practice", "a load that is on for more than 5 min is continuous"),
)
REMEDY = (
    "Fit a charger or a resistor that limits the current, or a larger fuse with the wire for it; or "
    "recharge it on the ground."
)


def subjects(facts: Facts):
    names = facts.design.of_kind(parts.Battery)
    return [
        f"parts/{n}"
        for n in names
        if facts.design.parts[n].purpose == "reserve" and f"parts/{n}" in facts.sources.charged
    ]


def judge(subject: Subject, facts: Facts):
    charge = facts.protection.recharge_inrush_of(subject.name)
    if charge is None:
        return
    for opening in facts.protection.recharge_openings(charge):
        name, limit, seconds = opening.name, opening.limit, opening.seconds
        part = facts.design.parts[name]
        carries = f"{rated(name, part)} carries {quantity(opening.amps, 'A', limit)}"
        recharges = f"while {charge.battery} recharges from flat"
        yield Unmet(
            f"{carries}, above its rating, for {minutes(60 * round(seconds / 60))} {recharges}; limit 5 min."
            if seconds
            else f"{carries} and opens above {quantity(limit, 'A')} {recharges}.",
            subject=f"parts/{name}",
            field="rating",
            changes=(f"parts/{name}/rating", f"parts/{charge.battery}/charge-current"),
            remedy=f"Fit a charger or a resistor that limits the current to {quantity(part.rating, 'A')}, or "
            f"circuit protection of {made_words('amperes', opening.amps)} or more with the wire for it. Or "
            f"recharge {charge.battery} on the ground.",
            state=charge.state,
            elements=tuple(charge.passed),
            failure=f"{charge.battery} flat",
            numbers=(
                ("flat at", quantity(charge.flat, "V")),
                ("initial current", quantity(charge.amps, "A")),
                ("current", quantity(opening.amps, "A", limit)),
                ("limit", quantity(limit, "A")),
                ("resistance of the path", quantity(charge.ohms, "ohm")),
                ("diode drop", quantity(charge.drop, "V")),
                *facts.protection.typical_on(charge.passed),
            ),
            hazard=HazardClass.MINOR if facts.protection.opening_shows(name) else HAZARD,
        )
