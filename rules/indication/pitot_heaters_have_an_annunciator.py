"""The heater of the pitot tube has a lamp for its failure where instrument flight needs the heat.

Why: a heater that was forgotten or has burnt out shows only as a false airspeed in the first ice.

How judged: in an aircraft with `ifr` among its `uses`, each load of type heater that heats the
pitot tube has an `annunciator`. What a heater without one heats is requested. The class is that of
the functions that are lost with the heater, minor at least. What the lamp shows is judged by
heaters-show-that-they-are-off.

Not covered: flight in icing under visual rules; a heater that is drawn as another kind of load.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MINOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("cfr-23-1326", "first paragraph, an indication where instrument flight needs the heat"),)
REMEDY = (
    "Fit an amber lamp that a sensor of the heater's current lights, fed apart from the heater, and name it "
    "as its `annunciator`."
)


def subjects(facts: Facts):
    heaters = [n for n in facts.design.of_kind(parts.Load) if facts.design.parts[n].type == "heater"]
    needed = "ifr" in facts.design.aircraft.uses
    return [f"parts/{n}" for n in heaters if needed and facts.design.parts[n].heats != "other"]


def judge(subject: Subject, facts: Facts):
    name, heater = subject.name, subject.part(facts.design)
    if heater.annunciator is not None:
        return
    if heater.heats is None:
        raise NotAssessable(f"`heats` of {name}: whether it heats the pitot tube")
    lost = [f for f in facts.design.functions if facts.states.lost_with(f, (name,))]
    yield Unmet(
        f"No lamp shows that {name}, which heats the pitot tube, is off or has failed.",
        field="annunciator",
        hazard=max([HAZARD, *(HazardClass.of(facts.design.functions[f].loss) for f in lost)]),
    )
