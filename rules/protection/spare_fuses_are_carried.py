"""Spare fuses are carried for the fuses that can be replaced in flight.

Why: an accessible fuse holder is useless without a fuse of its rating.

How judged: of each rating of fuse accessible in flight, at least one spare, and one for every two
fitted. The `spares` of a fuse are those of its rating; the largest number given for a rating
counts.

Not covered: fuses not accessible in flight, and the construction of the spares.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts, quantity

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (
    ("cfr-23-1357", "(e), spare fuses: one of each rating or half of those fitted, whichever is more"),
)
REMEDY = "Carry the spares within the pilot's reach."


def subjects(facts: Facts):
    return [
        f"parts/{n}"
        for n in facts.design.of_kind(parts.Fuse)
        if facts.design.parts[n].accessible != "on-ground"
    ]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    missing = [key for key in ("accessible", "rating") if getattr(part, key) is None]
    if missing:
        raise NotAssessable(f"`{missing[0]}` of {name}")
    fuses = [(n, facts.design.parts[n]) for n in facts.design.of_kind(parts.Fuse)]
    alike = [(n, fuse) for n, fuse in fuses if fuse.accessible == "in-flight" and fuse.rating == part.rating]
    if alike[0][0] != name:
        return
    spares = [fuse.spares for _, fuse in alike if fuse.spares is not None]
    if not spares:
        raise NotAssessable(f"`spares` of {name}")
    wanted = max(1, (len(alike) + 1) // 2)
    if max(spares) < wanted:
        yield Unmet(
            f"{quantity(part.rating, 'A')} fuses: {max(spares) or 'no'} spare for {len(alike)} accessible in "
            f"flight; required {wanted}.",
            field="spares" if part.spares is not None else "",
            numbers=(("spares", f"{max(spares)}"), ("required", f"{wanted}")),
        )
