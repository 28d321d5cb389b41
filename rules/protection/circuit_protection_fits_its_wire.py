"""No breaker, fuse or current limiter is larger than its wire allows.

Why: circuit protection protects the wire, not the unit behind it; if it is too large the wire burns
first.

How judged: for each device, the wires at the terminal that it feeds in any declared state, or with
a switch at a position that none of them sets, but not the 6 in (0.1524 m) that join it to a source
or bus; its rating against AC 43.13-1B Table 11-3, the breaker column for breakers, the fuse column
for fuses and current limiters. A wire of a size that the table does not print is too thin where
even the next thicker size is, and thick enough where the next thinner one is; between them it is
not assessed. The basis is Table 11-3 only; Table 11-9 has another basis.

Not covered: wires further downstream (another rule), motor circuits with their own thermal
protection.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    bare,
    kind_word,
    parts,
    practice,
)

HAZARD = HazardClass.MAJOR
CITATIONS = (("ac-43-13-1b", "11-48 and Table 11-3"),)
STUB_M = practice("metres", "unprotected-conductor").high
REMEDY = "Fit a smaller breaker or fuse, or a larger wire as far as the next circuit protection."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Protector) if _wires(f"parts/{n}", facts)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    gap: NotAssessable | None = None
    for wire in _wires(subject.pointer, facts):
        try:
            column, row = facts.protection.largest_rating(name, wire)
        except NotAssessable as missing:
            gap = gap or missing
            continue
        if part.rating > row.amps:
            yield Unmet(
                f"{wire} ({facts.design.wires[wire].gauge}) protected at {part.rating:g} A by "
                f"{kind_word(part)} {name}; largest {column} for {row.gauge} {row.amps:g} A.",
                field="rating",
                path=(subject.pointer, f"wires/{wire}"),
                numbers=(
                    ("rating", f"{part.rating:g} A"),
                    (f"{column} limit for {row.gauge}", f"{row.amps:g} A"),
                ),
            )
            return
    if gap is not None:
        raise gap


def _wires(subject: str, facts: Facts) -> list[str]:
    own = bare(subject) + "."
    return [
        bare(w)
        for w, feeds in facts.protection.wire_feeds.items()
        if any(subject in f.protectors and f.end.startswith(own) and not _is_stub(f, feeds) for f in feeds)
    ]


def _is_stub(feed, feeds) -> bool:
    others = (f.run_m for f in feeds if f.end != feed.end)
    return any(run is not None and run <= STUB_M + 1e-9 for run in others)
