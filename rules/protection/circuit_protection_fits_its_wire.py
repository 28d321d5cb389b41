"""No breaker, fuse or current limiter is larger than its wire allows.

Why: circuit protection protects the wire, not the unit behind it; if it is too large the wire burns
first.

How judged: the rating of each device against AC 43.13-1B Table 11-3 for the wires at the terminal
that it feeds. Breakers have the breaker column, fuses and current limiters the fuse column. It
feeds a terminal if it does so in any declared state, or in the normal state with a switch at a
position that no state of flight sets. Not judged are the 6 in (0.1524 m) that join it to a source
or bus, or to the next device if that one fits the wire. A wire of a size that the table does not
print is undersized where even the next larger size is, and large enough where the next smaller one
is. Between them it is not assessed. The basis is Table 11-3 only; Table 11-9 has another basis. The
thinnest wire is named; wires behind the device that are no thinner are listed with it. A wire that
a source energises unprotected is reported by every-wire-is-protected-at-each-energised-end. Cables
of a starter need no protection.

Not covered: wires further downstream (another rule), motor circuits with their own thermal
protection.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    kind_word,
    parts,
    practice,
    quantity,
    trade_words,
)

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (("ac-43-13-1b", "11-48 and Table 11-3, breaker and fuse by wire size"),)
STUB_M = practice("metres", "unprotected-conductor").high
REMEDY = "Fit a smaller breaker or fuse, or a larger wire as far as the next circuit protection."


def subjects(facts: Facts):
    devices = facts.design.of_kind(parts.Protector)
    return [f"parts/{n}" for n in devices if facts.protection.thin_wires.at_device(n)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    gap: NotAssessable | None = None
    rows = {}
    for wire in facts.protection.thin_wires.at_device(name):
        try:
            column, rows[wire] = facts.protection.largest_rating(name, wire)
        except NotAssessable as missing:
            gap = gap or missing
    thin = [wire for wire, row in rows.items() if part.rating > row.amps]
    if thin:
        wire = min(thin, key=lambda w: rows[w].amps)
        row = rows[wire]
        alike = facts.protection.thin_wires.alike(name, row.amps)
        yield Unmet(
            f"{wire} ({facts.design.wires[wire].size}) protected at {quantity(part.rating, 'A')} by "
            f"{kind_word(part)} {name}; largest {column} for {row.gauge} {quantity(row.amps, 'A')}.",
            field="rating",
            path=(subject.pointer, f"wires/{wire}"),
            changes=(f"{subject.pointer}/rating", *(f"wires/{w}/gauge" for w in thin if len(thin) == 1)),
            elements=tuple(f"wires/{w}" for w in dict.fromkeys((*thin, *alike))),
            remedy=trade_words.smaller_or_thicker(name, thin, row.amps, facts),
            numbers=(
                ("rating", quantity(part.rating, "A")),
                (f"{column} limit for {row.gauge}", quantity(row.amps, "A")),
                *((("too large as well for", ", ".join(alike)),) if alike else ()),
            ),
        )
    elif gap is not None:
        raise gap
