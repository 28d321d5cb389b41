"""Every load has its minimum voltage in every operating state and on a nearly discharged battery.

Why: no part fails when the bus sags, so no list of failures shows it; the load fails when it is
needed most.

How judged: the voltage across each powered load, solved in each operating state except cranking,
against its `minimum`. Where batteries, regulator set point, output at idle and load currents are
not measured, each is at the end of its range that gives the lowest voltage. In each flight state on
batteries alone every battery is also held at 11.0 V at its terminals (22.0 V at 28 V). If its
management disconnects it at a higher voltage, that counts. If none of these keeps every bus of the
normal state alive, the normal state without alternators too. The class is that of the functions
that the undervoltage of the state loses together; minor in a state on the ground. A load that is on
in no declared state is not assessed.

Not covered: cranking (other rules), and behaviour just above the minimum.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, parts, quantity, remedy

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "runs short"
CITATIONS = (
    ("cfr-23-1351", "(a)(1), the proper voltage at each essential load"),
    ("practice", "11.0 V at the bus on battery alone"),
)
REMEDY = (
    "Reduce the voltage drop (wire, contacts, a diode of lower drop), or feed the load from nearer the "
    "battery."
)


def subjects(facts: Facts):
    if facts.wires.no_sizes:
        return []
    every = facts.design.of_kind(parts.Consumer)
    loads = [n for n in every if n not in facts.design.starters]
    found, fed = (f"parts/{n}" for n in loads), facts.wires.fed_while_running
    left, dead = facts.wires.on_in_no_state, facts.switches
    return [e for e in found if fed(e) or (left(e) and e not in dead.never_energised.dead)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    if facts.wires.on_in_no_state(subject.pointer):
        raise NotAssessable(facts.states.state_with(name))
    if subject.part(facts.design).minimum is None:
        raise NotAssessable(f"`minimum` of {name}: the lowest voltage at which it works")
    low = [s for s in facts.wires.undervoltage_loads if s.load == subject.pointer]
    if not low:
        for flown in facts.wires.steady:
            if lacks := facts.wires.lacking(flown, ()):
                raise NotAssessable(f"{lacks}, for the voltage at the loads")
        return
    worst = min(low, key=lambda s: (-s.hazard(facts.design), s.volts))
    on = "" if worst.at_posts is None else f" with the battery at {quantity(worst.at_posts, 'V')}"
    has = "has" if worst.figured is None else "may have as little as"
    path = facts.states.path_to(worst.flown.state, subject.pointer) if worst.flown.state else ()
    behind = [n for n in map(bare, path) if n in facts.design.of_kind(parts.Converter)]
    yield Unmet(
        f"{name} {has} {quantity(worst.volts, 'V', worst.minimum)} in {worst.flown}{on}; minimum "
        f"{quantity(worst.minimum, 'V')}.",
        field="minimum",
        state=worst.flown.state,
        elements=path,
        numbers=(
            ("voltage", quantity(worst.volts, "V", worst.minimum)),
            ("minimum", quantity(worst.minimum, "V")),
            *_figured(worst, facts),
            *facts.wires.typical_behind(worst.flown, (subject.pointer,)),
        ),
        hazard=worst.hazard(facts.design),
        remedy=remedy.more_volts(worst, behind),
    )


def _figured(worst, facts: Facts):
    if worst.figured is None:
        return ()
    file = ("voltage with the figures of the file", quantity(worst.figured, "V"))
    return (file, *facts.wires.unmeasured(worst.flown))
