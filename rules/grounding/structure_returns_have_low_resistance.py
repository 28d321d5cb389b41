"""Loads grounded to metal structure have a low resistance to the ground of their sources.

Why: structure carries returns only as well as its bonds do; one strap across rubber mounts, or a
bond under paint, is in every circuit of that side.

How judged: for each load and instrument bolted to metal structure, or with a return wire to it. The
resistance is that from there to the negative of each source that feeds it in a declared state. It
is that of all return conductors together, as a milliohmmeter would read it; limit 0.005 ohm. A bond
with a `max-resistance` counts as that; a reserve counts for its dedicated loads.

Not covered: loads that return to a ground block (judged by their voltage drop), and joints within
the structure.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    bare,
    exceeds,
    quantity,
    structure_return_ohms,
)

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (("faa-h-8083-32", "chapter 4, return through structure"),)
REMEDY = "Bond the structure to the ground points with a shorter or heavier strap, or a second one."


def subjects(facts: Facts):
    return [] if facts.wires.no_sizes else list(facts.grounds.structure_returns)


def judge(subject: Subject, facts: Facts):
    found, limit = facts.grounds.structure_returns[subject.pointer], structure_return_ohms()
    if exceeds(found.ohms, limit.value):
        name, most = subject.name, limit.value * 1000
        ohms, allowed = quantity(found.ohms * 1000, "milliohm", most), quantity(most, "milliohm")
        body = found.terminal.partition(".")[0]
        back = facts.paths.return_path((found.terminal,), found.source) or ()
        thin = _thin(body, back, found.ohms - limit.value, facts)
        yield Unmet(
            f"{name} is grounded at {found.terminal}, {ohms} from the negative of "
            f"{bare(found.source)}; limit {allowed}.",
            path=(*back, found.source),
            changes=(f"parts/{body}/strap", *(f"{wire}/gauge" for wire in thin)),
            elements=thin,
            numbers=(("resistance", ohms), ("limit", allowed)),
        )
    elif found.missing:
        raise NotAssessable(f"{found.missing}, for the resistance of the returns")


def _thin(body: str, back, excess: float, facts: Facts) -> tuple[str, ...]:
    """The leads in parallel by which a return leaves a body, if they have the excess of resistance (ohm)."""
    wires = facts.design.wires
    first = next((bare(e) for e in back if e.startswith("wires/")), "")
    between = set(wires[first].joined_parts) if first else set()
    beside = [n for n in wires if set(wires[n].joined_parts) == between]
    known = (wires[n].resistance or facts.wires.wire_ohms(n) for n in beside)
    ohms = [one for one in known if one]
    if body not in between or len(ohms) < len(beside):
        return ()
    return tuple(f"wires/{n}" for n in beside) if 1 / sum(1 / r for r in ohms) > excess else ()
