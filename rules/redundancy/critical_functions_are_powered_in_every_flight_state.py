"""Critical functions are powered in every declared flight state.

Why: the smoke drill, and the state after loss of the alternator, must leave the engine running.

How judged: in each state of use `flight` or `abnormal`, with no failure, as many channels are
powered as the function needs, unless the state lists the function under `without`. Functions of
hazardous or catastrophic loss are judged. A load that an automatic switch keeps off, such as a
horn with the vane of a stall warning, works if it has power once that switch operates. On a
battery inside a unit it works in an `abnormal` state where that lasts for the `endurance` of the
operation. Where it lasts for less, or the state is one of use `flight`, the finding names the unit
and its time. The path ends where the unit loses its supply.

Not covered: how long a battery of the aircraft keeps it powered.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, few, minutes, parts, remedy

HAZARD = HazardClass.CATASTROPHIC
CONSEQUENCE = "not there when wanted"
CITATIONS = (
    ("cfr-23-1165", "(a), a battery ignition has a generator as its alternate source"),
    ("cfr-23-1361", "(b), circuits needed for the engine may stay live"),
)
REMEDY = (
    "Feed the channels from the battery side of what the state switches off, or list the function under "
    "`without`."
)


def subjects(facts: Facts):
    return [f"functions/{f}" for f in facts.states.critical_functions if facts.states.declared]


def judge(subject: Subject, facts: Facts):
    function = subject.name
    for answer in facts.states.answers():
        state = answer.state
        works = answer.alive[function] and state.use != "flight"
        if state.use != "ground" and function not in state.without and not works:
            # a motor that the state feeds in reverse is reported by its own rule
            dark = [n for n in facts.states.units_of(function) if not answer.healthy.powered[f"parts/{n}"]]
            dark = [n for n in dark if f"parts/{n}" not in facts.states.motors_in_reverse(state.name)]
            if not facts.states.lost_with(function, dark) or facts.states.waits_for_its_sensor(
                answer, function
            ):
                continue
            hazard = HazardClass.of(facts.design.functions[function].loss)
            ends = (facts.states.dead_path(state.name, f"parts/{n}") for n in dark)
            path = next(filter(None, ends), ())
            if facts.states.works_for_a_time(answer, function):
                said = _for_a_time(facts, answer, function, dark)
                units = (("units without power", ", ".join(dark)),)
                yield Unmet(said, state=state.name, path=path, numbers=units, hazard=hazard)
                continue
            magnetos = all(isinstance(facts.design.parts[n], parts.Magneto) for n in dark)
            off = "grounded" if magnetos else "not powered"
            yield Unmet(
                f"{function} is {off} in {state.name} with no failure present.",
                state=state.name,
                path=path,
                hazard=hazard,
                remedy=remedy.switches_left(function, dark, state, facts),
            )


def _for_a_time(facts: Facts, answer, function: str, dark: list[str]):
    """What keeps a function on in a state where batteries inside its units do, and for how long."""
    lasts = {n: facts.design.works_on_for(n) for n in dark if not answer.state.is_off(n)}
    inside = few([f"the battery inside {n} ({minutes(s)})" for n, s in lasts.items() if s])
    wanted = facts.states.operation.endurance
    asked = f"; required {minutes(wanted)}" if wanted else ""
    return f"{function} is powered in {answer.state.name} only by {inside}{asked}."
