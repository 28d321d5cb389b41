"""A bus declared dead in a state is de-energised in it, however the other switches are set.

Why: the smoke drill switches a bus off to remove the fire's supply; a backfeed keeps it burning.

How judged: for each state that lists a bus under `dead`, no live source may reach it by any path.
Nor may one when the state is set after any other, with relays and alternators as they were. Nor may
a load that passes current through the coil of a relay pick the relay up or keep it energised, which
is solved in volts. Then every other switch is set to each position, in every combination that can
be set. The switches that turn the bus off stay: those that differ from the normal state, or else
from the first state in which it is live. One that the bus alone feeds may move. Accepted: a second
feed that a declared state uses with them off, or that a declared action selects to restore a load
on it. Where a switch takes a bus off, a smoke state must be declared.

Not covered: spring-return positions, breakers reset in that state, and leakage into the bus through
a load or a diode inside a relay. Nor are other switches, if no declared state has the bus live.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, parts, quantity

HAZARD, CONSEQUENCE = HazardClass.MAJOR, "on when not wanted"
CITATIONS = (("cfr-23-1361", "(a), each source can be disconnected from the distribution"),)
REMEDY = (
    "Put a diode in the normal feed of the bus, or switch the second feed off with the same switch, "
    "or prevent the combination by an interlock."
)


def subjects(facts: Facts):
    dead = list(dict.fromkeys(bus for state in facts.states.declared.values() for bus in state.dead))
    return [*(["operation"] if facts.design.of_kind(parts.Bus) else []), *(f"parts/{bus}" for bus in dead)]


def judge(subject: Subject, facts: Facts):
    bus, declared = subject.name, facts.states.declared.items()
    if not bus:
        facts.crew.need_dead_buses()
    dead = [name for name, state in declared if bus in state.dead]
    sneaks = [s for name in dead for s in facts.switches.sneaks_in(name) if bus in s.live]
    by_sneak = [s.state for s in sneaks if s.picks_up]
    live = [(n, found) for n in dead if n not in by_sneak and (found := facts.paths.live_path(n, bus))]
    revived = [r for r in facts.switches.revived_buses if r.bus == bus]
    if live:
        (name, (source, path)), *others = live
        yield _energised(facts, bus, name, source, "", path, [n for n, _ in others])
    elif revived:
        one, rest = revived[0], [f"{r.state} after {r.after}" for r in revived[1:]]
        when = f" when {one.state} is set after {one.after}"
        yield _energised(facts, bus, one.state, one.source, when, one.path, rest)
    elif sneaks:
        if (worst := min(sneaks, key=lambda sneak: bool(sneak.missing))).missing:
            raise NotAssessable(worst.missing)
        through, relay = " and ".join(map(bare, worst.through)), bare(worst.relay)
        stays, does = ("is", "picks up") if worst.picks_up else ("stays", "does not drop out")
        yield Unmet(
            f"{bus}, declared dead in {worst.state}, {stays} energised: current through {through} leaves "
            f"{quantity(worst.volts, 'V')} across the coil of {relay}, which {does}.",
            state=worst.state,
            path=worst.path,
            remedy=f"Feed the coil of {relay} and each load from circuits of their own.",
        )
    settings: dict = {}
    for feed in (f for f in facts.paths.live_buses if f.bus == bus):
        settings.setdefault(feed.combination.moved, []).append(feed)
    for positions, feeds in settings.items():
        first, moved = feeds[0], " and ".join(f"{s} at {at}" for s, at in positions)
        states, when = [f.state for f in feeds], f" there with {moved}"
        more = first.combination.switches, f"with {moved} in {', '.join(states)}"
        yield _energised(facts, bus, states[0], first.source, when, first.path, states[1:], *more)


def _energised(facts, bus, state, source, when, path, also, switches=(), extent="") -> Unmet:
    return Unmet(
        f"{bus}, declared dead in {state}, is energised from {bare(source)}{when}.",
        state="" if switches else state,
        path=path,
        changes=("isolation", *((f"{source}/control",) if source in facts.sources.at_work else ())),
        numbers=(("also in", ", ".join(also)),) if also else (),
        switches=switches,
        extent=extent,
    )
