"""No switch setting leaves an alternator on line without a battery.

Why: without a battery a field regulator lets the voltage swing by volts whenever a load is
switched, and nothing absorbs its surges.

How judged: every legal combination of the switches that matter is set with the engine running and
the alternator as it was. The start is the first normal flight state in which it is on line. In none
may it feed a bus or another source with no battery that can feed back. A reserve behind a diode
does not count; a battery that feeds all that the alternator feeds does, whatever diode is in the
output. A machine that names its `smoothing-capacitor` may run without one, and so may one whose bus
a tie separates from another alternator with a battery, in a split system. Where the aircraft has no
battery at all, each machine must name that capacitor.

Not covered: a battery that opens, which is a failure.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, and_list, parts

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("practice", "a progressive or interlocked master: the battery goes off last"),)
REMEDY = (
    "Switch both with one progressive master, or interlock the switches so that the alternator goes "
    "off with the battery, and declare that under `excluded`."
)


def subjects(facts: Facts):
    if not facts.design.operation:
        return []
    return [element for element, states in facts.sources.at_work.items() if states]


def judge(subject: Subject, facts: Facts):
    if subject.part(facts.design).smoothing_capacitor is not None:
        return
    if not facts.design.of_kind(parts.Battery):
        yield Unmet(
            f"{subject.name} is on line in an aircraft without a battery, and names no smoothing capacitor.",
            state=facts.sources.at_work[subject.pointer][0].state.name,
            remedy="Fit a battery, or the capacitor with which its maker lets it run without one, across "
            "its output, and name that under `smoothing-capacitor`.",
        )
        return
    how = facts.sources.runs_without_battery(subject.pointer)
    if how is None:
        return
    name = subject.name
    moved = and_list(f"{switch} at {at}" for switch, at in how.moved)
    yield Unmet(
        f"{name} stays on line without a battery with {moved}."
        if moved
        else f"{name} is on line without a battery in the normal state.",
        switches=how.switches,
    )
