"""The drill that switches buses off for smoke leaves every channel of the engine on.

Why: a crew that smells smoke switches the master off, and the engine is left with one channel of
two when the emergency has only begun.

How judged: a drill is a state of use `abnormal` with the engine running and buses under `dead`, or
an action that disconnects a bus, done in the normal state. Each load that is one of several
channels of a function of hazardous or catastrophic loss, and is on in the normal state, must be on
in it. So must an instrument that drives a load or relay, or is of the `unit-type` of one that does.
Accepted: where more channels stay on than the function needs; a function that goes on without
electricity, as by an engine-driven pump. So is a load that the drill switches off by its own
switch, and a drill for a part of the aircraft where another drill leaves the load on. A function
that the state is declared `without` and that works in it is judged as it works. The hazard is
minor: the function continues on the remaining channels. Where a switch takes a bus off and no drill
is declared, the rule asks for it.

Not covered: instruments that drive nothing; and functions that the drill loses as a whole
(critical-functions-are-powered-in-every-flight-state).
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare, few, parts

HAZARD = HazardClass.MINOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("cfr-23-1361", "(b), circuits needed for the engine may stay live"),)
REMEDY = (
    "Feed the channel from the battery side of what the drill switches off, with circuit protection and a "
    "switch of its own."
)


def subjects(facts: Facts):
    if not facts.design.functions or not facts.design.operation:
        return []
    facts.crew.need_drill(of_channels=True)
    if not facts.crew.drills:
        return []
    critical = facts.states.critical_functions
    loads = dict.fromkeys(n for f in critical for n in facts.states.units_of(f))
    return [f"parts/{n}" for n in loads if isinstance(facts.design.parts[n], (parts.Load, parts.Instrument))]


def judge(subject: Subject, facts: Facts):
    lost = [c for c in facts.crew.channels_lost_in_drills if c.load == subject.name]
    if lost:
        first = lost[0]
        also = list(dict.fromkeys(c.drill.name for c in lost if c.drill is not first.drill))
        channels, left = len(facts.design.functions[first.function].of), len(first.left)
        yield Unmet(
            f"{subject.name} goes off with {few(first.drill.buses)} in {first.drill.name}: "
            f"{left} of {channels} channels of {first.function} {'stays' if left == 1 else 'stay'} on.",
            state=first.drill.answer.state.name,
            changes=(f"parts/{first.dark}/feed",),
            functions=(first.function,),
            path=first.path,
            numbers=(
                ("de-energised in the drill", few(first.drill.buses)),
                *((("opened by", few([bare(e) for e in first.opened])),) if first.opened else ()),
                *((("also in", few(also)),) if also else ()),
            ),
        )
