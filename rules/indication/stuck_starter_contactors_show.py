"""A starter contactor that sticks shows on a lamp or in volts.

Why: a starter that stays engaged after the start burns, drags the battery and can overcharge the system; the pilot hears nothing of it over the engine.

How judged: in each state of normal flight the contacts of every relay and contactor are held as energised. Where a starter then has power, some monitor of a
voltage or of something live that has power itself must read otherwise. High amperes are no warning.

Not covered: a starter that does not say `type: starter`, a pinion that stays engaged without power, and a start switch that sticks.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.MAJOR
CITATIONS = (("practice", "a starter-engaged lamp from the starter's terminal; some countries require it"),)
REMEDY = "Light a lamp from the starter's terminal through a 1 A fuse, or show the volts there, and declare it under `watch`."


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
                f"{subject.name} can stick and keep {stuck.starter} running, and no monitor shows it.",
                state=stuck.state,
                failure="contacts stuck as energised",
            )
            return
