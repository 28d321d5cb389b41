"""No protector is larger than the wire at its terminal may have.

Why: a protector guards the wire, not the box behind it; one that is too large lets the wire burn first.

How judged: for each protector, the wires at the terminal that it feeds in any declared state; its rating against AC 43.13-1B Table 11-3, the breaker
column for breakers, the fuse column for fuses and limiters. The basis is Table 11-3 and no other; Table 11-9 rests on another one.

Not covered: wires further downstream (a rule of their own), motor circuits with thermal protection of their own.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (("ac-43-13-1b", "11-48 and Table 11-3"),)
REMEDY = "Fit a smaller protector, or a larger wire as far as the next protector."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Protector) if _wires(f"parts/{n}", facts)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    for wire in _wires(subject.pointer, facts):
        if part.rating is None:
            raise NotAssessable(f"`rating` of {name}")
        column, limit = facts.protection.largest_rating(name, wire)
        gauge = facts.design.wires[wire].gauge
        if part.rating > limit:
            yield Unmet(
                f"{name} is rated {part.rating:g} A and feeds {wire}, a {gauge} wire that may have {limit:g} A at most.",
                field="rating",
                numbers=(("rating", f"{part.rating:g} A"), (f"{column} limit for {gauge}", f"{limit:g} A")),
            )
            return


def _wires(subject: str, facts: Facts) -> list[str]:
    own = bare(subject) + "."
    feeds = [(w, f) for w, ends in facts.protection.wire_feeds.items() for f in ends]
    return list(dict.fromkeys(bare(w) for w, f in feeds if subject in f.protectors and f.end.startswith(own)))
