"""Spares are carried of the fuses that can be replaced in flight.

Why: a fuse holder in reach is of no use without a fuse of its rating.

How judged: of each rating of fuse that is in reach in flight, one spare at least, and one for every two fuses that are fitted. The `spares` of a fuse are
those of its rating; the largest number given for a rating counts.

Not covered: fuses that cannot be reached in flight, and the construction of the spares.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MINOR
CITATIONS = (
    ("cfr-23-1357", "spare fuses, one of each rating or half of those fitted; from memory, 27.1357(e) read"),
)
REMEDY = "Carry the spares where the pilot reaches them."


def subjects(facts: Facts):
    return [
        f"parts/{n}" for n in facts.design.of_kind(parts.Fuse) if facts.design.parts[n].reach != "on-ground"
    ]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    missing = [key for key in ("reach", "rating") if getattr(part, key) is None]
    if missing:
        raise NotAssessable(f"`{missing[0]}` of {name}")
    fuses = [(n, facts.design.parts[n]) for n in facts.design.of_kind(parts.Fuse)]
    alike = [(n, fuse) for n, fuse in fuses if fuse.reach == "in-flight" and fuse.rating == part.rating]
    if alike[0][0] != name:
        return
    spares = [fuse.spares for _, fuse in alike if fuse.spares is not None]
    if not spares:
        raise NotAssessable(f"`spares` of {name}")
    wanted = max(1, (len(alike) + 1) // 2)
    if max(spares) < wanted:
        yield Unmet(
            f"{max(spares) or 'No'} spare of {part.rating:g} A is carried for {len(alike)} of that rating in reach in flight; {wanted} or more are wanted.",
            field="spares" if part.spares is not None else "",
            numbers=(("spares", f"{max(spares)}"), ("wanted", f"{wanted}")),
        )
