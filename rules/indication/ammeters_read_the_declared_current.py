"""An ammeter reads the current that it is declared to read.

Why: an ammeter in the alternator lead says nothing of the battery, one in the battery lead nothing
of the alternator, and one that carries charging current is no load meter. A crew that confuses them
takes a failing system for a sound one.

How judged: the reading is solved in every declared state without cranking, and with the alternators
lost; for a load meter also with the main batteries half charged. One that
`indicates: alternator-output` must read the output of one alternator, with `battery-charge` the
current into or out of one battery. With `load` it must never read less than zero, and no more while
they charge. Tolerance 1 A or 5 % (no published source). It reads more than zero where the `signal`
of its input is above the `return`, the low side of the shunt. For two inputs without one the sign
is requested where it decides.

Not covered: gauge error, panel words that say otherwise, and an ammeter in the field circuit.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, quantity

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (
    ("practice", "the placard and the manual state what an ammeter shows"),
    ("ac-43-13-1b", "11-35c, ammeter in the battery lead"),
)
REMEDY = "Move the shunt or its taps, or state to the crew what it shows."
REVERSED = "Swap its two sense leads at the shunt."


def subjects(facts: Facts):
    return (
        [f"watch/monitors/{n}" for n, m in facts.design.watch.monitors.items() if m.shows == "current"]
        if facts.states.declared
        else []
    )


def judge(subject: Subject, facts: Facts):
    name = subject.name
    declared = facts.design.watch.monitors[name].indicates
    if declared is None:
        raise NotAssessable(f"`indicates` of {name}")
    wrong = facts.sources.misread(name, declared)
    if wrong:
        reads = _amps(wrong.reads, quantity(wrong.reads, "A", wrong.actual), wrong.discharges)
        actual = _amps(wrong.actual, quantity(wrong.actual, "A", wrong.reads), wrong.discharges)
        yield Unmet(
            f"Ammeter {name}, declared as {declared.replace('-', ' ')}, reads {reads}; actual {actual} of "
            f"{wrong.of}.",
            field="indicates",
            changes=(f"{subject.pointer}/indicates", f"{subject.pointer}/senses"),
            state=wrong.state,
            remedy=REVERSED if wrong.reversed else REMEDY,
            numbers=(
                ("reading", _amps(wrong.reads, quantity(wrong.reads, "A"), wrong.discharges)),
                (
                    "actual",
                    f"{_amps(wrong.actual, quantity(wrong.actual, 'A'), wrong.discharges)} of {wrong.of}",
                ),
                ("in", wrong.where),
            ),
        )


def _amps(amperes: float, figure: str, discharges: int) -> str:
    """Amperes in words, those of a battery as charge or discharge."""
    if not discharges or figure == "0 A":
        return figure
    flows = "discharge" if amperes * discharges > 0 else "charge"
    return f"{figure.removeprefix('-')} {flows}"
