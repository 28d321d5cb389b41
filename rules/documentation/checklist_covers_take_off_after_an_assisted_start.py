"""The checklist states the condition for take-off after an assisted start.

Why: a battery that could not start the engine draws all that the alternator delivers for an hour,
and holds nothing up when the alternator stops.

How judged: from the detailed stage on, if the aircraft has a starter and a battery, `operation` has
`discharged-battery-procedure`: a minimum voltage, a maximum charging current, or no flight. If a
function of hazardous or catastrophic loss is declared the class is hazardous, else minor.

Not covered: whether the words are right.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, parts

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "to be corrected"
CITATIONS = (("practice", "no take-off on a flat battery"),)
REMEDY = (
    "Write `discharged-battery-procedure`, for example: no take-off before the main battery takes less "
    "than 5 A."
)


def subjects(facts: Facts):
    design = facts.design
    starts = design.starters and design.of_kind(parts.Battery)
    return ["operation"] if starts and design.aircraft.stage != "concept" and facts.states.operation else []


def judge(subject: Subject, facts: Facts):
    if facts.states.operation.discharged_battery_procedure is None:
        critical = bool(facts.design.functions and facts.states.critical_functions)
        yield Unmet(
            "The condition for take-off after an assisted start on a flat battery is not stated.",
            hazard=HAZARD if critical else HazardClass.MINOR,
        )
