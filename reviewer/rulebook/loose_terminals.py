"""A terminal on which nothing is, wired: to another such terminal, to ground, or by a lead that is on
a terminal like it or ahead of its contact."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.review import Finding
from reviewer.network.graph import bare
from reviewer.network.work_count import work_done
from reviewer.rulebook.asked_repairs import TrialRepair
from reviewer.rulebook.rewirings import GROUNDS, nearest_ground
from reviewer.rulebook.trial_repairs import Change, part_of, short_lead, unused_name, wires_at
from reviewer.rulebook.unmet_declarations import unmet_declarations

#: ways that are tried, and changes of which it is solved what they give
_MOST_WAYS, _MOST_SOLVED = 3, 12
#: terminals by which a part returns to ground, by its kind
_RETURNS = ("ground", "negative")
#: those by which a part returns through what it is mounted on
_BY_CASE = ("return", "ground")


def loose_terminal_wired(
    most: float, repair: str, members: tuple[Finding, ...], facts: Facts
) -> TrialRepair | None:
    """A lead to a terminal on which nothing is, of the part that a finding is about.

    With it all is as declared, or is still and a source feeds more and none less; all that has power
    in normal flight has it still. It shows everywhere. Nothing more is solved beyond ``most`` work.
    """
    asking = next((m for m in members if not m.failure and _loose(bare(m.subject), facts)), None)
    if asking is None or not facts.design.operation:
        return None
    before, given, flown = unmet_declarations(facts), _given(facts), _flown(facts)
    found = list[tuple[int, Change]]()
    for number, change in enumerate(_leads(bare(asking.subject), facts)):
        if number >= _MOST_SOLVED or work_done() >= most:
            break
        with Facts(change.made_in(facts.as_written)) as after:
            met, more, spared = not unmet_declarations(after), _given(after), flown <= _flown(after)
        if spared and met and (before or more > given):
            found.append((len(more), change))
    found.sort(key=lambda one: -one[0])
    ways = tuple(change for _, change in found[:_MOST_WAYS])
    others = tuple(m for m in members if m is not asking)
    if not ways:
        return None
    return TrialRepair(repair, None, (asking, *others), ways, equal=True, searched=True)


def _loose(name: str, facts: Facts) -> Sequence[str]:
    """The terminals of a part on which nothing is, but those that the file says are unused."""
    part = facts.design.parts.get(name)
    if part is None:
        return ()
    cased = getattr(part, "returns", _BY_CASE) if getattr(part, "mounted_on", None) else ()
    own = (t for t in part.terminals() if t not in (*part.unused, *part.spare, *cased))
    return [f"{name}.{t}" for t in own if not facts.network.wired(f"{name}.{t}")]


def _leads(name: str, facts: Facts) -> Iterator[Change]:
    """The leads that may belong on a terminal of a part on which nothing is."""
    design = facts.design
    for end in _loose(name, facts):
        like = next(
            (wire for t in design.parts[name].terminals() for wire, _ in wires_at(design, f"{name}.{t}")), ""
        )
        lead = unused_name(design, f"{name} lead")
        if end.rpartition(".")[2] in (*_RETURNS, *getattr(design.parts[name], "returns", ())):
            if near := _ground_of_like(end, design) or nearest_ground(name, design):
                yield Change(wires={lead: short_lead(design, near[0], end, near[1])})
            continue
        yield from (Change({wire: {at: end}}) for wire, at in _on_others(end, design))
        others = (e for other in sorted(design.parts) if like and other != name for e in _loose(other, facts))
        yield from (Change(wires={lead: short_lead(design, like, end, other)}) for other in others)


def _ground_of_like(end: str, design: Design) -> tuple[str, str] | None:
    """A wire from the terminal of that name of a part of the same kind to a ground, and its end there."""
    on = (wire for place in _like(end, design) for wire in wires_at(design, place))
    return next(((wire, far) for wire, far in on if isinstance(design.parts[part_of(far)], GROUNDS)), None)


def _like(end: str, design: Design) -> Sequence[str]:
    """The terminals of the name of one of other parts of the same kind."""
    name, terminal = part_of(end), end.rpartition(".")[2]
    return [
        f"{o}.{terminal}"
        for o, one in design.parts.items()
        if o != name and type(one) is type(design.parts[name])
    ]


def _on_others(end: str, design: Design) -> Iterator[tuple[str, str]]:
    """The wires that may belong on a terminal instead of where they are, each with its end there.

    They are one of several on the terminal of that name of a part of the same kind, on the other side of
    its own contact, or on what that side is wired to.
    """
    name, terminal = part_of(end), end.rpartition(".")[2]
    part = design.parts[name]
    places = [*_like(end, design)]
    if isinstance(part, p.Switch | p.Electromagnet | p.Protector):
        across = [f"{name}.{t}" for t in part.terminals() if t != terminal]
        places += across
        places += [far for own in across for _, far in wires_at(design, own) if far not in places]
    for place in places:
        on = [wire for wire, far in wires_at(design, place) if part_of(far) != name]
        yield from ((wire, place) for wire in on if len(wires_at(design, place)) > 1)


def _flown(facts: Facts) -> set[tuple[str, str]]:
    """Which load or coil has power in which state of normal flight."""
    each = (
        (a.state.name, {**a.healthy.powered, **a.healthy.energised}) for a in facts.states.flight_answers()
    )
    return {(state, user) for state, works in each for user, on in works.items() if on}


def _given(facts: Facts) -> frozenset[tuple[str, str, str]]:
    """Which load or coil has power in which declared state, and which source feeds it there."""
    users = facts.network.users.values()
    return frozenset(
        (answer.state.name, user.element, source)
        for answer in facts.states.answers()
        for user in users
        if answer.healthy.powered.get(user.element) or answer.healthy.energised.get(user.element)
        for source, nodes in answer.healthy.fed.items()
        if any(nodes[node] for node in user.plus)
    )
