"""Words of missing returns: which terminal is wired to what, and which sensor leads are crossed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from reviewer.analysis.facts import Facts
from reviewer.analysis.paths.loop_leads import LoopLeads
from reviewer.analysis.paths.missing_returns import MissingReturn
from reviewer.model import parts as p
from reviewer.network.graph import bare
from reviewer.rulebook.changes import strapped
from reviewer.rulebook.numbers import and_list
from reviewer.rulebook.rule import Unmet


def terminals(part: Any) -> tuple[str, ...]:
    """The terminals of the return of a load, coil, sensor or source."""
    if isinstance(part, p.Consumer | p.Electromagnet):
        return part.returns if isinstance(part, p.Consumer) else part.coil
    if isinstance(part, p.Sensor):
        return ("return",)
    if isinstance(part, p.Converter):
        return ("output-return" if part.isolated else "ground",)
    return ("ground" if isinstance(part, p.Alternator) else "negative",)


def changes(name: str, missing: MissingReturn, facts: Facts) -> tuple[str, ...]:
    """That the ground at which a return ends is strapped, and that the terminals are wired, where no terminal
    of the return is."""
    wired = (facts.network.wired(f"{name}.{t}") for t in terminals(facts.design.parts[name]))
    connected = () if any(wired) else (f"parts/{name}/connection",)
    return (*strapped(facts.design, missing.path[-1]), *connected)


def remedy(name: str, terminals: Sequence[str], missing: MissingReturn, facts: Facts) -> str:
    """Which terminal of a load or source is wired to what; where its case may be the return, that too, and
    which structure conducts if it is metal."""
    mend = _wired(name, terminals, missing, facts)
    if frame := facts.paths.unsaid_structure(missing):
        metal = f"Where {frame} is metal, as an engine is, write `material: metal` for it."
        return f"{mend or 'Wire the return.'} {metal}"
    return mend


def _wired(name: str, terminals: Sequence[str], missing: MissingReturn, facts: Facts) -> str:
    part, own = facts.design.parts[name], missing.sources == (f"parts/{name}",)
    if isinstance(part, p.Electromagnet | p.Sensor):
        return ""  # it is said which lead, or returns to what reads it
    batteries = [bare(s) for s in missing.sources if bare(s) in facts.design.of_kind(p.Battery)]
    negative = " or ".join(f"{battery}.negative" for battery in batteries)
    home = (
        "the ground of what it feeds" if own or not negative else f"{negative} or a ground that leads there"
    )
    if missing.path[1:]:
        end = missing.path[-1]
        return f"Wire {'the end of ' if end.startswith('wires/') else ''}{bare(end)} to {home}."
    case = ", or state with `mounted-on` which conducting terminal its case is bolted to"
    return f"Wire {name}.{terminals[0]} to {home}{case if hasattr(part, 'mounted_on') else ''}."


def crossed_sensor(name: str, state: str, facts: Facts) -> Unmet | None:
    """The finding on a part, by name, that is such a sensor; None for any other."""
    at = facts.paths.crossed_sensor(name) if isinstance(facts.design.parts[name], p.Sensor) else None
    if at is None:
        return None
    pair = tuple(n for n in facts.design.of_kind(p.Sensor) if n in (name, at.other))
    move = (
        f"Move the signal lead of {name} to {at.own_signal}, or its return to the return of {at.signal_at}."
    )
    return Unmet(
        f"{name} has crossed leads: its signal at {at.signal_at}, its return at {at.return_at}.",
        state=state,
        elements=tuple(f"parts/{n}" for n in pair),
        numbers=(("signal at", at.signal_at), ("return at", at.return_at)),
        changes=(f"parts/{pair[0]}/return",),
        remedy=f"Exchange the signal leads of {and_list(pair)}." if at.other else move,
    )


def loop_changes(leads: LoopLeads) -> tuple[str, ...]:
    """What opens a ground loop of a signal return and takes no load its return."""
    if leads.cased or leads.removable:
        spare = sorted(leads.removable)
        return (*(f"wires/{n}/isolation" for n in spare), *(f"parts/{n}/second" for n in leads.cased))
    return tuple(f"parts/{load}/return" for load in sorted(leads.misplaced))


def loop_remedy(wire: str, leads: LoopLeads) -> str:
    """Which lead of a ground loop may be left off, and never one by which a load returns."""
    insulated = and_list(f"{sensor} from {body}" for sensor, body in leads.cased.items())
    if insulated and wire in leads.removable:
        return f"Insulate {insulated}, or leave {wire} off and use the case ground; one of the two, not both."
    if insulated:
        return f"Insulate {insulated}. Keep {wire}: a load returns by it."
    if leads.removable:
        return f"Leave {leads.removable[0]} off; no load returns by it, and the other leads stay."
    if leads.misplaced:
        moved = sorted(leads.misplaced.values())
        ends = and_list(f"{lead} from {at}" for lead, at in moved)
        return f"Move {ends} to a ground block or structure. Leave no lead off: loads return by them."
    return (
        f"Keep {wire}: a load returns by it. Give the sensors a return that carries no supply current, "
        "or end the leads of this loop at one ground block."
    )
