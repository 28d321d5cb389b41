"""A starter stops when its switch is released.

Why: a start switch that stays where it is put leaves the starter engaged with the running engine
until somebody thinks of it. One that is left on engages it when the master is switched on.

How judged: in each declared state in which a starter has power, each switch at a `momentary`
position is released, one at a time, the relays as they are. One of them must remove power from the
starter.

Not covered: a switch that sticks, welded contacts (another rule), a starter without `type: starter`
and a pinion that stays engaged without power.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, remedy

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "on when not wanted"
CITATIONS = (("practice", "a start switch returns when it is released"),)
REMEDY = "Use a spring-return start switch, and declare that position `momentary`."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.starters] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    running = facts.switches.unreleased_starter(subject.pointer)
    if running is not None:
        held = facts.switches.held(running.state)
        yield Unmet(
            f"No spring-return switch stops {subject.name} in {running.state}.",
            state=running.state,
            path=facts.states.path_to(running.state, subject.pointer),
            numbers=(("held in this state", ", ".join(held) or "no switch"),),
            elements=running.wires,
            changes=tuple(f"{wire}/removal" for wire in running.wires),
            remedy=remedy.without_holding_wires(running.relay, running.wires),
        )
