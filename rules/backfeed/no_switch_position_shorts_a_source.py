"""No switch setting shorts a source from positive to its own negative.

Why: a reversing switch with a wrong contact table, two relays that can both be energised, or a wire
on the wrong terminal is a dead short. It comes at first power-up, or when both switches are held.

How judged: the positive of each live source must not reach its own negative without a load between.
That is tried in each declared state, in every other legal combination of the switches that matter,
and in transit from each position to the next. Contacts of unknown `transfer` are tried both ways.

Not covered: welded contacts, relays in transit, and a switch that stops between positions.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, and_list, bare, parts

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "can burn"
CITATIONS = (("practice", "no position of a reversing switch joins positive and negative"),)
REMEDY = "Interlock the contacts, use a change-over contact with a centre-off position, or move the wire."


def subjects(facts: Facts):
    return [s.element for s in facts.network.sources if facts.states.declared]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    shorted = [s for s in facts.paths.shorted_sources() if s.source == subject.pointer]
    if shorted:
        also = ", ".join(s.state for s in shorted[1:])
        first = shorted[0]
        yield Unmet(
            f"{name} is shorted in {first.state}.",
            state=first.state,
            path=first.path,
            changes=("isolation",),
            remedy=_through_unit(first.path, facts),
            numbers=(("also in", also),) if also else (),
        )
        return
    for short in facts.paths.combined_shorts:
        if short.source == subject.pointer:
            how = short.combination
            moved = and_list(f"{switch} at {at}" for switch, at in how.moved if switch != how.moving)
            yield Unmet(
                f"{name} is shorted "
                + (
                    f"while {how.transit}{f', with {moved}' if moved else ''}."
                    if how.transit
                    else f"with {moved}."
                    if moved
                    else "with the engine stopped."
                ),
                path=short.path,
                changes=("isolation",),
                remedy=_through_unit(short.path, facts),
                switches=how.switches,
                numbers=(("engine", how.engine),),
            )


def _through_unit(path, facts: Facts) -> str:
    """What puts right a short by the joined returns of an instrument; "" for one by contacts."""
    found = facts.design.of_kind(parts.Instrument)
    unit = next((bare(element) for element in path if bare(element) in found), "")
    return unit and (
        f"{unit} joins its signal returns to its power return: take the lead off that signal return, or "
        "write `signal-returns: isolated` where the unit keeps them apart."
    )
