"""A parked battery keeps half of its charge for 30 days, a reserve for 60 days.

Why: a clock, a sense lead or a hot diode discharges a battery between flights; a reserve shows it
only when it is needed.

How judged: in the declared state on the ground with the engine stopped that has the fewest loads
on. One of a check or of a phase counts only where no switch turns anything more off.
The drain is what stays on as solved, standby currents, leakage of diodes towards a dead side (none
across a coil or motor), and inputs that sense a live point. If the file gives no figure the range
of common practice is tried; the rule asks for the figure only where it decides.

Not covered: the battery's self-discharge and the supply of its management circuit.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    days,
    drain_current,
    exceeds,
    in_brackets,
    parts,
    practice,
    remedy,
)

HAZARD, CONSEQUENCE = HazardClass.MINOR, "runs short"
CITATIONS = (("practice", "30 days to half charge at least, 60 advised"),)
REMEDY = "Put the largest drain behind a switch or relay, or move its feed to the main side."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Battery)] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    name, reserve = subject.name, subject.part(facts.design).purpose == "reserve"
    limit = practice("days", "advised-least" if reserve else "lead-acid-least")
    asked: dict[str, tuple[str, str]] = {}
    for state in facts.endurance.parked_states():
        drained = next(d for d in facts.endurance.parasitic_drains(state) if d.battery == name)
        if exceeds(limit.low, drained.days[1]):
            least, lasts, draws = drain_current(drained.amperes[0]), days(drained.days[1]), drained.largest
            fed = draws[0].element if draws else ""
            feed = fed and facts.states.path_from(state, subject.pointer, fed)
            feed = feed or (facts.states.path_to(state, fed) if fed else ())
            path = facts.paths.backfeed_along(state, feed) if subject.pointer in feed[:1] else ()
            first = f", of which {draws[0].what}" if draws and draws[0].by_load else ""
            yield Unmet(
                f"{name} is half discharged after {lasts} in {state}: parasitic drain {least}{first}; "
                f"required {limit.low:g} days.",
                state=state,
                elements=feed,
                path=path,
                changes=("isolation",),
                hazard=HazardClass.MAJOR if reserve else None,
                numbers=(
                    ("drain", "; ".join(d.what for d in draws)),
                    ("required", f"{limit.low:g} days {in_brackets(limit.origin)}"),
                ),
                remedy=remedy.less_drain(name, draws[0], state, path) if draws else "",
            )
            return
        if exceeds(limit.low, drained.days[0]):
            asked |= {d.key: d.lacks for d in drained.draws if d.key}
    if asked:
        raise NotAssessable(", ".join(asked), asked.values())
