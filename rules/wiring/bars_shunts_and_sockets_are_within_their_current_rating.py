"""No bus bar, shunt or external power socket carries more than its rating.

Why: a thin bar, a shunt or a socket has no circuit protection of its own that is sized for it. It
heats its studs and insulators, loosens its nuts, and all that it feeds is lost with it.

How judged: for each of these with a `rating`, and for dimmers, the largest current over the
operating states except cranking. For a bar, all current that enters by its wires; for a shunt or
dimmer, the current through it. For a socket, what the aircraft draws from it, with what the
batteries must deliver besides at its limit.

Not covered: parts without a rating, cranking and peaks of seconds, currents after a failure
elsewhere. Contacts, pins and diodes have rules of their own.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    kind_word,
    made_words,
    over_rated,
    parts,
    quantity,
)

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (("ac-43-13-1b", "11-69, the rating of a part may govern over that of its wire"),)
REMEDY = "Use one of a higher rating, or move loads elsewhere."


def subjects(facts: Facts):
    names = facts.design.of_kind((parts.Bus, parts.Shunt, parts.Dimmer, parts.ExternalPower))
    return [f"parts/{n}" for n in names if facts.design.parts[n].rating is not None]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    load = facts.wires.bar_load(name)
    if load is None:
        return
    if over_rated(load.amperes, part.rating):
        made = "shunts" if isinstance(part, parts.Shunt) else "bars"
        yield Unmet(
            f"Current of {kind_word(part)} {name} {quantity(load.amperes, 'A', part.rating)} in "
            f"{load.flown}; limit {quantity(part.rating, 'A')}.",
            field="rating",
            state=load.flown.state,
            numbers=(
                ("current", quantity(load.amperes, "A", part.rating)),
                ("rating", quantity(part.rating, "A")),
            ),
            remedy=f"Fit {name} of {made_words(made, load.amperes)} or more, or move loads elsewhere.",
        )
    elif lacks := facts.wires.lacking(load.flown, ()):
        raise NotAssessable(f"{lacks}, for the current of {name}")
