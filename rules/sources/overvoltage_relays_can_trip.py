"""An overvoltage relay can trip, and a check shows each single failure that keeps it from that.

Why: a relay that has lost its ground lead, or that sticks, changes nothing until the regulator
fails; then the alternator takes everything on its bus up without limit.

How judged: an overvoltage relay is a switch that voltage operates, that follows nothing, and that
takes the field of an alternator with a trip. Where it has a `ground`, that needs a path to the
return of a source in each state in which the alternator is on line. With each single failure of the
normal state that no use, monitor or check shows, the regulator fails full on: the relay must then
stop the alternator. A check shows such a failure in a state whose `switches` have the relay
tripped, if it watches what that does: the alternator, its lamp, a voltage. A relay with a `ground`
moves there with its ground only. The latent failure is minor: a loss takes a failure of the
regulator too.

Not covered: a trip that is not drawn, and at which volts the relay trips.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, checks, few

HAZARD, CONSEQUENCE = HazardClass.MAJOR, "not there when wanted"
CITATIONS = (
    ("ac-23-1309-1e", "latent failures, with one further failure"),
    ("cfr-23-1351", "(c)(5), overvoltage control"),
)
UNGROUNDED = "Ground the relay."
REMEDY = (
    "Provide a test of the overvoltage relay, and a check (under `watch`) in a state that has it tripped "
    "and watches what that does."
)


def subjects(facts: Facts):
    relays = [relay for relay, _ in facts.network.overvoltage_relays]
    if relays and facts.design.operation is None:
        raise NotAssessable("`operation` with its `states`")
    return relays


def judge(subject: Subject, facts: Facts):
    ground = f"{subject.name}.{subject.part(facts.design).ground}"
    for alternator, state in facts.sources.ungrounded_relays(subject.pointer):
        yield Unmet(
            f"{subject.name}, the overvoltage relay of {bare(alternator)}, does not trip: {ground} has no "
            "path to the return of a source.",
            field="ground",
            state=state,
            elements=(alternator,),
            remedy=UNGROUNDED,
        )
    found = facts.detection.unseen_trip_loss(subject.pointer)
    if found is None:
        return
    elements = list(dict.fromkeys(f.element for f in found.failures))
    said = [f"{bare(f.element)} {f.words(facts.network)}" for f in found.failures]
    yield Unmet(
        f"No check shows that {subject.name} does not trip after a single failure of "
        f"{few(list(map(bare, elements)))}: nothing then stops the overvoltage of {found.alternator} with "
        f"{found.regulator} failed full on.",
        state=found.state,
        failure=said[0],
        numbers=(("failures", "; ".join(said)), ("regulator failed full on", found.regulator)),
        elements=tuple(elements),
        changes=checks(elements),
        hazard=HazardClass.MINOR,
    )
