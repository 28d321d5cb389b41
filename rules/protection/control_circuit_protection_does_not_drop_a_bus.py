"""No breaker or fuse of a coil or field drops a bus that it does not feed.

Why: a 5 A fuse opened, the relay behind it dropped out, and both ignitions were lost with the bus.

How judged: in every normal flight state each breaker, fuse and current limiter is opened, of
whatever rating. A coil that then drops out, or a field that is lost, may take no bus with it, nor
leave one on an alternator alone. That counts where another path would still feed the bus with the
relays as they were. A bus with its own alternator may be separated from the rest where a battery
stays with another alternator there. Hazardous if a function of hazardous or catastrophic loss is
lost with the bus.

Not covered: a relay whose coil and contacts are on one breaker (it feeds what it drops) and devices
further upstream of the coil's own. Nor is what a lamp on the same device would show.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, and_list, bare, parts, rated

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("ntsb", "DEN05LA123, a 5 A fuse opened and the master relay dropped out"),)
REMEDY = (
    "Feed the coil from the contactor's own battery terminal and switch it to ground, or use a "
    "normally-closed contact."
)


def subjects(facts: Facts):
    return (
        [f"parts/{n}" for n in facts.design.of_kind(parts.Protector)] if facts.states.flight_answers() else []
    )


def judge(subject: Subject, facts: Facts):
    found = [c for c in facts.switches.control_protectors if c.protector == subject.pointer]
    if not found:
        return
    first = found[0]
    how = [*_told("drop", first, True, facts), *_told("stop", first, False, facts)]
    what = (
        f"leaves {', '.join(first.alone)} on the alternator alone"
        if first.alone == first.buses
        else f"causes loss of {', '.join(first.buses)}"
    )
    worst = max(
        [HAZARD, *(HazardClass.of(facts.design.functions[f].loss) for c in found for f in c.functions)]
    )
    yield Unmet(
        f"{rated(subject.name, subject.part(facts.design))} {what} if it opens, though it does not feed "
        f"{'it' if len(first.buses) == 1 else 'them'}: {', '.join(how)}.",
        state=first.state,
        failure="open",
        elements=tuple(first.drops),
        path=facts.states.path_to(first.state, first.drops[0], subject.pointer) if first.drops else (),
        numbers=(("buses", ", ".join(first.buses)),)
        + ((("functions lost", ", ".join(first.functions)),) if first.functions else ()),
        hazard=min(worst, HazardClass.HAZARDOUS),
    )


def _told(verb: str, found, relays: bool, facts: Facts) -> list[str]:
    """That the relays drop out, or that the sources stop; nothing where there is none."""
    drops = [bare(e) for e in found.drops]
    names = [n for n in drops if isinstance(facts.design.parts[n], parts.Electromagnet) is relays]
    words = f"{verb}{'' if len(names) > 1 else 's'}{' out' if relays else ''}"
    return [f"{and_list(names)} {words}"] if names else []
