"""Capacitors have the right polarity, and a smoothing capacitor is across its alternator.

Why: an electrolytic capacitor that is reversed heats, vents and shorts its circuit within minutes.
A permanent-magnet machine without its smoothing capacitor has a chopped output; if its battery then
opens, it delivers nothing, or peaks that destroy its regulator and what it feeds.

How judged: in no state may a source feed the negative of a capacitor and receive the return from
its positive. Nor may the negative of one that an alternator names as its `smoothing-capacitor` be
joined to the output of that alternator. Such a capacitor must be joined by conductors from its
negative to the ground of that alternator, and from its positive to the output. Circuit protection
may lie between these.

Not covered: whether it is large enough, its age, and non-polarised capacitors.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (("practice", "electrolytic capacitors by polarity, the smoothing capacitor at the regulator"),)
REMEDY = "Reverse the leads of the capacitor."


def subjects(facts: Facts):
    design = facts.design
    machines = design.of_kind(parts.Alternator)
    smoothed = [n for n in machines if design.part(n, parts.Alternator).smoothing_capacitor]
    return [f"parts/{n}" for n in (*design.of_kind(parts.Capacitor), *smoothed)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    if isinstance(subject.part(facts.design), parts.Alternator):
        for capacitor, terminal in facts.sources.apart_from_its_capacitor(subject.pointer):
            led = any(capacitor in (w.from_, w.to) for w in facts.design.wires.values())
            yield Unmet(
                f"{capacitor} is not joined to {terminal}: {name} is not smoothed, and delivers nothing "
                "without a battery.",
                field="smoothing-capacitor",
                numbers=(("smoothing capacitor", capacitor.partition(".")[0]),),
                remedy=f"{f'Move the lead at {capacitor}' if led else f'Wire {capacitor}'} to {terminal}.",
            )
    elif state := facts.sources.reversed_capacitor(name):
        yield Unmet(f"Capacitor {name} is reversed: its negative is fed in {state}.", state=state)
    elif machine := facts.sources.reversed_at(name):
        yield Unmet(
            f"Capacitor {name} is reversed: its negative is joined to {machine}.output.",
            elements=(f"parts/{machine}",),
        )
