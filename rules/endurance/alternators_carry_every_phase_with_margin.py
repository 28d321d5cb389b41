"""An alternator carries the continuous load of every operating state with margin.

Why: an alternator near its limit runs hot and fails early, and has nothing left for a battery
discharged by the start.

How judged: the load on the alternator at its set point is solved in each flight state with the
loads of its phase. Charging, coils and field are included, intermittent loads left out. It is at
most 80 % of the rating, or 95 % if an instrument shows its output current, or a voltage and the
current of a main battery. An instrument is known by what it reads wherever the engine runs, within
1 A or 5 % for a battery (no published source).

Not covered: states with the engine at idle, a placard that limits what may be on (concede the
finding), the surge after a start, and altitude, which reduces cooling.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    beside,
    in_brackets,
    made_words,
    parts,
    percent,
    quantity,
)

HAZARD, CONSEQUENCE = HazardClass.MAJOR, "runs short"
CITATIONS = (
    ("ac-43-13-1b", "11-35a, 80 % without a placard or monitoring device"),
    ("practice", "95 % with an ammeter"),
)
REMEDY = "Fit a larger alternator, remove loads from the phase, or fit an ammeter and a placard."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Alternator)] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    name = subject.name
    if subject.part(facts.design).rating is None:
        raise NotAssessable("`rating`")
    states = facts.states.declared
    loads = [
        (flown, alternator)
        for flown in facts.points.flown
        if states[flown.state].use == "flight" and not states[flown.state].at_idle
        for alternator in facts.endurance.phase_load(flown).alternators
        if alternator.name == name
    ]
    worst = max(loads, key=lambda one: one[1].load.share - one[1].most, default=None)
    if worst is None or worst[1].within:
        return
    flown, found = worst
    load = facts.endurance.phase_load(flown)
    short = found.asked - found.amperes > 0.05
    gives, rest = quantity(found.amperes, "A"), quantity(load.from_batteries, "A")
    helped = f"; it delivers {gives}, batteries {rest}" if short else ""
    watched = f" (current shown by {found.ammeter})" if found.ammeter else " (no ammeter)"
    watch = ", or fit an ammeter and a placard" if found.ammeter_would_do else ""
    yield Unmet(
        f"{name} continuous load {quantity(found.load.amperes, 'A')} in {flown}, "
        f"{beside(100 * found.load.share, 100 * found.most, '.0f')} % of "
        f"{quantity(found.load.output_a, 'A')}{helped}; limit {percent(found.most)}{watched}.",
        field="rating",
        remedy=f"Fit an alternator of {made_words('alternators', found.load.amperes / found.most)} or more, "
        f"or remove loads from the phase{watch}.",
        state=flown.state,
        numbers=(
            ("continuous load at its set point, solved", quantity(found.load.amperes, "A")),
            ("alternator output, solved", quantity(found.amperes, "A")),
            ("rated output", quantity(found.load.output_a, "A")),
            ("share", percent(found.load.share)),
            ("limit", f"{percent(found.most)} {in_brackets(found.rests_on)}"),
            ("typical values used in the solved state", str(len(load.typical))),
        ),
    )
