"""A starter contactor with welded contacts is indicated by a lamp or a voltage.

Why: a starter that stays engaged after the start burns, drains the battery and can overcharge the
system; the pilot does not hear it over the engine.

How judged: in each normal flight state the contacts of every relay and contactor are welded closed.
If a starter is then powered, some powered monitor of a voltage or of something live must change
from none to some voltage, or back. A high current and a bus voltage that sags with it are no
warning: an overload does the same.

Not covered: a starter without `type: starter`, a pinion that stays engaged without power, and a
stuck start switch.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("practice", "a starter-engaged lamp from the starter terminal"),)
REMEDY = (
    "Light a lamp from the starter terminal through a 1 A fuse, or show the voltage there, and declare "
    "it under `watch`."
)


def subjects(facts: Facts):
    return (
        list(dict.fromkeys(stuck.contactor for stuck in facts.detection.stuck_starters))
        if facts.design.operation
        else []
    )


def judge(subject: Subject, facts: Facts):
    if not facts.design.watch.monitors:
        raise NotAssessable("`watch` with its `monitors`")
    for stuck in facts.detection.stuck_starters:
        if stuck.contactor == subject.pointer and not stuck.shown:
            yield Unmet(
                f"Welded contacts of {subject.name} keep {stuck.starter} running; no lamp or voltage at it "
                "indicates it.",
                state=stuck.state,
                failure="contacts welded closed",
                numbers=(("keeps running", stuck.starter),),
            )
            return
