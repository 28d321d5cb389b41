"""Each instrument input receives the signal that it reads, within its voltage range.

Why: an input that waits for ground and receives a supply never shows its warning; one made for five
volts burns on battery voltage.

How judged: an input that reads `closed-to-ground` must have a path to a source's negative through
contacts, and none to a positive; `closed-to-supply` the reverse. A sensor at the input is the
contact. What drives an input directly may not exceed its `maximum` voltage, in the normal flight
states. An input on a contact states what it reads, one that a source feeds without a sensor states
`maximum`.

Not covered: sensor signals, outputs that drive another unit's input, and voltage before an
overvoltage trip.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts, quantity

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (
    (
        "practice",
        "sense of contacts: active low, active high; a divider, diode or relay if they differ",
    ),
)
REMEDY = "Set the input for the signal that it receives, or put a relay, a diode or a divider between."


def subjects(facts: Facts):
    """At the concept stage only inputs that state something are judged."""
    asks = facts.design.aircraft.stage != "concept"
    instruments = [(n, facts.design.parts[n].inputs.values()) for n in facts.design.of_kind(parts.Instrument)]
    return [
        f"parts/{n}"
        for n, inputs in instruments
        if any(asks or entry.reads or entry.maximum for entry in inputs)
    ]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    unsaid, wrong, state, hazard = [], [], "", HAZARD
    for key, entry in subject.part(facts.design).inputs.items():
        drive = facts.grounds.drive(name, entry)
        if drive.contact and not drive.sensor and entry.reads is None:
            unsaid.append(("reads", key))
        if entry.reads in ("closed-to-ground", "closed-to-supply") and not drive.sensor:
            ground = entry.reads == "closed-to-ground"
            wanted, unwanted = (
                (drive.to_ground, drive.to_supply) if ground else (drive.to_supply, drive.to_ground)
            )
            if unwanted or not wanted:
                read, other = ("ground", "a supply") if ground else ("supply", "ground")
                fault = f"receives {other}" if unwanted else "is never joined to it"
                wrong.append(f"{key} reads a contact to {read} and {fault}")
        if drive.direct and entry.maximum is None:
            unsaid.append(("maximum", key))
        elif drive.direct and (high := facts.grounds.highest_volts(f"{name}.{entry.signal}")).above(
            entry.maximum
        ):
            wrong.append(
                f"{key} is exposed to {quantity(high.volts, 'V', entry.maximum)}; rated "
                f"{quantity(entry.maximum, 'V')}"
            )
            state, hazard = high.state, HazardClass.MAJOR
    if wrong:
        yield Unmet(
            f"Inputs of {name} do not match their signals: {'; '.join(wrong)}.",
            field="inputs",
            state=state,
            hazard=hazard,
        )
    if unsaid:
        words = ", ".join(f"`{key}` of input {own}" for key, own in unsaid)
        lacks = [(f"{subject.pointer}/inputs/{own}", key) for key, own in unsaid]
        raise NotAssessable(f"{words} of {name}", lacks)
