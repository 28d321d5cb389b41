"""No pin of a connector carries more than its rating, nor one of a full connector more than the share that is left of it.

Why: a pin that runs hot loosens its spring, runs hotter, and chars the shell and its neighbours; it fails behind a panel long after the first flight.

How judged: the current of each pin in each flown state in which the engine does not crank, against the connector's `pin-rating`; where every pin carries
current at once and there are more than two, against 0.6 of it. Pins in parallel count as one less, since one of them may make no contact. The pair of a
supply and its return is no full connector: that is a choice of ours.

Not covered: tabs and ring terminals, and what the shell and the altitude take off.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("ac-43-13-1b", "11-69, the rating of a contact may govern over that of its wire"),
    ("practice", "0.6 to 0.8 of a pin's rating in a full connector"),
)
REMEDY = "Use a larger contact, or share the current over more pins, one more than is needed."


def subjects(facts: Facts):
    return [] if facts.wires.no_sizes else [f"parts/{n}" for n in facts.design.of_kind(parts.Connector)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    rating = subject.part(facts.design).pin_rating
    loads = facts.wires.pin_loads(name)
    if loads and rating is None:
        raise NotAssessable(f"`pin-rating` of {name}")
    for load in sorted(loads, key=lambda load: -load.weight)[:1]:
        limit = rating * load.factor
        if load.weight > rating * (1 + 1e-9):
            shared = (
                f"Pins {', '.join(load.pins)} of {name} carry {load.amperes:.1f} A together"
                if len(load.pins) > 1
                else ""
            )
            counted = f" that count as {load.shares}" if len(load.pins) > 1 else ""
            yield Unmet(
                f"{shared or f'Pin {load.pins[0]} of {name} carries {load.amperes:.1f} A'} in {load.flown}; {limit:.1f} A a pin are allowed{counted}.",
                field="pin-rating",
                state=load.flown.state,
                numbers=(
                    ("current", f"{load.amperes:.2f} A"),
                    ("pin rating", f"{rating:g} A"),
                    ("factor in a full connector", f"{load.factor:g}"),
                ),
            )
        elif lacks := facts.wires.lacking(load.flown, ()):
            raise NotAssessable(f"{lacks}, to know what the pins carry")
