"""The main battery meets the declared endurance after loss of the alternator, aged and cold.

Why: ampere-hours divided by amperes promise twice the time of an aged, cold battery at that rate.

How judged: from loss of the alternator in the normal state. The recognition time begins at the
first alarm that shows it; then each action of the shed plan follows. Each segment is solved anew.
Without an alarm nothing is shed. It ends where a load of a major or graver function is below its
minimum, or the battery is empty or disconnects itself. The alternator loses its drive: its field
draws until switched off. What only a breaker accessible on the ground sheds stays on. It begins as
normal flight leaves it, derated for age, cold and rate. Without one it is from take-off.

Not covered: loss in another than the normal state, cold below -10 C without `cold-capacity`.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    bare,
    minutes,
    parts,
    practice,
    quantity,
)

HAZARD, CONSEQUENCE = HazardClass.MAJOR, "runs short"
CITATIONS = (
    ("practice", "30 to 60 minutes, recognition included; factors for age, cold and rate"),
    ("peukert", "hour-rate form, discharge time"),
)
REMEDY = "Shed more or sooner, or fit a larger battery."
USEFUL_S = 60 * practice("minutes", "endurance-on-battery").low


def subjects(facts: Facts):
    mains = [n for n in facts.design.of_kind(parts.Battery) if facts.design.parts[n].purpose == "main"]
    return [f"parts/{n}" for n in mains] if facts.states.declared and facts.endurance.mains_run_down else []


def judge(subject: Subject, facts: Facts):
    name, wanted = subject.name, facts.states.operation.endurance
    if wanted is None:
        raise NotAssessable("`endurance` of the operation: the time required after loss of the alternator")
    if (found := facts.endurance.endurance_of(name)).seconds >= wanted:
        return
    ends, runs = bare(found.found.ended_by), found.found.runs
    shed = "not reached" if facts.states.operation.load_shedding else "none declared"
    after = f" after loss of {' and '.join(found.lost)}" if found.lost else ""
    less = f", {100 * found.begins:.0f} % charged by the flight before it," if found.begins < 0.995 else ""
    yield Unmet(
        f"Endurance on {name}{after}{less} {minutes(found.seconds, wanted)};"
        f" required {minutes(wanted, found.seconds)}. Then {ends} {found.found.why}.",
        state=found.state,
        failure=after.removeprefix(" after "),
        hazard=HazardClass.HAZARDOUS if ends in facts.wires.critical_loads else None,
        elements=(found.found.ended_by,),
        numbers=(
            ("endurance", minutes(found.seconds, wanted)),
            ("initial current", quantity(runs[0].first_a, "A")),
            ("current at the end", quantity(runs[-1].last_a, "A")),
            ("ended by", ends),
            ("shed plan", ", ".join(run.name for run in runs[1:]) or shed),
            *((("field draws to the end", ", ".join(found.fields_on)),) if found.fields_on else ()),
            *found.factors,
            ("typical values used in the solved states", str(len(found.typical))),
        ),
        remedy=_remedy(found, ends, ends != name, facts.endurance.sound_shed(found)),
    )


def _remedy(found, ends: str, starved: bool, off) -> str:
    if off:
        return f"Leave {off.alternator} on line, which action {off.action} turns off."
    if found.seconds < 1 and starved:
        return f"Reduce the voltage drop to {ends}, or fit a battery of lower internal resistance."
    first = "Give the main bus an alarm that shows the loss at once. " if found.late_alarm else ""
    first += f"Shed the field of {' and '.join(found.fields_on)}. " if found.fields_on else ""
    return first + REMEDY + (" Or declare the time available." if found.seconds >= USEFUL_S else "")
