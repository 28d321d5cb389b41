"""No short to ground runs a starter, a contactor or a load of a critical function.

Why: a coil or motor that is switched in its return is at bus voltage while it is off. Where the
wire to its switch chafes on the structure, it runs and no breaker opens: the starter turns the
propeller, a tie between two buses closes.

How judged: in every declared state a short to ground is tried at each terminal and wire that a live
source feeds through a load, coil or field without a return. What is powered or energised then is a
finding: hazardous for a starter, major for a contactor and for a load of a function of hazardous or
catastrophic loss. Accepted: the contactor or relay that connects a battery to its bus, and what it
feeds then. Its coil is switched in its return by common practice, and a short leaves it closed as a
weld would.

Not covered: other relays and loads, which `fail` and `effects` show; a short to a live wire; a
protective device in the return between the coil and the short.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare, parts

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "on when not wanted"
CITATIONS = (("practice", "a short to ground of a control wire does not start what it controls"),)
REMEDY = (
    "Switch the feed of the coil or load downstream of its circuit protection and ground its return at the "
    "unit: a short to ground then opens the protection."
)
BY_INPUT = "Command {} by an input of {} that reads `closed-to-supply`, its lead behind a fuse of its own."
BY_UNIT = "Feed {} through the switch or relay of {}, so that it has no power while that is off."


def subjects(facts: Facts):
    if not facts.states.declared:
        return []
    design = facts.design
    functions = facts.states.critical_functions if design.functions else ()
    critical = {n for f in functions for n in facts.states.loads_of(f)}
    return [
        f"parts/{n}"
        for n in design.of_kind((parts.Consumer, parts.Contactor))
        if n in critical or isinstance(design.parts[n], parts.Contactor) or n in design.starters
    ]


def judge(subject: Subject, facts: Facts):
    runs = [u for u in facts.switches.uncommanded if u.element == subject.pointer]
    if runs:
        first = runs[0]
        places = ", ".join(dict.fromkeys(bare(short.element) for u in runs for short in u.shorts))
        through = f" through {', '.join(map(bare, first.through))}" if first.through else ""
        also = ", ".join(u.state for u in runs[1:])
        verb = "runs" if subject.name in facts.design.starters else "is energised"
        yield Unmet(
            f"{subject.name} {verb} uncommanded{through} with a short to ground at {places}; no protective "
            "device opens.",
            state=first.state,
            failure=f"shorted to ground at {places}",
            path=first.path,
            numbers=(
                *((("through", ", ".join(map(bare, first.through))),) if first.through else ()),
                *((("also in", also),) if also else ()),
            ),
            hazard=HazardClass.HAZARDOUS if subject.name in facts.design.starters else None,
            remedy=_by_input(first.through, facts) or _by_unit(subject, facts),
        )


def _by_input(through, facts: Facts) -> str:
    """For what an input of a unit commands by a switch to ground: that it is commanded by its supply."""
    devices = ((bare(e), facts.design.parts.get(bare(e))) for e in through)
    commanded = ((name, getattr(part, "commanded_by", None)) for name, part in devices)
    return next((BY_INPUT.format(name, by.partition(".")[0]) for name, by in commanded if by), "")


def _by_unit(subject: Subject, facts: Facts) -> str:
    """For what a unit drives in its return, as a coil or an injector, which stays there."""
    driver = getattr(subject.part(facts.design), "driver", None)
    return BY_UNIT.format(subject.name, driver) if driver and driver != subject.name else ""
