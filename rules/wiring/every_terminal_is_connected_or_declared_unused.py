"""Every terminal is connected, or declared unused.

Why: a forgotten terminal is a forgotten wire; on paper it costs nothing to ask.

How judged: each terminal that a part has by its kind must be met by a wire, a mounting or a shield,
or be listed under `unused`. An output that a state switches on is in use, whatever `unused` says. A
splice, stud, block or bus with a single connection joins nothing. An input for which a monitor has
no lead is reported by monitors-are-connected-to-what-they-sense.

Not covered: terminals that the file does not name; lamp and control of a permanent-magnet machine.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, kind_word, parts

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (("practice", "every terminal is wired or marked spare"),)
REMEDY = "Wire the terminal, or list it under `unused`."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.parts]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    states = facts.states.declared.values() if facts.design.operation else ()
    on = {output for state in states for output in state.outputs_on}
    outputs = getattr(part, "outputs", {})
    driven = [o.terminal for key, o in outputs.items() if f"{name}.{key}" in on]
    asked = [t for t in part.terminals() if t not in (*part.unused, *part.spare) or t in driven]
    told = {terminal for loose in facts.detection.undrawn_leads.values() for terminal in loose}
    loose = [t for t in asked if not facts.network.wired(f"{name}.{t}") and f"{name}.{t}" not in told]
    if getattr(part, "mounted_on", None):
        loose = [t for t in loose if t not in getattr(part, "returns", ("return", "ground"))]
    used = [n for n in facts.network.nodes_of[subject.pointer] if facts.network.wired(facts.network.names[n])]
    if loose:
        yield Unmet(
            f"{name} has {'unconnected terminals' if len(loose) > 1 else 'an unconnected terminal'}: "
            f"{', '.join(loose)}.",
            changes=(f"{subject.pointer}/connection",),
            remedy="Wire the output to what it switches, or remove it from the `outputs-on` of the states."
            if set(loose) <= set(driven)
            else "",
        )
    elif part.open_ended and len(used) < 2 and not isinstance(part, parts.Airframe):
        yield Unmet(
            f"{kind_word(part).capitalize()} {name} has "
            f"{'only one connection' if used else 'no connection'} and joins nothing."
        )
