"""A flap, trim or gear motor that runs on with stuck contacts can be stopped by one move.

Why: a relay or switch that sticks drives the trim to its stop within seconds. The pilot then needs
one breaker or switch that stops the motor, without loss of anything else that is needed.

How judged: each motor that is off in the normal state, and that runs both ways (`reversible`, or
reversed by relays) or while a switch is held. There the contacts of each relay stick in either
position, and each switch at each other position, one at a time. Where the motor then runs, some
single move must stop it: another switch, a breaker pulled, or a declared action. A breaker
accessible on the ground only does not count. Nor does a move that loses a function of major or
worse loss, such as the master; one that needs the motor itself may be lost.

Not covered: fuses pulled; a motor that one switch turns on and off, such as a fan; two devices that
stick at once. Nor is how far the motor runs before it is stopped, and whether the breaker is
marked.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, and_list, bare, few

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "on when not wanted"
CITATIONS = (("practice", "a trim motor that runs on is stopped by a breaker or switch in reach"),)
REMEDY = "Feed the motor through a breaker of its own that is accessible in flight, or a switch in series."


def subjects(facts: Facts):
    return tuple(facts.switches.unstopped_motors) if facts.states.declared else ()


def judge(subject: Subject, facts: Facts):
    found = facts.switches.unstopped_motors[subject.pointer]
    never = [one for one in found if not one.unreached]
    if never:
        first = never[0]
        stuck = list(dict.fromkeys(bare(one.failure.element) for one in never))
        stuck_at = few(stuck) if len(stuck) == 1 else f"any of {few(stuck)}"
        yield Unmet(
            f"{subject.name} runs on with stuck contacts of {stuck_at}: no single move stops it in "
            "flight without loss of another function.",
            state=first.state,
            failure=f"{stuck[0]} {first.failure.words(facts.network)}",
            path=(first.failure.element, subject.pointer),
            numbers=(("stuck contacts that run it", ", ".join(stuck)),),
        )
    elif found:
        breakers = and_list(sorted({breaker for one in found for breaker in one.unreached}))
        raise NotAssessable(f"`accessible` of {breakers}, which would stop {subject.name}")
