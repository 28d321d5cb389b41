"""Each load shedding action can be done in flight, sheds load, and leaves sound alternators on line.

Why: a plan that asks for a fuse behind the panel is no plan, nor is one that switches off what was
dead already. One that turns off the remaining alternator takes the last generation.

How judged: the actions of `load-shedding`, one after the other from the normal state without the
alternators. Each breaker or fuse moved must be accessible in flight, the switches must be free to
take the positions, and some load or coil must lose its power. Then after the loss of each
alternator alone: no action may turn off another one that is on line, or part it from every bus and
source. No function of class major or worse may go off that its `disconnects` does not name by its
loads. An action that sheds nothing is accepted where it brings another alternator to a battery
that it did not feed before, as a cross-feed does.

Not covered: loads that shed themselves; the current shed (`reviewer budget` shows it, and
main-batteries-meet-endurance-after-alternator-loss counts it); alternators of which one stands by
for the other (standby-alternators-wait-and-take-over). Nor is the generator of one load alone.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, and_list

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "runs short"
CITATIONS = (("practice", "each load to be shed has its own accessible switch or breaker"),)
REMEDY = "Give each load to be shed an accessible switch or breaker, or put them behind one switch or relay."


def subjects(facts: Facts):
    if facts.design.operation is None:
        return []
    return [f"operation/actions/{n}" for n in dict.fromkeys(facts.states.operation.load_shedding)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    pulled = [n for n, to in facts.states.operation.actions[name].move.items() if to == "pulled"]
    away = facts.crew.out_of_reach(name)
    if away:
        does = "pulls" if set(away) <= set(pulled) else "moves"
        yield Unmet(
            f"Action {name} {does} {and_list(away)}, not accessible in flight.",
            field="move",
            numbers=(("accessible on the ground only", ", ".join(away)),),
        )
        return
    unknown = [n for n in pulled if facts.design.parts[n].accessible is None]
    if unknown:
        raise NotAssessable(f"`accessible` of {', '.join(unknown)}")
    shed = next(s for s in facts.endurance.shed_plan if s.action == name)
    if shed.forbidden:
        yield Unmet(f"Action {name} leads to a switch combination listed under `excluded`.", field="move")
        return
    parts = facts.design.parts
    for lost, stopped in shed.stops:
        if lost not in parts[stopped].standby_for and stopped not in parts[lost].standby_for:
            yield Unmet(
                f"After loss of {lost}, action {name} turns off {stopped}, which is sound.",
                field="move",
                failure=f"{lost} lost",
                elements=(f"parts/{stopped}",),
                remedy=f"Leave {stopped} on line; turn off what was lost by an action of its own.",
            )
    classes = {f: HazardClass.of(facts.design.functions[f].loss) for f in shed.functions}
    grave = [f for f, loss in classes.items() if loss >= HazardClass.MAJOR]
    if grave:
        yield Unmet(
            f"Action {name} takes {' and '.join(grave)} off, which its `disconnects` does not say.",
            field="disconnects",
            functions=tuple(grave),
            hazard=max(classes[f] for f in grave),
            remedy="Leave on what the function needs, or list its loads under `disconnects`.",
        )
    if not shed.loads and not shed.joins:
        yield Unmet(
            f"Action {name} sheds no load: what it opens carries no current by then.",
            field="move",
        )
