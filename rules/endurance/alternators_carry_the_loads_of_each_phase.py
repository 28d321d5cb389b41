"""An alternator carries the continuous load of every state flown with something to spare.

Why: an alternator near its limit runs hot and fails early, and has nothing left for a battery that was drained by the start.

How judged: what the alternator gives in each flown state with its phase's loads, as solved (charging, coils and field included, loads marked as used
for short times left out), against its rating: at most 80 %, or 95 % where an instrument shows the current that it gives or what the battery takes.

Not covered: a placard that limits what may be on (concede the finding), the surge after a start, and altitude, which cools it less.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts, percent

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("ac-43-13-1b", "11-35a, 80 % without a placard or monitoring device"),
    ("practice", "95 % with an ammeter"),
)
REMEDY = "Fit a larger alternator, take loads off the phase, or fit an ammeter and a placard."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Alternator)] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    name = subject.name
    if subject.part(facts.design).rating is None:
        raise NotAssessable("`rating`")
    worst = None
    for flown in facts.points.flown:
        if facts.states.declared[flown.state].use != "flight":
            continue
        for alternator in facts.endurance.phase_load(flown).alternators:
            if alternator.name == name and (
                worst is None or alternator.load.share - alternator.most > worst[1].load.share - worst[1].most
            ):
                worst = flown, alternator
    if worst is None or worst[1].within:
        return
    flown, found = worst
    watched = (
        f", though {found.ammeter} shows it" if found.ammeter else " and no instrument shows what it gives"
    )
    yield Unmet(
        f"{name} gives {found.load.amperes:.1f} A without pause in {flown}, {percent(found.load.share)} of its {found.load.output_a:g} A; "
        f"{percent(found.most)} is the most{watched}.",
        field="rating",
        state=flown.state,
        numbers=(
            ("continuous load, solved", f"{found.load.amperes:.1f} A"),
            ("rated output", f"{found.load.output_a:g} A"),
            ("share that it may take", f"{percent(found.most)} ({found.rests_on})"),
            (
                "typical values that the solved state rests on",
                str(len(facts.endurance.phase_load(flown).typical)),
            ),
        ),
    )
