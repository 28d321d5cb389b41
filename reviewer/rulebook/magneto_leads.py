"""Ways to ground a magneto that is not, as a trial makes them: a lead that is missing or ends elsewhere."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.rulebook.crossed_leads import crossed, exchanges
from reviewer.rulebook.trial_repairs import (
    Change,
    oriented,
    part_of,
    parted,
    short_lead,
    unused_name,
    wires_at,
)


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
    loose = _loose_terminals(facts)
    hot = {one.magneto for one in facts.detection.ungrounded_magnetos}
    others_too = [name for name in sorted(leads) if name not in hot]
    near = [terminal for terminal in loose if own is None or part_of(terminal) == part_of(own[1])]
    if own is None:
        name = unused_name(design, f"{magneto} lead")
        yield from (Change(wires={name: short_lead(design, like[0], post, end)}) for end in near)
    yield from _switch_grounds(magneto, facts)
    yield from exchanges(magneto, facts, sorted(hot))
    if own is not None:
        yield from (Change({own[0]: {own[1]: end}}) for end in loose if end not in near)
    yield from exchanges(magneto, facts, others_too)


def freed(magneto: str, path: Sequence[str], facts: Facts) -> Iterator[Change]:
    """The lead by which the ignition switch is fed moved to the magneto's ground, then each wire of a path by
    which a source feeds a p-lead taken off at its end towards the magneto, the nearest to that first; what
    that leaves ungrounded is another matter."""
    run = list(reversed(oriented(path, facts.design)))
    ends = {part_of(end) for _, end in wires_at(facts.design, f"{magneto}.p-lead")}
    for wire, near, end in run:
        if part_of(end) in ends and part_of(near) != magneto:
            yield Change({wire: {near: f"{magneto}.ground"}})
    for wire, _, end in run:
        yield parted(wire, end, facts.design)


def crossed_behind_ground(magneto: str, facts: Facts) -> tuple[Change, tuple[str, ...]] | None:
    """The exchange of two leads that is right once the switch of a magneto (a name) has the ground that it
    lacks, and the states in which the magneto fires with that ground alone; None where there is none."""
    for change in _switch_grounds(magneto, facts):
        with Facts(change.made_in(facts.as_written)) as after:
            left = next((m.states for m in after.detection.ungrounded_magnetos if m.magneto == magneto), ())
            if left and (exchange := crossed(magneto, after)):
                return exchange, left
    return None


def _switch_grounds(magneto: str, facts: Facts) -> Iterator[Change]:
    """A ground at a terminal on which nothing is of the switch to which a magneto's lead goes."""
    design = facts.design
    own = min(wires_at(design, f"{magneto}.p-lead"), default=None)
    if own is None:
        return
    name = unused_name(design, f"{magneto} lead")
    for end in _loose_terminals(facts):
        if part_of(end) == part_of(own[1]):
            yield Change(wires={name: short_lead(design, own[0], end, f"{magneto}.ground")})


def _loose_terminals(facts: Facts) -> list[str]:
    """The terminals of hand switches on which nothing is."""
    design = facts.design
    return sorted(
        f"{switch}.{terminal}"
        for switch in design.hand_switches
        for terminal in design.parts[switch].terminals()
        if not any(wires_at(design, f"{switch}.{terminal}"))
    )
