"""No conductor bypasses the contact of a switch or relay, and no breaker or fuse bypasses another.

Why: a jumper left from a trouble-shooting, or two wires of a switch on one terminal, keeps the load
on whatever the switch shows. An ignition is live with its switch off, or a load smokes on. Of two
breakers whose wires meet on a pin or splice, one keeps live what the other opens.

How judged: for each contact, a path around it from one of its terminals to the other by wires,
splices, studs, connectors, shunts, grounds and circuit protection is a finding. A path that passes
a bus or a source is a second feed, and accepted. Hazardous where a load of a function of hazardous
or catastrophic loss is on the circuit. Major where a bypassed relay is in the only feed of the
field of an alternator whose overvoltage trip acts on the field. So it is in the only path of the
output where the trip acts on that. Else minor.

Breakers, fuses and current limiters that join the same two conductors are a finding. It is major
where a wire at one of them is smaller than AC 43.13-1B Table 11-3 has for their ratings together.
Not one that normal flight has pulled, nor a breaker-switch or a channel inside a unit.

Not covered: a second switch in parallel, which can be open; a path through another load
(circuits-switched-off-have-no-sneak-path); a welded contact.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, and_list, bare, parts, quantity

HAZARD = HazardClass.MINOR
CONSEQUENCE = "on when not wanted"
CITATIONS = (
    ("cfr-23-1367", "(d), labelled for operation and the circuit that it controls"),
    ("practice", "off means off: a switch de-energises what it is labelled for"),
)
REMEDY = "Remove the conductor, or put each wire on its own side of the switch."
APART = "Join the circuits at their bus alone: give each its own wire, pin and splice behind its device."


def subjects(facts: Facts):
    kinds = (parts.Switch, parts.BreakerSwitch, parts.Electromagnet)
    devices = facts.design.of_kind(parts.Protector)
    return [f"parts/{n}" for n in dict.fromkeys((*facts.design.of_kind(kinds), *devices))]


def judge(subject: Subject, facts: Facts):
    functions = facts.states.critical_functions if facts.design.functions else ()
    critical = {load for function in functions for load in facts.states.loads_of(function)}
    for bypass in facts.switches.bypasses:
        if bypass.element == subject.pointer:
            around = and_list(map(bare, bypass.path))
            one, other = bypass.terminals
            graver = HazardClass.MAJOR if bypass.alternators else None
            kept = and_list(bypass.users) or "its circuit"
            tripped = f", nor {and_list(bypass.alternators)} by its overvoltage trip" if graver else ""
            yield Unmet(
                f"{around} bypass{'es' * (len(bypass.path) == 1)} the contact of {subject.name} from {one} "
                f"to {other}: {kept} cannot be switched off there{tripped}.",
                path=bypass.path,
                numbers=(("stays on", ", ".join(bypass.users)),) if bypass.users else (),
                hazard=HazardClass.HAZARDOUS if critical.intersection(bypass.users) else graver,
            )
    yield from _in_parallel(subject.name, facts)


def _in_parallel(name: str, facts: Facts):
    both = facts.protection.parallel.get(name)
    if both is None or name != min(name, *both.others):
        return
    devices = (name, *both.others)
    wires = facts.protection.too_thin_together(devices, both.amperes or 0.0)
    amps = f", {quantity(both.amperes, 'A')} together" if both.amperes else ""
    yield Unmet(
        f"{and_list(devices)} are in parallel{amps}: what one opens stays live through the other"
        f"{f', and {wires[0]} is undersized for both' if wires else ''}.",
        path=tuple(f"parts/{device}" for device in devices),
        elements=tuple(f"wires/{wire}" for wire in wires),
        numbers=(
            *((("rated together", quantity(both.amperes, "A")),) if both.amperes else ()),
            *((("undersized", ", ".join(wires)),) if wires else ()),
        ),
        hazard=HazardClass.MAJOR if wires else HazardClass.MINOR,
        remedy=APART,
    )
