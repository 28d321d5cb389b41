"""No resistor dissipates more power than it is rated for.

Why: a resistor that is too small glows behind the panel, chars what it touches and opens, and what
it feeds is lost. If it charges a reserve nobody notices.

How judged: its resistance times the square of its largest current, solved in all operating states
without failures. A battery that is charged through it is flat (lead-acid 11.8 V, lithium where its
management disconnects it, else no charge).

Not covered: cranking and peaks of seconds, currents after a failure, and derating where the
resistor is mounted hot or enclosed; makers state its power for a certain plate and air.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    made_words,
    over_rated,
    parts,
    quantity,
)

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (("practice", "a resistor dissipates no more than its maker rates it for"),)
REMEDY = "Fit a resistor of more power, mounted where its heat harms nothing."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.FixedResistor)] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    if part.power is None:
        raise NotAssessable(f"`power` of {name}")
    amps, when = facts.protection.most_amps(name)
    watts = amps**2 * part.resistance
    if over_rated(watts, part.power):
        yield Unmet(
            f"Resistor {name} dissipates {quantity(watts, 'W', part.power)} {when}; rated "
            f"{quantity(part.power, 'W')}.",
            field="power",
            numbers=(
                ("current", f"{quantity(amps, 'A')} {when}"),
                ("power", f"{quantity(watts, 'W', part.power)}"),
                ("rating", quantity(part.power, "W")),
            ),
            remedy=f"Fit a resistor of {made_words('resistors', watts)} or more, mounted where its heat "
            "harms nothing.",
        )
