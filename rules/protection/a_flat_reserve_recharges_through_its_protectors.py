"""A flat reserve recharges without opening the protectors of its charging line.

Why: a reserve that was run down takes tens of amperes when the alternator comes on; the charging fuse opens, and the next flight begins with a reserve that
is never charged.

How judged: for each reserve that an alternator charges, the first current: the regulator's voltage less the drop of the diodes and the voltage of a flat
battery (lead-acid 11.8 V), over the resistance of the battery, of the way and of its return. A protector on that way opens above twice its rating. It is
major where nobody learns of the open protector, else minor.

Not covered: how the current falls within minutes; batteries that limit their charge themselves; diodes, which have a rule of their own.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("practice", "first current (Vcharge - Vdiode - 11.8 V) / R against twice the rating; no source"),
)
REMEDY = "Fit a charger or a resistor that limits the current, or a larger fuse with the wire that it needs; or recharge it on the ground."


def subjects(facts: Facts):
    names = facts.design.of_kind(parts.Battery)
    return [
        f"parts/{n}"
        for n in names
        if facts.design.parts[n].purpose == "reserve" and f"parts/{n}" in facts.sources.charged
    ]


def judge(subject: Subject, facts: Facts):
    charge = facts.protection.first_charge(subject.name)
    if charge is None:
        return
    for name in charge.protectors:
        rating = facts.design.parts[name].rating
        if rating is None:
            raise NotAssessable(f"`rating` of {name}")
        if charge.amps > rating * facts.protection.recharge_multiple:
            yield Unmet(
                f"{charge.battery}, flat at {charge.flat:g} V, takes {charge.amps:.3g} A at first through {name} of {rating:g} A.",
                subject=f"parts/{name}",
                field="rating",
                state=charge.state,
                failure=f"{charge.battery} flat",
                numbers=(
                    ("current", f"{charge.amps:.3g} A"),
                    ("limit", f"{rating * facts.protection.recharge_multiple:g} A"),
                    ("resistance of the loop", f"{charge.ohms:.3g} ohm"),
                    ("drop of diodes", f"{charge.drop:.2g} V"),
                    *facts.protection.typical_on(charge.passed),
                ),
                hazard=HazardClass.MINOR if facts.protection.opening_shows(name) else HAZARD,
            )
