"""Every wire that carries the starter's current withstands it for as long as the starter may be used.

Why: the starter's cables, straps and the battery's ground have no circuit protection; an
undersized one burns its insulation at the first long start, and nothing opens.

How judged: in each state and phase in which a starter runs, against the same state with the starter
open. Judged is each wire to whose current the starter adds a quarter of it or more, and 1 % of the
starter's. So are the wires that remain when a strap opens: a wire to the metal of engine or
structure with a quarter of the current or more. So are those of a start with one or two switches
moved, if it takes the current from another battery or through another contact, as a cross-feed
does. Circuit protection on that path ends it. The solved current may warm a wire from ambient to
the class of its insulation at most. Where that is not stated 200 C is taken, the highest class of
Table 11-9: no sound wire is then found at fault. That holds for the longest start: the
`longest-run` of the starter, else 30 s. The `duration` of the phase counts if that is more (of the
longest start, for a state without a phase). It holds for 10 s too, or the longest start if shorter,
at the `peak` of a stalled starter. IEC 60949 gives that time without loss of heat: on the safe
side, and the more so the longer the start. A wire that does not pass there is judged with loss of
heat. Its loss is such that it reaches its class at the current of AC 43.13-1B Table 11-9 for its
bundle and ambient. What it carries continuously within that table passes.

Not covered: a start before the wire is cool again, a stalled starter without a `peak`, and joints.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, and_list, quantity, remedy

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (
    ("iec-60949", "adiabatic equation, constants of copper"),
    ("ac-43-13-1b", "Table 11-9, current that a wire carries continuously"),
    ("faa-h-8083-29", "chapter 5, a starter is used for 30 s at once at most"),
    ("practice", "a wire warms as a body that loses heat in proportion; textbook physics, no source"),
    ("practice", "a start button is released within 10 s when the engine does not turn"),
)
REMEDY = "Use heavier cable for the starter, its ground and the engine straps."


def subjects(facts: Facts):
    if facts.wires.no_sizes:
        return []
    return [f"wires/{name}" for name in facts.protection.starter_cables.wires_without_a_lead()]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    heat = facts.protection.starter_cables.too_hot(name)
    if heat is None:
        return
    flown, bears = heat.start.flown, heat.withstand
    moved = facts.states.undeclared(heat.start.flown.state)
    hot = facts.protection.starter_cables.known_too_hot
    lost = heat.start.lost
    yield Unmet(
        f"{f'With {lost} open ' if lost else ''}{name} carries {quantity(heat.amperes, 'A')} for "
        f"{quantity(heat.seconds, 's', heat.bears_s)} in {flown}, "
        f"in which {and_list(heat.start.starters)} {heat.how}; "
        f"{facts.design.wires[name].size} withstands that for "
        f"{quantity(heat.bears_s, 's', heat.seconds)} ({quantity(bears.start_c, 'C')} ambient).",
        field="gauge",
        elements=tuple(f"wires/{w}" for w in hot),
        remedy=remedy.starter_cable(name, heat.start, hot, facts),
        state="" if moved else flown.state,
        switches=moved,
        failure=f"{lost} open" if lost else "",
        path=(subject.pointer, *(f"parts/{starter}" for starter in heat.start.starters)),
        numbers=(
            ("current", quantity(heat.amperes, "A")),
            ("duration", f"{quantity(heat.seconds, 's', heat.bears_s)} ({heat.lasts})"),
            ("limit", quantity(heat.bears_s, "s")),
            ("heat", quantity(heat.amperes**2 * heat.seconds, "A2s")),
            ("withstands without losing heat", quantity(bears.i2t_a2s, "A2s")),
            ("continuous limit", quantity(heat.continuous_a, "A")),
            ("conductor temperature", f"{quantity(bears.start_c, 'C')} to {quantity(bears.end_c, 'C')}"),
            *(() if facts.design.wires[name].insulation else (("insulation", "not stated: the best taken"),)),
            *facts.wires.typical_in(heat.point, (subject.pointer,)),
        ),
    )
