"""Each contact of a switch or relay has the DC rating that its loads need.

Why: a lamp draws ten times its current at first, a motor or coil burns the contact as it opens; an
undersized contact welds or burns out.

How judged: in each declared state, with the figures of each phase flown in it, and with switches at
positions that no state sets, the current of each contact is solved and shared among its loads.
Loads with no other contact between count with the factor of AC 43.13-1B Table 11-4 for their
`type`, or with their `peak` if larger; what the contact only carries counts once. The table is for
switches; for relays it is used by analogy, with a margin of at least 1.25 (common practice). An AC
rating does not count.

Not covered: switch-rated breakers, altitude, switching frequency, and short-time ratings.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, beside, few, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("ac-43-13-1b", "Table 11-4 and 11-53f"),
    ("practice", "a relay contact is rated for 1.25 times its load"),
)
REMEDY = "Use a switch or relay of a higher DC rating, or let the switch command a relay."


def subjects(facts: Facts):
    if not facts.states.declared:
        return []
    signals, of_power = (
        {element for element, _, _ in facts.switches.signal_contacts},
        set(facts.switches.power_contacts),
    )
    names = facts.design.of_kind((parts.Switch, parts.Electromagnet))
    return [f"parts/{n}" for n in names if f"parts/{n}" in of_power or f"parts/{n}" not in signals]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    rating = subject.part(facts.design).rating
    if rating is None:
        raise NotAssessable(f"`rating` of {name}, for DC")
    uses = [
        (where, state, need)
        for where, state, need in facts.switches.contact_uses
        if need.use.element == subject.pointer
    ]
    over = [use for use in uses if use[2].amperes > rating]
    missing = next(
        (key for _, _, need in uses for key in need.missing),
        facts.switches.unknown_contacts.get(subject.pointer),
    )
    if not over and missing:
        raise NotAssessable(missing)
    if over:
        where, state, need = max(over, key=lambda use: use[2].amperes)
        contact = f"{need.use.a.partition('.')[2]} to {need.use.b.partition('.')[2]}"
        yield Unmet(
            f"Contact of {name} from {contact} is rated {rating:g} A; required "
            f"{beside(need.amperes, rating, '.1f')} A.",
            field="rating",
            state=state,
            numbers=(
                ("required rating", f"{need.amperes:.1f} A"),
                ("rating", f"{rating:g} A"),
                ("in", where),
                ("loads", few(need.loads, 4)),
            ),
        )
