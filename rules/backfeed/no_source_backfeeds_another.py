"""No source backfeeds another in any switch combination, nor while a switch moves.

Why: a reserve that feeds the main bus is flat when it is needed, and a shorted battery pulls down
every source paralleled with it.

How judged: a reserve battery must not feed another source, and two main batteries must not feed
each other without a diode. That is tried in each declared state and in every legal combination of
the switches that matter, engine running and stopped. It is tried between neighbouring positions
too, both closed unless declared break-before-make. In normal flight a main battery must not feed
another through diodes either, as it does where one leg of a diode-OR feed has no diode. That is
accepted where it is the only path by which the other is charged, or where the diode `protects` the
other. Accepted: an alternator or external power that charges a battery, one-way charging of a
reserve, and a tie while cranking or while a spring-return position is held. So is a reserve on the
bus of its own alternator, where no main battery is on that bus in the normal state. So is a tie of
two main batteries that abnormal states close, as a cross-feed after the loss of an alternator. A
pre-flight check on the ground alone may close it beside them; a source must charge both batteries
in each. Each pair of sources is a finding, and so is each tie of a pair that remains when the
others are opened. A concession names the extent of one of them: the sources, the parts of the tie,
the states. Where one of these has changed, the finding counts.

Not covered: breakers pulled outside the declared states; two switches in transit at once; one-way
ties outside the declared states of normal flight. Nor is a second tie that shares a wire with the
first and not with its only path.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, and_list, bare, parts

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "not there when wanted"
CITATIONS = (
    ("cfr-23-1351", "(b)(3), failure of one source does not impair the remaining ones"),
    ("cfr-23-1351", "(c)(3), automatic means against reverse current"),
    ("ntsb", "CEN12LA389, one battery drained the other"),
)
REMEDY = (
    "Put an isolation diode in the leg, or change over with a break-before-make switch, or prevent "
    "the combination by an interlock."
)


def subjects(facts: Facts):
    batteries = facts.design.of_kind(parts.Battery)
    return [f"parts/{n}" for n in batteries] if len(batteries) > 1 and facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    ties: dict = {}
    for feed in facts.paths.reverse_feeds:
        if feed.source == subject.pointer:
            tie = tuple(dict.fromkeys(e for e in feed.path if e.startswith("parts/")))
            ties.setdefault((feed.into, tie, feed.combination), []).append(feed)
    for (into, tie, how), feeds in ties.items():
        first, states = feeds[0], list(dict.fromkeys(f.state for f in feeds if f.state))
        also = ", ".join(state for state in states if state != first.state)
        by = ", ".join(bare(e) for e in tie if e not in (subject.pointer, into)) or "a wire"
        both = "; each feeds the other" if any(f.both_ways for f in feeds) else ""
        leg = (
            first.open_leg
            and f" one way: no diode blocks current from {bare(first.open_leg)} to {bare(into)}"
        )
        moved = f" with {and_list(f'{s} at {at}' for s, at in how.moved)}" if how and how.moved else ""
        when = f" while {how.transit}" if how and how.transit else moved
        unsure = how and how.transit and facts.design.parts[how.moving].transfer in (None, "unknown")
        unstated = " (`transfer` not stated)" if unsure else ""
        where = f" in {', '.join(states)}" if states else f"{when}, engine {how.engine}" if how else ""
        # a battery drives no current into an alternator, whose rectifier blocks it, but into its bus
        of = "the bus of " if isinstance(facts.design.part(bare(into)), parts.Alternator) else ""
        yield Unmet(
            f"{subject.name} backfeeds {of}{bare(into)}{when}{unstated}"
            f"{leg if not both else '' if unsure else ', and is backfed by it'}.",
            state=first.state,
            path=first.path,
            elements=(into,),
            changes=("isolation",),
            switches=how.switches if how else (),
            numbers=((("also in", also),) if also else ()) + ((("engine", how.engine),) if how else ()),
            extent=f"into {bare(into)} by {by}{where}{both}",
        )
