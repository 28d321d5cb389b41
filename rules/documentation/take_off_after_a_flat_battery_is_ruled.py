"""The checklist says what must be before take-off once the engine was started with help from outside.

Why: a battery that could not start the engine takes all the alternator gives for an hour, and holds nothing up when the alternator stops.

How judged: from the detailed stage on, where the aircraft has a starter and a battery, `operation` has `after-a-flat-battery`: a least voltage, a most
charging current, or that it is not flown. Where a function whose loss is hazardous or worse is declared, the class is hazardous, else minor.

Not covered: whether the words are right.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, parts

HAZARD = HazardClass.HAZARDOUS
CITATIONS = (
    (
        "practice",
        "no take-off on a flat battery: engines that need electricity have stopped after a jump start",
    ),
)
REMEDY = "Write `after-a-flat-battery`, for example: no take-off before the main battery takes less than 5 A."


def subjects(facts: Facts):
    design = facts.design
    starts = any(design.parts[n].type == "starter" for n in design.of_kind(parts.Load)) and design.of_kind(
        parts.Battery
    )
    return ["operation"] if starts and design.aircraft.stage != "concept" and facts.states.operation else []


def judge(subject: Subject, facts: Facts):
    if facts.states.operation.after_a_flat_battery is None:
        critical = bool(facts.design.functions and facts.states.critical_functions)
        yield Unmet(
            "Nothing says what must be before take-off once the engine was started on a flat battery.",
            hazard=HAZARD if critical else HazardClass.MINOR,
        )
