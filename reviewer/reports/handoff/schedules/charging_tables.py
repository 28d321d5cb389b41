"""How batteries are charged in flight, and what an alternator that runs away does to the loads."""

from __future__ import annotations

from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.network.graph import bare
from reviewer.reports.handoff.schedules.table import Cell, Table, number

#: digits of volts and amperes
DIGITS = 2


def charging(facts: Facts) -> Table | None:
    """The volts at the posts of each battery that is charged in normal flight, against what it wants, and what it takes when it is flat; None where none is."""
    if facts.design.operation is None or not facts.sources.charged:
        return None
    rows: list[tuple[Cell, ...]] = []
    for battery in facts.sources.charged:
        part = facts.design.parts[bare(battery)]
        try:
            window = facts.sources.window(bare(battery))
            ends = (
                number(window.low, DIGITS),
                number(window.high, DIGITS),
                " and ".join(dict.fromkeys((window.low_basis, window.high_basis))),
            )
            for held in facts.sources.held(battery):
                rows.append(
                    (
                        bare(battery),
                        held.flown,
                        "as in the file",
                        number(held.volts, DIGITS),
                        *ends,
                        number(held.amps, DIGITS),
                        "",
                        "" if held.fills_to is None else round(100 * held.fills_to),
                    )
                )
            flat = facts.sources.recharge(battery, part.charge_limit or 0.0)
            rows.append(
                (
                    bare(battery),
                    flat.flown,
                    f"flat; {flat.basis}",
                    "",
                    "",
                    "",
                    "",
                    number(flat.amps, 1),
                    number(part.charge_limit),
                    "",
                )
            )
        except (NotAssessable, KeyError) as missing:
            needs = missing.needs if isinstance(missing, NotAssessable) else "`chemistry`"
            rows.append(
                (
                    bare(battery),
                    "",
                    f"not solved: needs {needs}",
                    "",
                    "",
                    "",
                    "",
                    "",
                    number(part.charge_limit),
                    "",
                )
            )
    columns = (
        "battery",
        "in",
        "charge",
        "at its posts, V",
        "wants at least, V",
        "at most, V",
        "by",
        "into it, A",
        "may take, A",
        "fills to, %",
    )
    about = "Volts at the posts of each battery that an alternator charges in normal flight, and the current into it, full or as the file says, and flat. Lithium fills to where its rest voltage is what it is charged at."
    return Table("charging", "Charging of the batteries", about, columns, tuple(rows))


def runaways(facts: Facts) -> Table | None:
    """The loads and coils that get more than they endure when a regulator fails full on; None where no alternator is at work."""
    if facts.design.operation is None:
        return None
    rows: list[tuple[Cell, ...]] = []
    for alternator in (a for a, states in facts.sources.at_work.items() if states):
        try:
            ceiling = facts.sources.ceiling(alternator)
            head = (bare(alternator), ceiling.ends, number(ceiling.volts))
            beyond = facts.sources.beyond(alternator, ceiling.volts)
        except NotAssessable as missing:
            rows.append((bare(alternator), "", "", f"not solved: needs {missing.needs}", "", "", ""))
            continue
        if not beyond:
            rows.append((*head, "none of those that say what they endure", "", "", ""))
        for one in beyond:
            rows.append((*head, bare(one.element), one.flown, number(one.volts, 1), number(one.endures)))
        unsaid = dict.fromkeys(n for e in facts.sources.exposed(alternator).values() for n in e.unsaid)
        rows += [(*head, name, "", "", "not stated") for name in unsaid]
    columns = ("alternator", "until", "solved up to, V", "load or coil", "in", "gets, V", "endures, V")
    about = "A regulator that fails full on: the current limit of its alternator holds, its volts go up to the trip, or to what loads and batteries take."
    return Table("runaway", "Alternators that run away", about, columns, tuple(rows)) if rows else None
