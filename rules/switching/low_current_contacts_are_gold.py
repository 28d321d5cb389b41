"""A contact that switches little current is gold, not silver.

Why: below half an ampere or eight volts a silver contact does not clean itself by its arc; it
oxidises and conducts intermittently. Coils of small relays, keys and display inputs are such loads.

How judged: the largest current of each switch contact is solved over all declared states, and over
the positions that no state of flight sets. Each load counts as the file gives it, at nominal
voltage, whatever its bus voltage, or with its `peak` if given. Below 0.5 A, or if the contact
passes a signal alone, `contact-material` must be gold. A bus with a voltage sense lead is no
signal. A contact that carries no current to a powered load is not judged, nor one that a conductor
bypasses. The maker of a pressure, temperature, flow or level switch chooses its contact for a lamp
or an input: its material is judged where it is stated, and not requested.

Not covered: relay contacts, silver contacts rated for small currents, and signals of eight volts
and more.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts, quantity

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (("ac-43-13-1b", "11-53g, low-energy loads"),)
SENDERS = ("pressure", "temperature", "flow", "level")
REMEDY = "Use a switch with gold-plated contacts, or load the contact with half an ampere."


def subjects(facts: Facts):
    concept = facts.design.aircraft.stage == "concept"  # where the metal is not asked for
    names = facts.design.of_kind(parts.Switch) if facts.states.declared else ()
    return [f"parts/{n}" for n in names if facts.design.parts[n].contact_material is not None or not concept]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    metal = subject.part(facts.design).contact_material
    if metal == "gold":
        return
    most = facts.switches.largest_currents(subject.pointer)
    low = {pair: amps for pair, amps in most.items() if amps < facts.switches.least_of_silver}
    if not low:
        if subject.pointer in facts.switches.unknown_contacts:
            raise NotAssessable(facts.switches.unknown_contacts[subject.pointer])
        return
    if metal is None:
        if subject.part(facts.design).operated_by in SENDERS:
            return
        raise NotAssessable(f"`contact-material` of {name}")
    (a, b), amps = min(low.items(), key=lambda item: item[1])
    carries = (
        f"at most {quantity(amps, 'A', facts.switches.least_of_silver)}; minimum for silver "
        f"{quantity(facts.switches.least_of_silver, 'A')}"
        if amps
        else "a signal"
    )
    yield Unmet(
        f"Silver contact of {name} from {a.partition('.')[2]} to {b.partition('.')[2]} carries {carries}.",
        field="contact-material",
        numbers=(
            ("current", quantity(amps, "A", facts.switches.least_of_silver)),
            ("minimum for silver", quantity(facts.switches.least_of_silver, "A")),
        )
        if amps
        else (),
    )
