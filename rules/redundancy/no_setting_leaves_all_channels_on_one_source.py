"""No setting of the change-over switches leaves all channels of an engine function on one battery, unless a placard warns of it.

Why: redundancy that one wrong switch position undoes without any sign is gone when the battery goes.

How judged: every legal setting of the switches that change the function over, engine stopped, in which all channels that live in the dispatch state
live; each battery is taken away. A setting in which that takes the function is a finding unless the dispatch state hangs on one battery already
(a rule of its own), or each switch that was moved has a `placard`, or `excluded` says what prevents the setting.

Not covered: alternators, which count as lost here, and switches that only switch a channel off.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare

HAZARD = HazardClass.MAJOR
CITATIONS = (("practice", "both channels on one source by a wrong position is placarded or interlocked"),)
REMEDY = (
    "Give the switch a placard that names the position, or prevent the setting and say so under `excluded`."
)


def subjects(facts: Facts):
    return list(dict.fromkeys(f"functions/{c.function}" for c in facts.crew.changeovers))


def judge(subject: Subject, facts: Facts):
    function = subject.name
    setting = facts.crew.all_on_one_source(function)
    if setting and not all(facts.design.parts[s].placard for s, _ in setting.moved):
        moved = " and ".join(f"{s} at {at}" for s, at in setting.moved)
        yield Unmet(
            f"With {moved} all channels of {function} hang on {bare(setting.source)} alone.",
            switches=setting.switches,
        )
