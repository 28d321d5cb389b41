"""The lead by which the coil of a relay is fed, moved to the other side of its own contact."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.review import Finding
from reviewer.network.graph import bare
from reviewer.rulebook.rewirings import from_bus
from reviewer.rulebook.trial_repairs import Change, feed_of, part_of, wires_at

#: what a lead from a contact to a bus may pass
_PASSED = (p.Protector, p.Splice, p.Stud, p.Connector, p.Shunt)


def coil_leads(asking: Finding, facts: Facts) -> Iterator[Change]:
    """The lead of a relay's coil moved from the bus on which it hangs to one at the other side of a contact
    of the relay, where the relay does not pick up with that bus lost."""
    design, relay = facts.design, bare(asking.subject)
    part = design.parts.get(relay)
    if not isinstance(part, p.Electromagnet) or not asking.failure:
        return
    way = feed_of(asking.subject, asking.state, facts)
    buses = design.of_kind(p.Bus)
    at = max((i for i, element in enumerate(way) if bare(element) in buses), default=len(way))
    if at + 1 >= len(way):
        return
    hangs_on, begins = bare(way[at]), bare(way[at + 1])
    makes = [contact.joins for contact in part.contacts.values() if isinstance(contact, p.MakeContact)]
    ends = dict.fromkeys(f"{relay}.{terminal}" for joins in makes for terminal in joins)
    reached = dict.fromkeys(bus for end in ends for bus in _buses_at(end, design))
    for bus in reached if hangs_on in reached else ():
        if bus != hangs_on and (change := from_bus(begins, hangs_on, bus, design)):
            yield change


def _buses_at(end: str, design: Design) -> Iterator[str]:
    """The buses to which the wires of a terminal lead, through circuit protection and joints alone."""
    todo, seen = [end], {end}
    for here in todo:
        part = design.parts[part_of(here)]
        plugged = getattr(part, "plugged_on", None)
        if isinstance(part, p.Bus):
            yield part_of(here)
            continue
        if plugged is not None and here != end:
            yield plugged
        further = [far for _, far in wires_at(design, here)]
        if here != end and isinstance(part, _PASSED):
            further += [f"{part_of(here)}.{terminal}" for terminal in part.terminals()]
        fresh = [one for one in dict.fromkeys(further) if one not in seen]
        seen.update(fresh)
        todo += fresh
