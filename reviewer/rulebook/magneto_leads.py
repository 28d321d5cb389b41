"""Ways to ground a magneto that is not, as a trial makes them: a lead that is missing or ends elsewhere."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.rulebook.crossed_leads import exchanges
from reviewer.rulebook.trial_repairs import Change, part_of, short_lead, unused_name, wires_at


def grounded(magneto: str, facts: Facts) -> Iterator[Change]:
    """A magneto by another p-lead: to a switch terminal on which nothing is, exchanged with that of another
    magneto, or with a ground for its switch."""
    design, post = facts.design, f"{magneto}.p-lead"
    leads = {
        name: min(wires_at(design, f"{name}.p-lead"), default=None) for name in design.of_kind(p.Magneto)
    }
    own, others = leads[magneto], sorted(lead for n, lead in leads.items() if lead and n != magneto)
    like = own or next(iter(others), None)
    if like is None:
        return
    name = unused_name(design, f"{magneto} lead")
    loose = [
        f"{switch}.{terminal}"
        for switch in design.hand_switches
        for terminal in design.parts[switch].terminals()
        if not any(wires_at(design, f"{switch}.{terminal}"))
    ]
    for terminal in sorted(loose):
        if own is None:
            yield Change(wires={name: short_lead(design, like[0], post, terminal)})
        elif part_of(terminal) == part_of(own[1]):
            yield Change(wires={name: short_lead(design, like[0], terminal, f"{magneto}.ground")})
        else:
            yield Change({own[0]: {own[1]: terminal}})
    hot = {one.magneto for one in facts.detection.ungrounded_magnetos}
    yield from exchanges(magneto, facts, sorted(leads, key=lambda other: (other not in hot, other)))
