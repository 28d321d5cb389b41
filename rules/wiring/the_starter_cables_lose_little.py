"""Between the posts of the battery and the starter no more is lost than the trade allows while it cranks.

Why: a volt lost in cables, straps and contactors is taken from the starter when the battery has least to give; the engine then turns too slowly to start.

How judged: in each state in which the engine cranks, the volts from the battery's positive post to the starter and from the starter to the negative post, by
engine and straps, at the starter's current; 1.5 V at most, twice that in a 28 V system. The drop allowed for loads does not apply here.

Not covered: the battery itself, cold or old, and joints that are worse than typical ones.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, parts, practice

HAZARD = HazardClass.MINOR
CITATIONS = (("practice", "1.0 to 1.5 V between battery and starter while cranking"),)
REMEDY = "Use heavier cable (4 or 2 AWG), a second strap between engine and battery ground, shorter runs."


def subjects(facts: Facts):
    return (
        []
        if facts.wires.no_sizes
        else [
            f"parts/{n}" for n in facts.design.of_kind(parts.Load) if facts.design.parts[n].type == "starter"
        ]
    )


def judge(subject: Subject, facts: Facts):
    name = subject.name
    if subject.part(facts.design).current is None:
        raise NotAssessable(f"`current` of {name} while it cranks")
    runs = facts.wires.starter_runs.get(subject.pointer)
    if not runs:
        raise NotAssessable(f"a state with `engine: cranking` in which {name} turns")
    limit = practice("volts", "cranking-drop").high * facts.design.aircraft.scale
    flown, run = max(runs, key=lambda entry: entry[1].volts)
    if run.volts <= limit + 1e-9:
        if lacks := facts.wires.lacking(flown, run.elements):
            raise NotAssessable(f"{lacks}, to know what is lost while the engine cranks")
        return
    yield Unmet(
        f"Between {bare(run.begins)} and {name} {run.volts:.2f} V are lost while it draws {run.amperes:.0f} A in {flown}.",
        state=flown.state,
        path=run.elements,
        numbers=(
            *facts.wires.drop_numbers(run),
            ("limit, common practice", f"{limit:g} V"),
            *facts.wires.typical_behind(flown, run.elements),
        ),
    )
