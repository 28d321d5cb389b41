"""Each input of an instrument gets what it reads: a contact to ground, a contact to a supply, or volts that it endures.

Why: an input that waits for ground and gets a supply never shows its warning; one made for five volts burns on the battery's.

How judged: an input that reads `closed-to-ground` must have a way to a source's negative through contacts, and none to a positive; one that reads
`closed-to-supply` the other way round. A sensor at the input is the contact. What drives an input directly may not have more volts than its
`highest`, in the states of normal flight. An input on a contact says what it reads, one that a source feeds without a sensor says `highest`.

Not covered: signals of sensors, what a unit drives into another's input, and volts before an over-voltage trip acts.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MINOR
CITATIONS = (
    (
        "practice",
        "sense of contacts: active low, active high; a divider, a diode or a relay where they differ",
    ),
)
REMEDY = "Set the input to the other sense, or put a relay, a diode or a divider between."


def subjects(facts: Facts):
    """At the concept stage only inputs that say something are judged."""
    asks = facts.design.aircraft.stage != "concept"
    instruments = [(n, facts.design.parts[n].inputs.values()) for n in facts.design.of_kind(parts.Instrument)]
    return [
        f"parts/{n}"
        for n, inputs in instruments
        if any(asks or entry.reads or entry.highest for entry in inputs)
    ]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    unsaid, wrong, state, hazard = [], [], "", HAZARD
    for key, entry in subject.part(facts.design).inputs.items():
        drive = facts.grounds.drive(name, entry)
        if drive.contact and not drive.sensor and entry.reads is None:
            unsaid.append(f"`reads` of input {key}")
        if entry.reads in ("closed-to-ground", "closed-to-supply") and not drive.sensor:
            ground = entry.reads == "closed-to-ground"
            wanted, unwanted = (
                (drive.to_ground, drive.to_supply) if ground else (drive.to_supply, drive.to_ground)
            )
            if unwanted or not wanted:
                wrong.append(
                    f"{key} waits for {'ground' if ground else 'a supply'} and {'gets the other' if unwanted else 'is never joined to it'}"
                )
        if drive.direct and entry.highest is None:
            unsaid.append(f"`highest` of input {key}")
        elif (
            drive.direct
            and (high := facts.grounds.highest_volts(f"{name}.{entry.signal}")).volts > entry.highest
        ):
            wrong.append(f"{key} endures {entry.highest:g} V and gets {high.volts:.1f} V")
            state, hazard = high.state, HazardClass.MAJOR
    if wrong:
        yield Unmet(
            f"Inputs of {name} do not get what they read: {'; '.join(wrong)}.",
            field="inputs",
            state=state,
            hazard=hazard,
        )
    if unsaid:
        raise NotAssessable(f"{', '.join(unsaid)} of {name}")
