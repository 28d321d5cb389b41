"""A heater that must show that it is off has a lamp that does.

Why: with the heat of the pitot tube off or its element broken the airspeed is lost in the first
ice, and nothing else shows it. A lamp that is always lit shows nothing either.

How judged: of each heater with an `annunciator`, in each state of normal flight: the lamp is lit
where the heater has no power and dark where it has. Then each part and wire, the element included,
is opened that stops the heater and no other load but a unit with outputs. It must light the lamp. A
commanded output that drives the lamp is on where the state lists it, and counts as on after a
failure while its unit has power.

Not covered: the colour and place of the lamp; a heater without an `annunciator`; one element of
two.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare, parts

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("cfr-23-1326", "(b), shown when it is switched off or an element has failed"),)
REMEDY = (
    "Light the lamp by a sensor of the heater's current, fed apart from the heater; light it too where "
    "the heater is switched off."
)


def subjects(facts: Facts):
    loads = facts.design.of_kind(parts.Load) if facts.design.operation else ()
    return [f"parts/{name}" for name in loads if facts.design.parts[name].annunciator is not None]


def judge(subject: Subject, facts: Facts):
    name, lamp = subject.name, subject.part(facts.design).annunciator
    shown = (subject.pointer, f"parts/{lamp}")
    found = facts.detection.false_annunciations(name)
    burns = [one for one in found if one.heated]
    dark = [one for one in found if not one.heated]
    if burns:
        yield Unmet(
            f"{lamp} is lit in {burns[0].state} while {name} is on: it gives no indication.",
            field="annunciator",
            state=burns[0].state,
            path=shown,
            hazard=HazardClass.MINOR,
        )
    off = next((one for one in dark if one.failure is None), None)
    if off is not None:
        yield Unmet(
            f"{lamp} is dark in {off.state} while {name} is off.",
            field="annunciator",
            state=off.state,
            path=shown,
        )
        return
    opened = list(dict.fromkeys(one.failure.element for one in dark if one.failure))
    failed = [bare(element) for element in opened]
    if failed:
        also = (("also not shown when open", ", ".join(failed[1:])),) if failed[1:] else ()
        yield Unmet(
            f"{lamp} stays dark when {failed[0]} opens and {name} is off.",
            field="annunciator",
            state=dark[0].state,
            failure=f"{failed[0]} open",
            path=(opened[0], *shown),
            numbers=also,
        )
