"""Each regulator feeds the field of the alternator that it regulates, and of no other.

Why: with two field leads crossed each regulator holds its bus by an alternator that feeds another
bus. It drives that to full field where its own bus is low.

How judged: from the field terminal of each regulator that is a part of its own, wires, connectors,
splices and circuit protection are followed. Where they lead to the field of an alternator, it must
be the one that the regulator `regulates`.

Not covered: a field lead that passes a contact; one that ends nowhere, which leaves its alternator
without output; regulators inside an alternator.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, and_list, parts

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (("practice", "a regulator holds the voltage of the bus that its alternator feeds"),)
REMEDY = "Move the field lead to the alternator that the regulator regulates."


def subjects(facts: Facts):
    return [f"parts/{name}" for name in facts.design.of_kind(parts.Regulator)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    stray = facts.sources.stray_field(name)
    if stray is None:
        return
    own = subject.part(facts.design).regulates
    wires, back = and_list(stray.wires), and_list(stray.own)
    field = f"{stray.alternator}.field"
    yield Unmet(
        f"{name} feeds {field}, and regulates {own}.",
        elements=tuple(f"wires/{wire}" for wire in (*stray.wires, *stray.own)),
        numbers=(("field lead", wires), ("ends at", field), ("regulates", own)),
        remedy=f"Exchange {wires} and {back} at the alternators: {wires} on {own}.field, {back} on {field}."
        if back
        else f"Move {wires} from {field} to {own}.field.",
    )
