"""No load or capacitor has more than its maximum voltage in any state with nothing failed.

Why: the overvoltage trip guards against a failed regulator only. A 12 V unit on a 24 V system, or a
lamp that does not withstand the charging voltage, is destroyed with every part in order. A
capacitor rated below the bus voltage vents and shorts the bus.

How judged: the voltage across each powered load with a `maximum` and each capacitor with a
`voltage`, solved in each state without cranking. Where batteries, regulator set point and load
currents are not measured, each is at the end of its range that gives the highest voltage. An excess
up to 0.5 % is within what stated volts are good for, and is none.

Not covered: a load or capacitor that does not say it, which the rule on overvoltage asks for; a
failed regulator and spikes.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts, quantity, remedy

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (
    ("cfr-23-1351", "(a)(1), the proper voltage at each essential load"),
    ("practice", "13.8 V to 14.6 V at the battery while charging, over temperature"),
)
REMEDY = (
    "Fit a unit that is rated for the voltage of the system, feed it by a converter, or set the "
    "regulator lower."
)


def subjects(facts: Facts):
    if facts.wires.no_sizes:
        return []
    loads = {n: facts.design.parts[n] for n in facts.design.of_kind(parts.Consumer)}
    rated = [n for n, part in loads.items() if part.maximum is not None]
    fed = [f"parts/{n}" for n in rated if facts.wires.fed_while_running(f"parts/{n}")]
    capacitors = facts.design.of_kind(parts.Capacitor) if facts.wires.steady else ()
    return fed + [f"parts/{n}" for n in capacitors if facts.design.parts[n].voltage is not None]


def judge(subject: Subject, facts: Facts):
    name, capacitor = subject.name, isinstance(subject.part(facts.design), parts.Capacitor)
    high = [h for h in facts.wires.overvoltage_loads if h.load == subject.pointer]
    if not high:
        for flown in facts.wires.steady:
            if lacks := facts.wires.lacking(flown, ()):
                raise NotAssessable(f"{lacks}, for the voltage at the loads")
        return
    worst = max(high, key=lambda h: h.volts)
    yield Unmet(
        f"{name} has up to {quantity(worst.volts, 'V', worst.maximum)} in {worst.flown}; maximum "
        f"{quantity(worst.maximum, 'V')}.",
        field="voltage" if capacitor else "maximum",
        state=worst.flown.state,
        numbers=(
            ("highest voltage", quantity(worst.volts, "V")),
            ("maximum", quantity(worst.maximum, "V")),
            ("voltage with the figures of the file", quantity(worst.figured, "V")),
            *facts.wires.unmeasured(worst.flown),
        ),
        hazard=None if capacitor else facts.wires.hazard_of(subject.pointer, HazardClass.MAJOR),
        remedy=remedy.capacitor(subject.pointer, worst.volts, facts) if capacitor else "",
    )
