"""A battery that disconnects itself at low voltage stays connected while the engine is cranked.

Why: the management of a lithium battery compares the voltage at its terminals with a limit. One
that is set too high reads the voltage dip of a start as a flat battery. The panel goes dark at each
start, and after the loss of the alternator the battery disconnects while it still holds charge.

How judged: the voltage across the terminals of each battery with a `low-voltage-disconnect` is
solved in each state with `engine: cranking`. The starter draws its `current` then, which lasts
longer than the circuit waits. Batteries have their `cold-resistance`, else one and a half to two
times their resistance (common practice, no published source), requested where that decides. The
voltage must be above the limit.

Not covered: the dip of the first moment, which the circuit is to wait out, and a battery that is
not full unless the file says so. Nor is the charge that remains after the loss of the alternator
(rules of endurance).
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, exceeds, parts, quantity

HAZARD = HazardClass.MINOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("practice", "a lithium battery's management disconnects it at low voltage"),)
REMEDY = (
    "Choose a battery whose circuit disconnects it at a lower voltage or one of lower resistance, or start "
    "from another battery."
)


def subjects(facts: Facts):
    names = [
        n
        for n in facts.design.of_kind(parts.Battery)
        if facts.design.parts[n].low_voltage_disconnect is not None
    ]
    if not names or not facts.states.declared or not facts.switches.flown_cranking:
        return []
    alive = [facts.states.answer(f.state).healthy.alive for f in facts.switches.flown_cranking]
    return [f"parts/{n}" for n in names if any(sources[f"parts/{n}"] for sources in alive)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    limit = subject.part(facts.design).low_voltage_disconnect
    stiff = [c for c in facts.switches.turned if not exceeds(_volts(c, name), limit)]
    cold = [c for c in facts.switches.turned_with_more if not exceeds(_volts(c, name), limit)]
    if not stiff and cold:
        raise NotAssessable(facts.switches.cold_resistance)
    for cranked in stiff:
        volts = quantity(_volts(cranked, name), "V", limit)
        amps = quantity(cranked.point.given[subject.pointer], "A")
        yield Unmet(
            f"{name} has {volts} at its terminals while {', '.join(cranked.starters)} cranks; it disconnects "
            f"itself at {quantity(limit, 'V', _volts(cranked, name))}.",
            field="low-voltage-disconnect",
            state=cranked.flown.state,
            numbers=(
                ("starter", ", ".join(cranked.starters)),
                ("terminal voltage", f"{volts} at {amps}"),
                ("limit", quantity(limit, "V")),
                *facts.switches.cranking_basis(cranked.point),
            ),
            remedy=f"Choose a battery of lower resistance, or one that disconnects itself below {volts}, or "
            "start from another battery.",
        )
        return


def _volts(cranked, name: str) -> float:
    """Volts across the terminals of a battery; no limit where nothing joins it to the start."""
    volts = cranked.point.volts
    ends = volts.get(f"{name}.positive"), volts.get(f"{name}.negative")
    return ends[0] - ends[1] if None not in ends else float("inf")
