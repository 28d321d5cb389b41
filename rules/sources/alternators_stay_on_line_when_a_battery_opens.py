"""An alternator stays on line when a battery opens.

Why: a terminal, a contactor or the management circuit of a lithium battery can open in flight; if
the field has no other feed, one failure loses both sources.

How judged: in each normal flight state in which the alternator is on line, each battery and each
relay is opened by itself. Without a battery the alternator must still feed a bus or another source;
one that names a `smoothing-capacitor` needs that then. A relay must not disconnect it together with
every bus it fed. If the loads come near its capacity, the voltage without the battery is solved,
and every load must have its `minimum`.

Not covered: the surge at that moment. The loads must then withstand the voltage of the overvoltage
trip, which another rule covers.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare, parts, quantity

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("practice", "the field is fed from the bus that the alternator feeds"),)
REMEDY = (
    "Feed the field from the bus that the alternator feeds, so that it stays excited, or put a second "
    "battery on that bus."
)


def subjects(facts: Facts):
    if not facts.design.operation or not facts.design.of_kind(parts.Battery):
        return []
    return [element for element, states in facts.sources.at_work.items() if states]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    for state, taker, tripped in facts.sources.stopped_by_batteries(subject.pointer):
        what = bare(taker)
        magnets = subject.part(facts.design).magnets
        lacks = "its control or smooths its output" if magnets else "its field"
        ends, remedy = f"nothing else feeds {lacks}", ""
        if magnets:
            remedy = "Feed its control from the bus that it feeds, and fit its smoothing capacitor."
        elif tripped:
            ends = "its regulator senses the battery side and drives it to full field until it trips"
            remedy = "Feed the field, and let the regulator sense, from the bus that the alternator feeds."
        yield Unmet(
            f"{name} is lost if {what} opens: {ends}.",
            state=state,
            failure=f"{what} open",
            remedy=remedy,
        )
        return
    starved = facts.sources.undervoltage_on_battery_loss(subject.pointer)
    if starved:
        first = starved[0]
        what = bare(first.battery)
        loads = dict.fromkeys(
            bare(s.load) for s in starved if (s.battery, s.flown) == (first.battery, first.flown)
        )
        yield Unmet(
            f"{name} alone cannot carry its loads in {first.flown} if {what} opens: undervoltage at "
            f"{', '.join(loads)}.",
            state=first.state,
            failure=f"{what} open",
            elements=tuple(f"parts/{load}" for load in loads),
            numbers=tuple(
                (bare(s.load), f"{quantity(s.volts, 'V')}, minimum {quantity(s.minimum, 'V')}")
                for s in starved
                if s.flown == first.flown
            ),
            remedy=f"Remove load from {name} in {first.state}, or fit an alternator of a higher rating.",
        )
