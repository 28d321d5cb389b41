"""Every ground lead and bond states a maximum resistance for its test, low enough and attainable.

Why: a bond that looks tight can be a hundred times too high under paint; without a limit on the
test card nobody measures it.

How judged: from the detailed stage on, each wire between blocks, studs, structure and the negatives
of sources has `max-resistance`. The limit may be the resistance of the wire by the published table
and what its joints may have. If it carries return current of an alternator or starter to the
battery its joints may have 2.5 milliohm together, as the bond of the frame of equipment. For any
other lead each of its two connections may have 3 milliohm, and the limit may be twice as much. A
joint under paint or dirt has many times as much, and a tighter limit fails sound joints. No limit
may be below the resistance of its wire; of wires that are no ground lead that alone is judged.

Not covered: bonds for static and lightning; mountings without a wire.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    and_list,
    at_least,
    at_most,
    bond_limit,
    exceeds,
    practice,
    quantity,
)

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (
    ("ac-43-13-1b", "11-189, 3 milliohm for each connection of a bonding jumper"),
    ("ac-43-13-1b", "11-188f, 2.5 milliohm from the frame of equipment to structure"),
    ("practice", "the joints of a heavy return have no more than the bond of a frame"),
    ("practice", "the test of a light ground lead accepts up to twice what its wire and sound joints have"),
)
MARGIN = practice("factors", "light-ground-lead-over-its-sound-resistance").high
REMEDY = "State a limit in `max-resistance`, and put it on the test card."


def subjects(facts: Facts):
    if facts.design.aircraft.stage == "concept":
        return []
    tested = [n for n, wire in facts.design.wires.items() if wire.max_resistance is not None]
    return [f"wires/{n}" for n in dict.fromkeys((*facts.grounds.ground_leads, *tested))]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    wire = facts.design.wires[name]
    accepted, own = wire.max_resistance, wire.resistance or facts.wires.wire_ohms(name)
    if accepted is None:
        raise NotAssessable(f"`max-resistance` of {name}")
    if own is None:
        lacks = [f"`{key}`" for key in ("gauge", "length") if getattr(wire, key) is None] or ["`resistance`"]
        raise NotAssessable(f"{and_list(lacks)} of {name}, for its own resistance")
    heavy = subject.pointer in facts.grounds.heavy_wires
    joints = bond_limit("frame").value if heavy else 2 * bond_limit("connection").value
    most = (own + joints) * (1.0 if heavy else MARGIN)
    if exceeds(accepted, most) and name in facts.grounds.ground_leads:
        yield Unmet(
            f"Test of {name} accepts {quantity(accepted * 1000, 'milliohm')}; limit for a "
            f"{'heavy ' if heavy else ''}ground lead {quantity(most * 1000, 'milliohm', accepted * 1000)}.",
            field="max-resistance",
            remedy=f"Lower the limit to {at_most(most * 1000, 'milliohm')}, on the test card too.",
        )
    elif exceeds(own, accepted):
        yield Unmet(
            f"Test of {name} accepts {quantity(accepted * 1000, 'milliohm')}; the wire alone has up to "
            f"{quantity(own * 1000, 'milliohm', accepted * 1000)}.",
            field="max-resistance",
            remedy="Use a thicker or shorter wire, or raise the limit to "
            f"{at_least(own * 1000, 'milliohm')}, on the test card too.",
        )
