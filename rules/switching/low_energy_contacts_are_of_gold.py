"""A contact that switches little current is not of silver.

Why: below half an ampere or eight volts a silver contact does not burn itself clean; it oxidises and then conducts now and then. Coils of small relays, keys
and inputs of displays are such loads.

How judged: the largest current of each contact of a switch is solved over all declared states, and over the positions that no state sets, with the `peak` of
its loads where given. Below 0.5 A, or where the contact joins a signal input, `contact-metal` must be gold. A contact that carries nothing is left out.

Not covered: contacts of relays, silver contacts that their maker rates for small currents, and signals that a display takes at eight volts and more.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MINOR
CITATIONS = (("ac-43-13-1b", "11-53g, low-energy loads"),)
REMEDY = "Use a switch with gold-plated contacts, or load the contact with half an ampere."


def subjects(facts: Facts):
    concept = facts.design.aircraft.stage == "concept"  # there the metal is asked for by none
    names = facts.design.of_kind(parts.Switch) if facts.states.declared else ()
    return [f"parts/{n}" for n in names if facts.design.parts[n].contact_metal is not None or not concept]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    metal = subject.part(facts.design).contact_metal
    if metal == "gold":
        return
    most: dict[tuple[str, str], float] = {
        (a, b): 0.0 for element, a, b in facts.switches.signal_contacts if element == subject.pointer
    }
    for _, _, need in facts.switches.contact_uses:
        if need.use.element == subject.pointer:
            pair = (need.use.a, need.use.b)
            most[pair] = max(most.get(pair, 0.0), facts.switches.largest(need))
    low = {pair: amps for pair, amps in most.items() if amps < facts.switches.least_of_silver}
    if not low:
        if subject.pointer in facts.switches.unknown_contacts:
            raise NotAssessable(facts.switches.unknown_contacts[subject.pointer])
        return
    if metal is None:
        raise NotAssessable(f"`contact-metal` of {name}")
    (a, b), amps = min(low.items(), key=lambda item: item[1])
    carries = f"at most {amps:.2f} A" if amps else "a signal"
    yield Unmet(
        f"The silver contact of {name} from {a.partition('.')[2]} to {b.partition('.')[2]} carries {carries}.",
        field="contact-metal",
        numbers=(("current", f"{amps:.2f} A"), ("limit", f"{facts.switches.least_of_silver:g} A"))
        if amps
        else (),
    )
