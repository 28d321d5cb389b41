"""A relay that is switched off drops out, whatever came before.

Why: a backfed bus or a lamp on the coil's switched side can hold a contactor energised, so that the
master switch no longer disconnects the battery.

How judged: each declared state is set after each other one, with no failure: relays and
alternators start as they were. A relay that is de-energised in the state from cold must be so
then. A relay that is meant to latch is reported too: what is powered then depends on the state
before. So is a relay that is switched on and stays energised only because it was so before: its
own contact feeds its coil. Of relays that keep each other energised, those that stay energised by
themselves are named. A load may pass current through a coil that is off. One movement away from a
combination that energises it the volts across the coil are solved, its contacts closed. They must
be below its `dropout-voltage`; without one, below 5 % of nominal; from 50 % it is taken to stay
energised (common practice, no published source).

Not covered: a bus that holds its own relay in combinations that are not declared. Switches that act
on neither the coil nor the loads beside it stay as in the declared states.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, quantity, remedy

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "on when not wanted"
CITATIONS = (
    ("practice", "the coil of a battery contactor is fed from the battery side and switched to ground"),
    ("cfr-23-1361", "(a), disconnecting the sources"),
)
REMEDY = "Feed the coil from the battery side of the contacts and switch its other end to ground."
SENSING = "Use a relay whose dropout voltage is above that of a full battery at rest."
APART = "Feed and return {} apart from the switched side of the coil."
OWN_CONTACT = "Feed the coil from the source that the relay connects, ahead of its contact."


def subjects(facts: Facts):
    return [c.element for c in facts.network.coils] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    held = [h for h in facts.switches.relays_held_energised if h.relay == subject.pointer]
    if held:
        first = min(held, key=lambda h: h.commanded)
        taken = () if first.commanded else facts.switches.holding_wires(held)
        also = [f"{h.state} after {h.after}" for h in held if h is not first]
        yield Unmet(
            f"{subject.name}, switched on, stays energised by {bare(first.source)} when {first.state} is set "
            f"after {first.after}, but does not pick up there once it is de-energised."
            if first.commanded
            else f"{subject.name} does not drop out when {first.state} is set after {first.after}: "
            f"{bare(first.source)} keeps its coil energised.",
            state=first.state,
            path=first.path,
            numbers=(("also in", ", ".join(also)),) if also else (),
            elements=taken,
            changes=tuple(f"{wire}/removal" for wire in taken),
            remedy=OWN_CONTACT if first.commanded else remedy.without_holding_wires(first.relay, taken),
        )
    sneaks = [s for s in facts.switches.sneak_held if s.relay == subject.pointer]
    if sure := [s for s in sneaks if not s.missing]:
        worst = min(sure, key=lambda s: (not s.live, not s.state))
        moved = " and ".join(f"{switch} at {at}" for switch, at in worst.combination.moved)
        when = f"in {worst.state}" if worst.state else f"with {moved}"
        through = " and ".join(bare(e) for e in worst.through)
        current = f"current through {through}" if through else "its own circuit"
        stays = f"; {' and '.join(worst.live)} energised with it" if worst.live else ""
        _, holds = facts.switches.dropout(subject.name)
        volts, limit = quantity(worst.volts, "V", holds), quantity(holds, "V")
        yield Unmet(
            f"{subject.name} does not drop out {when}: {current} "
            f"leaves {volts} across its coil, dropout voltage {limit}{stays}.",
            state=worst.state,
            path=worst.path,
            switches=() if worst.state else worst.combination.switches,
            numbers=(
                *(("coil voltage", volts), ("limit", limit)),
                *((("energised with it", ", ".join(worst.live)),) if worst.live else ()),
            ),
            remedy=APART.format(through) if through else SENSING,
        )
    elif sneaks and not held:
        raise NotAssessable(sneaks[0].missing)
