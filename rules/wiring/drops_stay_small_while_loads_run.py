"""The wires to each load and back lose no more than the allowed drop while it draws its usual current.

Why: what is lost on the way is missing at the radio, the pump and the heater, and a lost volt is often a bad joint before it is a thin wire.

How judged: for each load that draws its current on and on, in each flown state in which the engine does not crank: volts lost from the bus to the load and
from its return to the source (wires, contacts, protectors and pins), against AC 43.13-1B Table 11-6, continuous. Where no bus stands between, the run begins
at the source. Diodes are left out and told apart: their drop is no wire drop. A load that does not say how it is `used` is judged by the limit for
short times, and asked for where it exceeds the other.

Not covered: the starter and loads used for short times (rules of their own), and the drop from a source to its bus.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, allowed_drop, parts

HAZARD = HazardClass.MINOR
CITATIONS = (("ac-43-13-1b", "11-66 and Table 11-6, continuous"),)
REMEDY = "Use a larger wire where most is lost, shorten the run, or take a contact out of it."


def subjects(facts: Facts):
    if facts.wires.no_sizes:
        return []
    loads = facts.design.of_kind(parts.Consumer)
    fed = [
        f"parts/{n}"
        for n in loads
        if facts.design.parts[n].used != "intermittent"
        and getattr(facts.design.parts[n], "type", None) != "starter"
    ]
    return [load for load in fed if facts.wires.fed_in_steady(load)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    limit = allowed_drop(facts.design.aircraft.nominal, "continuous")
    runs = facts.wires.steady_runs.get(subject.pointer, ())
    worst = max(runs, key=lambda entry: entry[1].volts, default=None)
    if worst is None or worst[1].volts <= limit.value + 1e-9:
        for flown in (entry[0] for entry in runs) if runs else facts.wires.steady:
            if lacks := facts.wires.lacking(flown, (subject.pointer, *(worst[1].elements if worst else ()))):
                raise NotAssessable(f"{lacks}, to know what is lost on the way to the loads")
        return
    flown, run = worst
    if (
        subject.part(facts.design).used is None
        and run.volts <= allowed_drop(facts.design.aircraft.nominal, "intermittent").value
    ):
        raise NotAssessable(
            f"`used` of {name}: {run.volts:.2f} V are lost on its way, allowed for short times only"
        )
    yield Unmet(
        f"On the way to {name} and back {run.volts:.2f} V are lost in {flown}, of {limit.value:g} V that are allowed.",
        state=flown.state,
        path=run.elements,
        numbers=(
            *facts.wires.drop_numbers(run),
            ("limit", f"{limit.value:g} V"),
            *facts.wires.typical_behind(flown, run.elements),
        ),
        hazard=facts.wires.hazard_of(subject.pointer, HazardClass.MAJOR),
    )
