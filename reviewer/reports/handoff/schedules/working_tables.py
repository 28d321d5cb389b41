"""Schedules of what the system does: switch states, failure effects, placards, concessions."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from reviewer.model import parts as p
from reviewer.model.design import Action, Concession, Design
from reviewer.model.quantity_words import quantity
from reviewer.model.review import Review
from reviewer.questions.effects import Effect, EffectsTable
from reviewer.questions.powered_equipment import LoadSupply, PoweredState
from reviewer.reports.effects import words as effect_words
from reviewer.reports.handoff.schedules.schedule import Cell, Schedule, names
from reviewer.reports.wording import counted

#: a load without power, a bus that nothing feeds, and a load that is fed and has no return path
OFF, DEAD, NO_RETURN = "off", "dead", "fed, no return"


def switch_states(
    design: Design, states: Sequence[PoweredState], words: Callable[[Sequence[str]], str] = names
) -> Schedule:
    """For each state the position of each switch, then what feeds each bus, coil and load.

    ``words`` writes the names of sources.
    """
    columns = ("name", "kind", *(s.state.name for s in states))
    about = (
        "For each declared state the position of every switch, then the sources that feed each bus and each "
        "load that works."
    )
    title = "Switch states and powered equipment"
    rows = tuple(_state_rows(design, states, words)) if states else ()
    return Schedule("switch-states", title, about, columns, rows, head=2)


def _state_rows(
    design: Design, states: Sequence[PoweredState], words: Callable[[Sequence[str]], str]
) -> Iterator[tuple[Cell, ...]]:
    def each(ask: Callable[[PoweredState], str]) -> tuple[str, ...]:
        return tuple(map(ask, states))

    if design.has_engine:
        yield "engine", "", *each(lambda s: s.state.engine)
    yield "use", "", *each(lambda s: s.state.use)
    if design.made:
        yield "made", "", *each(lambda s: design.made.get(s.state.name, "declared"))
    for name in dict.fromkeys(n for s in states for n in s.switches):
        # of units that their own switch turns off a state names those that are off
        kind = "switch" if isinstance(design.parts[name], p.Switch | p.BreakerSwitch) else "own switch"
        yield name, kind, *(s.switches.get(name, "on") for s in states)
    for name in dict.fromkeys(n for s in states for n in s.state.pulled):
        yield name, design.parts[name].kind, *("pulled" if name in s.state.pulled else "in" for s in states)
    for name in dict.fromkeys(n for s in states for n in s.state.outputs_on):
        yield name, "output", *("on" if name in s.state.outputs_on else "off" for s in states)
    for name in states[0].buses:
        yield name, "bus", *(words(s.buses[name]) or DEAD for s in states)
    for name in states[0].coils:
        yield name, "coil", *("energised" if s.coils[name] else "de-energised" for s in states)
    for name in states[0].loads:
        yield name, design.parts[name].kind, *(_supply_words(s.loads[name], words) for s in states)


def _supply_words(supply: LoadSupply, words: Callable[[Sequence[str]], str]) -> str:
    return words(supply.sources) or (NO_RETURN if supply.no_return else OFF)


def failure_effects(design: Design, effects: EffectsTable | None) -> Schedule:
    """What single failures do in the normal state: those that read alike in one row, the worst first."""
    found = tuple(effect_words.alike(design, effects.effects)) if effects else ()
    ranked = sorted(found, key=lambda same: -1 if same[0].hazard is None else same[0].hazard, reverse=True)
    rows = tuple(_alike_row(design, same) for same in ranked)
    state = f"in the normal state, {effects.state}" if effects else "no state is declared"
    about = (
        f"{counted(sum(map(len, found)), 'single failure')}, {state}, those that read alike in one row, the "
        "worst first. A short at a terminal is named by the terminal. Shorts are cleared by the nearest "
        f"circuit protection. {effect_words.INDICATION} `reviewer effects --as csv` has a row for each "
        "failure."
    )
    columns = (
        "failures",
        "what fails",
        "local effect",
        "functions lost",
        "hazard class",
        "indication",
        "remaining redundancy",
    )
    return Schedule("failure-effects", "Failure effects", about, columns, rows)


def _alike_row(design: Design, same: Sequence[Effect]) -> tuple[Cell, ...]:
    local, lost, indication, redundancy = effect_words.effect_cells(design, same[0])
    hazard = same[0].hazard
    return (
        len(same),
        effect_words.failures_words(same),
        local,
        lost,
        hazard.word if hazard is not None else "",
        indication,
        redundancy,
    )


def positions_text(switches: Mapping[str, str]) -> str:
    """``master on, pump off``."""
    return names(f"{s} {at}" for s, at in switches.items())


def placards(design: Design) -> Schedule:
    """The words on switches and circuit protection, then the actions of the crew and the checks."""
    rows: list[tuple[Cell, ...]] = []
    for name, part in design.parts.items():
        if isinstance(part, (p.Switch, p.BreakerSwitch)) and design.by_hand(name):
            at = " / ".join(part.positions) if isinstance(part, p.Switch) else "off / on"
            rows.append((f"{part.kind} label", part.label or "", part.zone or "", name, at))
            if placard := getattr(part, "placard", None):
                rows.append(("placard", placard, "at the switch", name, ""))
        elif isinstance(part, p.Protector):
            rating = quantity(part.rating, "A") if part.rating else ""
            text = " ".join(filter(None, (part.label, rating)))
            rows.append((f"{design.parts[name].kind} label", text, part.zone or "", name, ""))
    for name, action in design.operation.actions.items() if design.operation else ():
        rows.append(_action_row(name, action))
    for name, check in design.watch.checks.items():
        look = f"observe {names(check.watch)}"
        rows.append(("check", check.expect, "before flight", f"{name}, in {check.state}", look))
    about = "Every placard and label of the design, and the checklist items with the switches that they move."
    columns = ("kind", "text", "zone or time", "part or state", "positions or purpose")
    return Schedule("placards-and-checklists", "Placards and checklists", about, columns, tuple(rows))


def _action_row(name: str, action: Action) -> tuple[Cell, ...]:
    purposes = (("restores", action.restores), ("disconnects", action.disconnects))
    purpose = "; ".join(f"{verb} {names(which)}" for verb, which in purposes if which)
    when = (
        f"after failure of {names(action.after_failure_of)}" if action.after_failure_of else "after a failure"
    )
    return "action", action.label or name, when, positions_text(action.move), purpose or action.note or ""


def concessions(review: Review, declared: Sequence[Concession]) -> Schedule:
    """Who accepted what and why, and which of it matches no finding."""
    unmatched = {(c.rule, c.subject, c.state, c.extent, c.reason) for c in review.unmatched}
    rows = tuple(
        (
            c.rule,
            c.subject,
            c.state or "",
            c.extent or "",
            c.reason,
            c.by,
            c.date.isoformat(),
            "no finding"
            if (c.rule, c.subject, c.state, c.extent, c.reason) in unmatched
            else "finding accepted",
        )
        for c in declared
    )
    columns = ("rule", "subject", "state", "extent", "reason", "accepted by", "date", "status")
    about = "Findings that somebody accepts. Each stays in every report."
    return Schedule("concessions", "Concessions", about, columns, rows)
