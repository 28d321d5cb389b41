"""Each contact of a switch or relay has the direct-current rating that its loads need.

Why: a lamp takes ten times its current at first, a motor and a coil burn the contact when it opens; a contact that is too small welds or burns out.

How judged: in each declared state, with the figures of each phase flown in it, and with switches at the positions that no state sets, the current of
each contact is solved and shared among the loads that it goes to. What hangs on the contact, with no other contact between, counts with the factor of
AC 43.13-1B Table 11-4 for its `type`, or with its `peak` where that is more; what the contact only carries counts once. The table is printed for
switches; for relays it is used by analogy, with a margin of 1.25 at least (common practice). A rating for alternating current does not count.

Not covered: breakers made as switches, altitude, how often it is switched, and what a contact can make or carry beyond its rating for a short time.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("ac-43-13-1b", "Table 11-4 and 11-53f"),
    ("practice", "a relay contact is rated for 1.25 of its load"),
)
REMEDY = "Use a switch or relay of a higher direct-current rating, or let the switch command a relay."


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
        raise NotAssessable(f"`rating` of {name}, for direct current")
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
            f"The contact of {name} from {contact} needs a rating of {need.amperes:.1f} A and has {rating:g} A.",
            field="rating",
            state=state,
            numbers=(
                ("needed rating", f"{need.amperes:.1f} A"),
                ("limit", f"{rating:g} A"),
                ("in", where),
                (
                    "loads",
                    ", ".join(need.loads[:4])
                    + (f" and {len(need.loads) - 4} more" if len(need.loads) > 4 else ""),
                ),
            ),
        )
