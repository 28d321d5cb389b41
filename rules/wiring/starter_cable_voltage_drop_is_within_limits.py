"""The voltage drop between battery and starter while cranking is within common practice.

Why: a volt lost in cables, straps and contactors is missing at the starter when the battery is
weakest; the engine then turns too slowly to start.

How judged: in each cranking state, the drop from the battery's positive terminal to the starter and
from the starter to the negative terminal, by engine and straps, at the starter's current. Limit 1.5
V, twice that in a 28 V system. The limits for other loads do not apply.

Not covered: the battery itself, cold or old, and joints worse than typical.
"""

from reviewer.rulebook import (
    A_STATE,
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    bare,
    exceeds,
    practice,
    quantity,
)

HAZARD = HazardClass.MINOR
CONSEQUENCE = "runs short"
CITATIONS = (("practice", "1.0 to 1.5 V between battery and starter while cranking"),)
REMEDY = "Use heavier cable, a second strap between engine and battery ground, shorter runs."


def subjects(facts: Facts):
    return [] if facts.wires.no_sizes else [f"parts/{n}" for n in facts.design.starters]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    if subject.part(facts.design).current is None:
        raise NotAssessable(f"`current` of {name} while cranking")
    runs = facts.wires.starter_runs.get(subject.pointer)
    if not runs:
        raise NotAssessable(f"a state with `engine: cranking` in which {name} runs", A_STATE)
    limit = practice("volts", "cranking-drop").high * facts.design.aircraft.scale
    flown, run = max(runs, key=lambda entry: entry[1].volts)
    if not exceeds(run.volts, limit):
        if lacks := facts.wires.lacking(flown, run.elements):
            raise NotAssessable(f"{lacks}, for the voltage drop while cranking")
        return
    drop, *shares = facts.wires.drop_numbers(run, limit)
    yield Unmet(
        f"Voltage drop from {bare(run.begins)} to {name} {quantity(run.volts, 'V', limit)} at "
        f"{quantity(run.amperes, 'A')} in {flown}; limit {quantity(limit, 'V')}.",
        state=flown.state,
        path=(run.begins, *run.elements),
        numbers=(
            drop,
            ("limit", f"{quantity(limit, 'V')} (common practice, no published source)"),
            *shares,
            *facts.wires.typical_behind(flown, run.elements),
        ),
        remedy=f"{facts.wires.larger_wire(run, limit)}, a second strap between engine and battery ground, or "
        "shorter runs.",
    )
