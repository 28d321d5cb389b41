"""No single failure stops every alternator through its excitation or control.

Why: a second alternator is carried for the loss of the first. Where both fields are on one bus,
switch, breaker or ground, its failure stops both, though a sound output is left.

How judged: aircraft with two or more alternators that work at once in normal flight, or of which a
declared action starts another; the generator of one load is none of them. Each single failure is
simulated, stuck relays and a regulator failed full on included. A finding is a failure after which
none supplies a load or charges a battery, at once or after one declared action. One of them must
still be able to feed a load, if it were excited and the relays in its own output stood as before. A
common bus or ground whose loss takes the outputs themselves is no finding. Minor where what it
would feed belongs to no function of major or graver loss.

Not covered: severed bundles; resistance in a field circuit; circuit protection further upstream
that may open first.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, and_list, bare, failed_words, few, parts

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("practice", "each alternator has a field circuit, regulator and switch of its own"),)
REMEDY = (
    "Give each alternator a field or control circuit of its own, from the bus that it feeds, with its own "
    "circuit protection, switch and ground."
)


def subjects(facts: Facts):
    machines = facts.design.of_kind(parts.Alternator)
    return [f"parts/{n}" for n in machines] if len(machines) > 1 and facts.states.flight_answers() else []


def judge(subject: Subject, facts: Facts):
    own = facts.states.own_generators
    every = [n for n in facts.design.of_kind(parts.Alternator) if f"parts/{n}" not in own]
    for lost in facts.sources.lost_together.get(subject.pointer, ()):
        first, spared = lost.failures[0], [bare(e) for e in lost.spared]
        others = dict.fromkeys(bare(f.element) for f in lost.failures if f.element != first.element)
        loses = "loses its excitation or control, though its output is sound"
        if spared[1:]:
            loses = "lose their excitation or control, though an output is sound"
        yield Unmet(
            f"{failed_words(first.element)} stops every alternator: {and_list(spared)} {loses}.",
            state=lost.state,
            failure=f"{bare(first.element)} {first.words(facts.network)}",
            path=lost.lead.path if lost.lead else (),
            numbers=(
                ("alternators", ", ".join(every)),
                ("loads left to batteries, or dead", few([bare(e) for e in lost.loads], 6)),
                *((("same effect from failure of", ", ".join(others)),) if others else ()),
            ),
            changes=tuple(f"{e}/feed" for e in lost.spared)
            if lost.lead or not lost.ungrounded
            else (f"{lost.ungrounded}/return",),
            elements=tuple(dict.fromkeys(f.element for f in lost.failures)),
            extent=and_list(spared),
            hazard=HazardClass.MAJOR if _grave(lost.loads, facts) else HazardClass.MINOR,
            remedy=_remedy(lost) or REMEDY,
        )


def _grave(loads, facts: Facts) -> bool:
    functions = facts.design.functions
    grave = [n for n, f in functions.items() if HazardClass.of(f.loss) >= HazardClass.MAJOR]
    return not functions or any(bare(e) in facts.states.loads_of(n) for n in grave for e in loads)


def _remedy(lost) -> str:
    lead, name, ways = lost.lead, bare(lost.spared[0]), []
    if lead and lead.bus:
        own = {"circuit protection": lead.protected, "a switch": lead.switched}
        lacks = and_list(words for words, there in own.items() if not there)
        by = f", by {lacks} of its own" if lacks else ""
        ways.append(f"Move {lead.wire}, which excites or controls {name}, from {lead.at} to {lead.bus}{by}.")
    if lost.ungrounded:
        ways.append(f"Ground {bare(lost.ungrounded)}, without which {name} stops, by a lead of its own.")
    return " ".join(ways)
