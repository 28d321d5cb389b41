"""A function that does not work in a flight state is listed under `without` there.

Why: a state after a failure is declared to show what is left. Where a function is dead in it and
the list does not say so, a switch is in the wrong position, or the crew counts on what is dead.

How judged: each state of use `flight` or `abnormal`, with no failure. A function whose loss is
minor or major, and that has not as many powered channels as it needs, is listed under `without`.
Not judged: a function that is a channel of another which works there on its other channels, and one
with a load that has no return path, which every-load-has-a-return-path reports. Major where its
loss is. A unit with an `internal-battery` works in the state while that lasts. Loads of `duty:
intermittent`, as flaps, work where one spring-return switch that is held powers them. So do loads
that float, temperature, limit, gear or stall switches keep off: one, several in series, or one for
each channel, as two bilge pumps have. So does a load behind a pressure or flow switch that no state
of flight has in another position: a running engine moves it. Hazardous or catastrophic loss has its
own rule, critical-functions-are-powered-in-every-flight-state.

Not covered: states on the ground; how long a battery keeps a function powered.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet

HAZARD = HazardClass.MINOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("practice", "each line of an emergency checklist states its effect on the system"),)
WORDS = {
    "load": "{} not powered",
    "source": "{} feeding nothing",
    "bus": "{} dead",
    "mechanical": "{} not running",
}
REMEDY = "Set the switches of the state so that the function works, or list it under `without`."


def subjects(facts: Facts):
    if not facts.states.declared:
        return []
    critical = facts.states.critical_functions
    return [
        f"functions/{name}"
        for name, function in facts.design.functions.items()
        if name not in critical and HazardClass.of(function.loss) >= HAZARD
    ]


def judge(subject: Subject, facts: Facts):
    function, off = subject.name, []
    for answer in facts.states.answers():
        state, alive = answer.state, answer.alive
        replaced = any(alive[n] and function in f.of for n, f in facts.design.functions.items())
        declared = state.use == "ground" or function in state.without
        if declared or replaced or facts.states.works_for_a_time(answer, function):
            continue
        if facts.states.works_while_held(answer, function):
            continue
        if not facts.states.waits_for_its_sensor(answer, function):
            off.append(answer)
    if off and not any(facts.paths.missing_return(f"parts/{n}") for n in facts.states.units_of(function)):
        first, also = off[0], [a.state.name for a in off[1:]]
        dead = facts.states.off_channels(first, function)
        yield Unmet(
            f"{function} does not work in {first.state.name}, and is not listed under `without` there: "
            f"{', '.join(WORDS[kind].format(', '.join(names)) for kind, names in dead.items())}.",
            state=first.state.name,
            changes=facts.sources.unexcited(first, dead.get("source", ())),
            numbers=(
                *((WORDS[kind].format(f"{kind}s"), ", ".join(names)) for kind, names in dead.items()),
                *((("also in", ", ".join(also)),) if also else ()),
            ),
            hazard=max(HAZARD, HazardClass.of(facts.design.functions[function].loss)),
        )
