"""Redundant channels of a function share no breaker, fuse or current limiter.

Why: one overload, one loose fuse holder or one breaker pulled by mistake then loses both.

How judged: for each function of major or worse loss that has a spare channel, each breaker, fuse
and current limiter is opened in every normal flight state. Two or more channels lost together, with
too few left, share it. The class is that of the most severe function then lost without recovery. A
feeder limiter is no finding if the channels have another feed, for a function of major loss also
one that a declared action connects. The lights of one system may share, as 29.1357(e) allows. No
other rule reports the same opening.

Not covered: circuit protection inside a unit.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, feeds, few, rated

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "lost at one failure"
CITATIONS = (
    ("cfr-23-1357", "(b), the protective device of an essential circuit protects no other"),
    ("cfr-29-1357", "(e), each position light of one system need not have its own"),
    ("ntsb", "LAX08LA066, both ignitions through one fuse"),
)
#: functions that the sentence names
_NAMED = 3
REMEDY = "Fit a breaker or fuse for each channel, fed from different buses."


def subjects(facts: Facts):
    if not facts.design.functions:
        raise NotAssessable("`functions`: which channels are redundant")
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
        single = [p for p in facts.failures.single_points.get(element, ()) if "open" in p.modes]
        lost = list(dict.fromkeys((function, *(p.function for p in single))))
        points = (*single, *facts.failures.recoverable_points.get(element, ()))
        shorts = ", ".join(dict.fromkeys(bare(e) for p in points for e in p.equivalent))
        yield Unmet(
            f"If {rated(name, facts.design.parts[name])} opens, {few(lost, _NAMED)} "
            f"{'are' if lost[1:] else 'is'} lost: the redundant channels {', '.join(channels)} depend on it.",
            subject=element,
            state=state,
            failure="open",
            path=facts.states.circuit_path(state, [f"parts/{n}" for n in _loads(channels, facts)], element),
            numbers=(
                ("channels", ", ".join(channels)),
                *((("opened by a short to ground at", shorts),) if shorts else ()),
            ),
            remedy=f"Feed {channels[-1]} from another bus, by a breaker or fuse of its own.",
            lost=tuple(_loads(channels, facts)),
            functions=tuple(dict.fromkeys(p.function for p in single)) or (function,),
            changes=feeds(facts.design, [function], channels),
            hazard=max([HazardClass.of(facts.design.functions[function].loss), *(p.hazard for p in single)]),
        )


def _loads(channels: tuple[str, ...], facts: Facts) -> list[str]:
    """The loads of some channels, each of which is a function or a load."""
    functions = facts.design.functions
    return [n for c in channels for n in (facts.states.loads_of(c) if c in functions else (c,))]
