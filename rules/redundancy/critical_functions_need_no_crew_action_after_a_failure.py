"""A critical function survives every single failure without crew action.

Why: engines have stopped with a second feed available because nobody moved the switch, or moved it
too briefly.

How judged: each single failure in every normal flight state that loses a function of hazardous or
catastrophic loss and that up to three declared actions in sequence recover. The actions start from
the state after the failure, relays as it left them, opened breakers open unless reset. They may
lose no function as severe and leave none of its loads below `minimum` voltage; a breaker accessible
on the ground only is not moved. A short that a device further upstream may clear first must be
recovered in each outcome. Not judged: a failure after which batteries inside units keep the
function on for the `recognition-time` and the time of the moves. Major if one move is enough and an
alarm or a lost reading shows it, else hazardous. Other rules cover what no declared action
recovers.

Not covered: whether the crew can reach the switch, intermittent open circuits, failures of
mechanical parts, after which the crew switches the backup on.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare, failed_words, no_move, quantity

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "not there when wanted"
CITATIONS = (
    ("ntsb", "ANC19LA036, the alternate bus was never selected"),
    ("ntsb", "DEN05LA123, the auxiliary battery was selected for 2 to 3 s"),
    ("cfr-23-2525", "(b), no single failure"),
)
REMEDY = (
    "Make the independent feed the normal one, or join both feeds to each channel through diodes, with "
    "protection in each feed that no other channel shares."
)


def subjects(facts: Facts):
    judged = facts.states.critical_functions and facts.states.flight_answers()
    return [*facts.network.elements, *facts.network.groups] if judged else []


def judge(subject: Subject, facts: Facts):
    points = [
        p
        for p in facts.failures.recoverable_points.get(subject.pointer, ())
        if not facts.failures.loses_channels(p.function, subject.pointer)
    ]
    if points:
        first = points[0]
        ways = [
            (facts.crew.recoveries(p.function, p.state, f)[0], facts.detection.warned(p.state, f))
            for p in points
            for f in p.failures
        ]
        longest = max((way for way, _ in ways), key=lambda way: len(way.moves))
        told = [
            name for name, _ in facts.design.watch.monitors.items() if all(name in names for _, names in ways)
        ]
        plain = all(len(way.moves) == 1 and names for way, names in ways)
        moves = longest.words
        functions = ", ".join(dict.fromkeys(p.function for p in points))
        alike = ", ".join(dict.fromkeys(bare(e) for p in points for e in p.equivalent))
        changes, on = no_move(subject, points, [way for way, _ in ways], facts)
        yield Unmet(
            f"{failed_words(subject.pointer)} causes loss of {functions} until the crew sets {moves}"
            + ("." if all(names for _, names in ways) else "; no alarm or lost reading indicates it."),
            state=first.state,
            failure="; ".join(first.modes),
            path=first.path,
            numbers=(
                ("moves", moves),
                ("time", "not stated" if longest.seconds is None else quantity(longest.seconds, "s")),
                ("channels powered before", ", ".join(longest.before) or "none"),
                ("after recovery", ", ".join(longest.after)),
            )
            + ((("indicated by", ", ".join(told)),) if told else ())
            + ((("same effect from a short to ground at", alike),) if alike else ()),
            lost=tuple(dict.fromkeys(n for p in points for n in p.lost)),
            changes=changes,
            remedy=on,
            hazard=HazardClass.MAJOR if plain else HazardClass.HAZARDOUS,
        )
