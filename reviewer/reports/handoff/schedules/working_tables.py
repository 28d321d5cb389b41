"""What the system does: the switch positions and what lives in each state, the effects of failures, placards and checklists."""

from __future__ import annotations

from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.review import Review
from reviewer.network.graph import bare
from reviewer.questions.effects import EffectsTable
from reviewer.reports.effects.table import COLUMNS, cells
from reviewer.reports.handoff.schedules.table import Cell, Table, names
from reviewer.reports.wording import counted

#: what a cell of the truth table says of something that gets no power, and of something that is fed but has no way back
OFF, DEAD, NO_RETURN = "off", "dead", "fed, no return"


def switch_states(facts: Facts) -> Table:
    """For each state the position of each switch, then each bus, load and relay with the sources that feed it."""
    states = tuple(facts.states.declared) if facts.design.operation else ()
    answers = [facts.states.answer(s) for s in states]
    rows: list[tuple[Cell, ...]] = (
        [("engine", "", *(a.state.engine for a in answers)), ("use", "", *(a.state.use for a in answers))]
        if answers
        else []
    )
    switches = dict.fromkeys(s for a in answers for s in a.state.switches)
    rows += [(s, "switch", *(a.state.switches.get(s, "") for a in answers)) for s in switches]
    pulled = dict.fromkeys(q for a in answers for q in a.state.pulled)
    rows += [(q, "protector", *("pulled" if q in a.state.pulled else "in" for a in answers)) for q in pulled]
    network = facts.network
    for name in facts.design.of_kind(p.Bus) if answers else ():
        node = network.index.get(name)
        rows.append(
            (
                name,
                "bus",
                *(names(map(bare, a.fed_by(node))) or DEAD if node is not None else DEAD for a in answers),
            )
        )
    for coil in network.coils if answers else ():
        rows.append(
            (
                bare(coil.element),
                "coil",
                *("pulled in" if a.healthy.energised[coil.element] else "at rest" for a in answers),
            )
        )
    for consumer in network.consumers if answers else ():
        name = bare(consumer.element)
        rows.append((name, facts.design.parts[name].kind, *(_powered(a, consumer) for a in answers)))
    about = "For each declared state the position of every switch, then what feeds each bus and each load that works."
    return Table(
        "switch-states", "Switch states and what lives in them", about, ("name", "kind", *states), tuple(rows)
    )


def _powered(answer, consumer) -> str:
    """The sources that power a consumer in the healthy state."""
    found, fed = [], False
    for source, reach in answer.healthy.fed.items():
        feeds = any(reach[n] for n in consumer.plus)
        fed |= feeds
        if feeds and any(answer.healthy.returned[source][n] for n in consumer.minus):
            found.append(bare(source))
    return names(found) or (NO_RETURN if fed else OFF)


def failure_effects(facts: Facts, effects: EffectsTable | None) -> Table:
    """What every single failure does in the dispatch state."""
    rows = tuple(cells(facts.design, effect) for effect in effects.effects) if effects else ()
    about = f"{counted(len(rows), 'failure')}, one at a time, in the state {effects.state if effects else '(none declared)'}."
    return Table(
        "failure-effects",
        "Failure effects",
        f"{about} Shorts are cleared by the nearest protectors.",
        COLUMNS,
        rows,
    )


def switch_words(switches) -> str:
    """``master on, pump off``."""
    return names(f"{s} {at}" for s, at in switches.items())


def placards(facts: Facts) -> Table:
    """The words on switches and protectors, then the moves of the crew and the checks, each tied to what it does."""
    columns = ("kind", "words", "where or when", "part or state", "what it does")
    rows: list[tuple[Cell, ...]] = []
    for name, part in facts.design.parts.items():
        if isinstance(part, (p.Switch, p.BreakerSwitch)):
            at = " / ".join(part.positions) if isinstance(part, p.Switch) else "off / on"
            rows.append(("switch label", part.label or "", part.zone or "", name, at))
            if placard := getattr(part, "placard", None):
                rows.append(("placard", placard, "beside the switch", name, ""))
        elif isinstance(part, p.Protector):
            rating = f" {part.rating:g} A" if part.rating else ""
            rows.append(("protector label", (part.label or "") + rating, part.zone or "", name, ""))
    operation = facts.design.operation
    for name, action in operation.actions.items() if operation else ():
        does = "; ".join(
            filter(
                None,
                (
                    f"restores {names(getattr(action, 'restores', ()))}"
                    if getattr(action, "restores", ())
                    else "",
                    f"disconnects {names(getattr(action, 'disconnects', ()))}"
                    if getattr(action, "disconnects", ())
                    else "",
                ),
            )
        )
        after = names(getattr(action, "after", ()))
        rows.append(
            (
                "action",
                action.label or name,
                f"after failure of {after}" if after else "after a failure",
                switch_words(action.move),
                does or (action.note or ""),
            )
        )
    for name, check in facts.design.watch.checks.items():
        rows.append(
            (
                "check",
                check.expect,
                "before flight",
                f"{name}, in {check.state}",
                f"look at {names(check.watch)}",
            )
        )
    about = "Every label that the design asks for, and the lines of the checklists with the switches that they move."
    return Table("placards-and-checklists", "Placards and checklists", about, columns, tuple(rows))


def concessions(review: Review, declared) -> Table:
    """Who accepted what and why, and which of it matches no finding."""
    idle = {id(c) for c in review.unmatched} | {
        (c.rule, c.subject, c.state, c.reason) for c in review.unmatched
    }
    rows = tuple(
        (
            c.rule,
            c.subject,
            c.state or "",
            c.reason,
            c.by,
            c.on.isoformat(),
            "matches no finding" if (c.rule, c.subject, c.state, c.reason) in idle else "accepts a finding",
        )
        for c in declared
    )
    return Table(
        "concessions",
        "Concessions",
        "Findings that somebody accepts; each stays in every report.",
        ("rule", "subject", "state", "reason", "accepted by", "on", "standing"),
        rows,
    )
