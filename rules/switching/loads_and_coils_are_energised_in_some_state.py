"""Each load and each coil is energised in some state, and the starter where the engine is cranked.

Why: a relay whose coil is fed from its own contact never picks up, and a contactor that never picks
up leaves a battery or a starter without use. The drawing looks complete.

How judged: each load, instrument and coil, from cold, in each declared state with up to two
switches moved, spring-return ones among them. The engine is running and stopped, external power
connected and absent, breakers closed. It is judged too after each opening in a declared state and,
where the switches that can matter are few, in all their combinations with each source lost. What
nothing energises is a finding, once for what is dead behind the same relay or on the same
conductors. A starter without power in a state of `engine: cranking` is a finding if the state holds
its switch at a spring-return position, or none of its switches has one. So is a reversible motor
that runs one way in a declared state and the other in none. Hazard: that of a function lost with
the dead loads; major if one is a channel of a hazardous or catastrophic function.

Not covered: files at the concept stage; voltage; what is in series with another load or coil; what
has no wire or no return (other rules).
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, and_list, bare, miswired, parts

HAZARD, CONSEQUENCE = HazardClass.MINOR, "not there when wanted"
CITATIONS = (("practice", "what is drawn works in some position of the switches"),)
REMEDY = "Feed it from the source side of the contacts, and complete its circuit, for a motor both ways."
TRIED = "in any declared state, nor with one or two switches moved"


def subjects(facts: Facts):
    if facts.design.aircraft.stage == "concept" or not facts.states.declared:
        return []
    return [f"parts/{n}" for n in facts.design.of_kind((parts.Consumer, parts.Electromagnet))]


def judge(subject: Subject, facts: Facts):
    name, dead = subject.name, facts.switches.never_energised.dead
    if subject.pointer in dead and not any(_adrift(n, facts) for n in facts.design.parts):
        told = frozenset(e for e in dead if _told(e, facts))
        for reason in facts.switches.never_energised.reasons(told):
            if reason.element == subject.pointer:
                also = ", ".join(map(bare, reason.also))
                coil = isinstance(subject.part(facts.design), parts.Electromagnet)
                what = "does not pick up" if coil else "has no power"
                yield Unmet(
                    f"{miswired(facts, subject.pointer)}{name} {what} {TRIED}"
                    f"{f'; without power because of it: {also}' if also else ''}.",
                    numbers=(("without power because of it", also),) if also else (),
                    hazard=_hazard((name, *map(bare, reason.also)), facts),
                )
    if end := facts.switches.one_way_motors.get(subject.pointer):
        yield Unmet(f"{name} runs one way only: no current enters at {end} {TRIED}.")
    states = [state for starter, state in facts.switches.dead_starters if starter == subject.pointer]
    if states and subject.pointer not in dead:
        yield Unmet(
            f"{name} has no power in {and_list(states)}, in which the engine is cranked.",
            state=states[0],
        )


def _adrift(name: str, facts: Facts) -> bool:
    """Whether a source has no return, which another rule reports."""
    source = isinstance(facts.design.parts[name], (parts.Battery, parts.ExternalPower))
    return source and facts.paths.missing_return(f"parts/{name}") is not None


def _told(element: str, facts: Facts) -> bool:
    """Whether another rule says that a load or coil has no wire or no return, or it is a spare."""
    name, part = bare(element), facts.design.parts[bare(element)]
    coil = isinstance(part, parts.Electromagnet)
    ends = [[t] for t in part.coil] if coil else [part.supplies, *([] if part.mounted_on else [part.returns])]
    wired = all(any(facts.network.wired(f"{name}.{t}") for t in some) for some in ends)
    return not wired or facts.paths.missing_return(element) is not None


def _hazard(dead: tuple[str, ...], facts: Facts) -> HazardClass | None:
    """The worst class of the functions that are lost with some dead parts."""
    functions = facts.design.functions
    lost = [HazardClass.of(functions[f].loss) for f in functions if facts.states.lost_with(f, dead)]
    critical = facts.states.critical_functions if functions else ()
    channel = any(name in facts.states.loads_of(f) for f in critical for name in dead)
    return max([*lost, *([HazardClass.MAJOR] if channel else [])], default=None)
