"""Each contact of a switch or relay has the DC rating that its loads need.

Why: a lamp draws ten times its current at first, a motor or coil burns the contact as it opens; an
undersized contact welds or burns out.

How judged: the current of each contact is solved and shared among its loads. That is done in each
declared state, with the loads of each phase flown in it. So it is in the normal state with switches
at positions that no flight or abnormal state sets. It is in a start with one or two switches moved
that takes the starter's current from another battery or through another contact, as a cross-feed
does. Circuit protection on that path ends it. Loads with no other contact between count with the
factor of AC 43.13-1B Table 11-4 for their `type`, or with their `peak` if larger. Where the type is
not stated they are resistances. What the contact only carries counts once, without its peak; that
of a starter counts at every contact in its path. A motor or lamp that only such a position starts
counts with its `peak` where it has no `current`. An excess of 1 % or less is within the rounding of
the currents as they are written (no published source), and no finding. Where an `excluded` entry
prevents a position, the other switch is moved with it. The table is for switches; for relays it is
used by analogy, with a margin of at least 1.25 (common practice, no published source). An AC rating
does not count.

Further ratings of a contact are used where stated. The `make-rating` applies to the inrush of lamps
and motors and to peaks, of a starter at the contact next to it alone. The `inductive-rating`
applies to the opening of coils and motors, at their current. The rest then counts as resistive.
While the engine cranks, a `short-time-rating` replaces the rating.

Not covered: contacts that pass signals alone, switch-rated breakers, altitude, switching frequency,
how long a short-time rating holds, and an automatic switch that no state moves.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, few, parts, quantity, remedy

HAZARD, CONSEQUENCE = HazardClass.MAJOR, "can burn"
CITATIONS = (
    ("ac-43-13-1b", "11-53f and Table 11-4, switch rating by type of load"),
    ("practice", "a relay contact is rated for 1.25 times its load"),
)
REMEDY = "Use a higher DC rating (for a start a `short-time-rating`), or let the switch command a relay."

#: the key of a rating -> how a sentence names it
KIND = {"rating": "", "short-time-rating": " short-time", "make-rating": " to make"}
KIND["inductive-rating"] = " inductive"


def subjects(facts: Facts):
    signals = {element for element, _, _ in facts.switches.signal_contacts}
    of_power = set(facts.switches.power_contacts)
    names = facts.design.of_kind((parts.Switch, parts.Electromagnet))
    return [f"parts/{n}" for n in names if f"parts/{n}" in of_power or f"parts/{n}" not in signals]


def judge(subject: Subject, facts: Facts):
    name, part = subject.name, subject.part(facts.design)
    demands = facts.switches.contact_demands(subject.pointer)
    over = [(d.limit, d) for d in demands if d.limit is not None and d.is_over]
    lacking = [key for d in demands for key in d.need.missing]
    if part.rating is None and (not demands or any(d.limit is None for d in demands)):
        lacking.append(f"`rating` of {name}, for DC")
    missing = next(iter(lacking), facts.switches.unknown_contacts.get(subject.pointer))
    if over:
        declared = [pair for pair in over if not facts.states.undeclared(pair[1].where)]
        limit, worst = max(declared or over, key=lambda pair: pair[1].required / pair[0])
        moved = facts.states.undeclared(worst.where)
        contact = " to ".join(e.partition(".")[2] for e in (worst.need.use.a, worst.need.use.b))
        yield Unmet(
            f"Contact of {name} from {contact} is rated {quantity(limit, 'A')}"
            f"{KIND[worst.key]}; required {quantity(worst.required, 'A', limit)}"
            f"{f' in {worst.where}' if moved else ''}.",
            field=worst.key,
            state="" if moved else worst.state,
            switches=moved,
            numbers=(
                ("required rating", quantity(worst.required, "A")),
                (worst.key.replace("-", " "), quantity(limit, "A")),
                ("in", worst.where),
                ("loads", few(worst.need.loads)),
            ),
            remedy=remedy.contact(worst.key, worst.required, worst.state, subject.pointer, facts),
        )
    elif missing:
        raise NotAssessable(missing)
