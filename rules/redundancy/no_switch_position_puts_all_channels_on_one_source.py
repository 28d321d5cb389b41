"""No change-over position puts all channels of an engine function on one battery without a placard.

Why: one wrong switch position then removes the redundancy without any sign, until the battery
fails.

How judged: every legal setting of the change-over switches of the function, engine stopped, in
which all channels powered in the normal state are powered. Each battery is removed in turn. A
setting in which that loses the function is a finding. Accepted: the normal state already depends on
one battery (another rule), each switch moved has a `placard`, or `excluded` says what prevents the
setting.

Not covered: alternators, which count as lost here, and switches that only switch a channel off.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, and_list, bare

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("practice", "a position with both channels on one source is placarded or interlocked"),)
REMEDY = "Placard the switch position, or prevent the setting and declare it under `excluded`."


def subjects(facts: Facts):
    return list(dict.fromkeys(f"functions/{c.function}" for c in facts.crew.changeovers))


def judge(subject: Subject, facts: Facts):
    function = subject.name
    setting = facts.crew.all_on_one_source(function)
    if setting and not all(facts.design.parts[s].placard for s, _ in setting.moved):
        moved = and_list(f"{s} at {at}" for s, at in setting.moved)
        yield Unmet(
            f"All channels of {function} depend on {bare(setting.source)} alone with {moved}; no placard.",
            switches=setting.switches,
            numbers=(("source", bare(setting.source)),),
        )
