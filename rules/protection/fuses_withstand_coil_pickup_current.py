"""A fuse in a coil circuit withstands the pickup current of the coil.

Why: a starter with its solenoid on the motor draws 20 A to 35 A through the start circuit for a
fifth of a second. A small fuse there opens at the first cold start.

How judged: the `pickup-current` of a relay or contactor must stay below 3.4 times the rating of
each fuse that feeds its coil, in the states in which it is energised. At that multiple a blade fuse
was measured to open in 0.15 s (common practice, one measurement of 34 A through 10 A).

Not covered: breakers, for which no shortest opening times are published here; slow-blow fuses;
coils without `pickup-current`.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    made_words,
    parts,
    quantity,
    rated,
)

HAZARD = HazardClass.MINOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (
    (
        "practice",
        "10 A to 15 A for a solenoid on the starter, or a contactor between, which draws 3 A to 5 A",
    ),
)
REMEDY = "Fit a 10 A to 15 A fuse with wire for it, or a contactor that carries the solenoid's current."


def subjects(facts: Facts):
    names = facts.design.of_kind(parts.Electromagnet)
    return (
        [f"parts/{n}" for n in names if facts.design.parts[n].pickup_current is not None]
        if facts.states.declared
        else []
    )


def judge(subject: Subject, facts: Facts):
    name = subject.name
    amps = subject.part(facts.design).pickup_current
    for fuse, state in facts.switches.coil_fuses(name).items():
        rating = facts.design.parts[fuse].rating
        if rating is None:
            raise NotAssessable(f"`rating` of {fuse}")
        above = 1.001 * amps / facts.switches.opens_at_once  # at that rating itself it opens
        if amps >= facts.switches.opens_at_once * rating:
            yield Unmet(
                f"{rated(fuse, facts.design.parts[fuse])} may open: {name} draws {quantity(amps, 'A')} at "
                f"pickup, and the fuse opens from {quantity(facts.switches.opens_at_once * rating, 'A')}.",
                field="rating",
                state=state,
                path=facts.states.path_to(state, subject.pointer, f"parts/{fuse}"),
                numbers=(
                    ("pickup current", quantity(amps, "A")),
                    (
                        "opens from",
                        f"{quantity(facts.switches.opens_at_once * rating, 'A')}, "
                        f"{facts.switches.opens_at_once:g} "
                        "times the rating",
                    ),
                ),
                remedy=f"Fit a fuse of {made_words('amperes', above)} or more with wire for it, or "
                "a contactor that carries the solenoid's current.",
                subject=f"parts/{fuse}",
            )
