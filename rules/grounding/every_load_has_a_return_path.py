"""Every load, coil, sensor and source has a return path to the negative of a source.

Why: a load without a return does not work, or returns through a shield, a sensor or a headset.

How judged: from each return terminal, a path by wires, cases, blocks, connectors and conducting
structure must reach the negative of a source with every contact closed. Structure conducts only if
the airframe, or that part of it, is metal. A sensor's path may end at the signal return of the
instrument that reads it. Not assessed if the path depends on whether an instrument joins its signal
returns to its power return, and the file does not say.

Not covered: whether the path is open in a state, and its resistance.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("ac-43-13-1b", "11-186, grounding"),
    ("practice", "a single-wire unit must state what its case is bolted to"),
)
REMEDY = "Wire the return, or state with `mounted-on` which conducting terminal the case is bolted to."


def subjects(facts: Facts):
    kinds = (parts.Consumer, parts.Electromagnet, parts.Sensor, parts.Alternator)
    return [f"parts/{n}" for n in facts.design.of_kind(kinds)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    if isinstance(part, parts.Consumer):
        returns = part.returns
    elif isinstance(part, parts.Electromagnet):
        returns = part.coil
    else:
        returns = ("ground",) if isinstance(part, parts.Alternator) else ("return",)
    terminals = tuple(f"{name}.{t}" for t in returns)

    def way(unknown_joined: bool):
        if isinstance(part, parts.Sensor):
            return facts.paths.sensor_return_path(name, unknown_joined)
        return facts.paths.return_path(terminals, unknown_joined)

    if way(False) is not None:
        return
    if (maybe := way(True)) is not None:
        unknown = [
            n
            for n in facts.design.of_kind(parts.Instrument)
            if f"parts/{n}" in maybe and facts.design.parts[n].signal_returns is None
        ]
        raise NotAssessable(f"`signal-returns` of {', '.join(unknown)}")
    yield Unmet(f"{name} has no return path from {' or '.join(terminals)} to the negative of a source.")
