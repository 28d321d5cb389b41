"""Ways to ground a magneto that is not, as a trial makes them: a lead that is missing or ends elsewhere."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.rulebook.crossed_leads import exchanges
from reviewer.rulebook.trial_repairs import Change, part_of, short_lead, unused_name, wires_at


def grounded(magneto: str, facts: Facts) -> Iterator[Change]:
    """A magneto by a p-lead to a terminal of a switch on which nothing is, or by a ground for its switch; by
    one that is exchanged with that of another magneto, those first that are not grounded either."""
    design, post = facts.design, f"{magneto}.p-lead"
    leads = {
        name: min(wires_at(design, f"{name}.p-lead"), default=None) for name in design.of_kind(p.Magneto)
    }
    own = leads[magneto]
    like = own or min((lead for lead in leads.values() if lead), default=None)
    if like is None:
        return
    name = unused_name(design, f"{magneto} lead")
    loose = [
        f"{switch}.{terminal}"
        for switch in design.hand_switches
        for terminal in design.parts[switch].terminals()
        if not any(wires_at(design, f"{switch}.{terminal}"))
    ]
    hot = {one.magneto for one in facts.detection.ungrounded_magnetos}
    others_too = [name for name in sorted(leads) if name not in hot]
    near = [terminal for terminal in sorted(loose) if own is None or part_of(terminal) == part_of(own[1])]
    for terminal in near:
        ends = (post, terminal) if own is None else (terminal, f"{magneto}.ground")
        yield Change(wires={name: short_lead(design, like[0], *ends)})
    yield from exchanges(magneto, facts, sorted(hot))
    if own is not None:
        yield from (Change({own[0]: {own[1]: end}}) for end in sorted(loose) if end not in near)
    yield from exchanges(magneto, facts, others_too)
