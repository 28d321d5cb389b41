"""Channels of a redundant function share no breaker, fuse or limiter.

Why: one overload, one loose fuse holder or one mistaken pull then takes both.

How judged: for each function that can lose a channel and live, and whose loss is major or worse, every protector is opened in every state of normal
flight; if two or more channels go dead together and too few are left, they share it. A feeder limiter is no finding where the channels have another way
to be fed. The lights of one system may share a protector, as 23.1357(b) allows.

Not covered: protectors inside a unit.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare

HAZARD = HazardClass.HAZARDOUS
CITATIONS = (
    ("cfr-23-1357", "(b), the protector of an essential circuit protects no other"),
    ("ntsb", "LAX08LA066, both ignitions through one fuse"),
)
REMEDY = "Fit one protector for each channel, fed from different buses."


def subjects(facts: Facts):
    if not facts.design.functions:
        raise NotAssessable("`functions`: which channels stand in for each other")
    facts.states.answers()
    functions = facts.design.functions.items()
    return [
        f"functions/{n}"
        for n, f in functions
        if f.any < len(f.of) and HazardClass.of(f.loss) >= HazardClass.MAJOR
    ]


def judge(subject: Subject, facts: Facts):
    function = subject.name
    for element, (state, channels) in facts.failures.shared_protectors(function).items():
        name = bare(element)
        yield Unmet(
            f"When {name} opens, {' and '.join(channels)} go dead together, which {function} counts as separate channels.",
            subject=element,
            state=state,
            failure="open",
            hazard=HazardClass.of(facts.design.functions[function].loss),
        )
