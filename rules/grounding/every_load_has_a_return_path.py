"""Every load, coil, sensor and source has a return path to the source that feeds it.

Why: a load without a return does not work, or returns through a shield, a sensor or a headset.

How judged: from each return a path by wires, cases, blocks, connectors and conducting structure
must reach the negative of a battery or socket, with every contact closed. That battery or socket
feeds the load in each declared state; of a load fed in no state, it is one that could. An
alternator's ground must reach the negative of a battery that it charges, another source the return
of a load that it feeds. A sensor's path may end at the signal return of the input that reads it,
and may be a shield; others may not. A sensor whose path ends at another input has crossed leads.
Structure conducts only where it is metal. Not assessed if the path depends on whether an instrument
joins its signal returns to its power return, and the file does not say. Loads of a source that
nothing returns to are reported with the source.

Not covered: whether the path is open in a state, and its resistance.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, parts, return_words

HAZARD, CONSEQUENCE = HazardClass.MAJOR, "not there when wanted"
CITATIONS = (
    ("ac-43-13-1b", "11-186, grounding"),
    ("practice", "a single-wire unit must state what its case is bolted to"),
)
REMEDY = "Wire the return, or state with `mounted-on` which conducting terminal the case is bolted to."


def subjects(facts: Facts):
    return [
        f"parts/{n}"
        for n in facts.design.of_kind((parts.Consumer, parts.Electromagnet, parts.Sensor, *parts.SOURCES))
    ]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    missing = facts.paths.missing_return(subject.pointer)
    if missing is None:
        return
    if facts.paths.missing_return(subject.pointer, unknown_joined=True) is None:
        of = facts.design.parts
        unsaid = [n for n in facts.design.of_kind(parts.Instrument) if of[n].signal_returns is None]
        raise NotAssessable(f"`signal-returns` of {', '.join(unsaid)}")
    ends = f"; it ends at {bare(missing.path[-1])}" if len(missing.path) > 1 else ""
    sources = " or ".join(bare(s) for s in missing.sources)
    own = return_words.terminals(subject.part(facts.design))
    terminals = " or ".join(f"{name}.{t}" for t in own)
    if crossed := return_words.crossed_sensor(name, missing.state, facts):
        yield crossed
        return
    if missing.sources == (subject.pointer,):
        what = f"Nothing that {name} feeds has a return path to {terminals}{ends}."
    else:
        home = f"the negative of {sources or 'a source'}"
        what = f"{name} has no return path from {terminals} to {home}{ends}."
        coil = isinstance(subject.part(facts.design), parts.Electromagnet)
        if coil and (lead := facts.switches.miswired_lead(subject.pointer)) and not lead.belongs:
            goes = f"is wired to {lead.at}" if lead.at else "leads to no return"
            what = f"Coil lead {lead.lead} {goes} and must lead to {home}: {name} has no return path{ends}."
    yield Unmet(
        what,
        state=missing.state,
        path=missing.path if ends else (),
        elements=missing.sources,
        changes=return_words.changes(name, missing, facts),
        numbers=(("fed by", sources),) if sources else (),
        remedy=return_words.remedy(name, own, missing, facts),
    )
