"""Every diode has the polarity that its duty needs.

Why: a reversed isolation diode discharges the reserve into the bus whose loss it must survive, and
never charges it; a reversed suppression diode shorts the supply of its coil.

How judged: from the circuit. A diode directly across a coil, whatever its declared duty, has its
cathode on the supply side; one declared to suppress must be across a coil or an inductive load. A
diode with `protects`: with the diode removed, its cathode must be joined to the part and its anode
not; in the return of a load or coil, its anode. Conductors, protective devices and contacts join
them; a battery does not, as it is another feed. A contact in parallel with the diode counts if it
is closed in the normal state. For a relay, its coil counts. Polarity and steering without it: some
source must lead to the anode, through contacts in any position, loads and coils, and the cathode
back to one. Across a supply the cathode is on its positive side.

Not covered: leakage and forward drop, and a coil or a diode that may conduct either way. Nor is a
contact in parallel with a diode, if the contact is open in the normal state or at a bus that no
contact separates from a battery.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, and_list, bare, parts

HAZARD, CONSEQUENCE = HazardClass.HAZARDOUS, "not there when wanted"
CITATIONS = (
    ("practice", "a diode conducts from anode to cathode; across a coil the cathode is on its positive side"),
)
REMEDY = "Reverse the diode, and prove it with a forward and a reverse reading before power-up."
SERIES = "Put the diode in series with what it protects, with no wire or closed contact in parallel."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Diode)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    diode = subject.part(facts.design)
    if facts.paths.suppresses(name):
        yield from _suppression(name, facts)
    elif diode.duty is None or (diode.duty == "isolation" and diode.protects is None):
        raise NotAssessable(f"`{'duty' if diode.duty is None else 'protects'}` of {name}")
    elif diode.protects is not None:
        yield from _placed(name, diode, facts)
    else:
        found = facts.paths.diode_direction(name)
        does = {"reversed": "it never conducts as it is wired", "shorts": "it shorts its supply"}
        if found in does:
            sentence = f"{diode.duty.capitalize()} diode {name} is reversed: {does[found]}."
            yield Unmet(sentence, field="duty", hazard=HazardClass.MAJOR)


def _suppression(name: str, facts: Facts):
    users = facts.paths.suppressors.get(name, {})
    if not users:
        sentence = f"{name}, declared a suppression diode, is not connected across a coil."
        yield Unmet(sentence, field="duty", hazard=HazardClass.MINOR)
    elif not all(users.values()):
        yield Unmet(
            f"Suppression diode {name} is reversed: its anode is on the supply side of {', '.join(users)}, "
            "which it shorts.",
            field="duty",
            numbers=(("across the coil of", ", ".join(users)),),
            hazard=HazardClass.MAJOR,
        )


def _placed(name: str, diode, facts: Facts):
    place, word = facts.paths.diode_placement(name), f"{diode.duty.capitalize()} diode {name}"
    protects = (("protects", diode.protects),)
    if place.stands == "reversed":
        wrong = f"its {place.wrong}, not its {place.belongs}, is joined to {diode.protects}"
        yield Unmet(f"{word} is reversed: {wrong}.", field="duty", numbers=protects)
    elif place.stands == "beside":
        asked, lead = f"only its {place.belongs} may be joined to it", bare(place.lead)
        if place.around:
            contacts = f"closed contacts of {and_list(map(bare, place.around))}"
            asked = f"{lead} bypasses it by {contacts}" if lead else f"{contacts} bypass it"
        elif lead:
            asked += f", and {lead} bypasses it"
        sentence = f"{word} does not isolate {diode.protects}: {asked}."
        yield Unmet(sentence, field="protects", path=place.bypass, numbers=protects, remedy=SERIES)
