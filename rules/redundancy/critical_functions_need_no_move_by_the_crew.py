"""A critical function lives on after a single failure without a move by the crew.

Why: an engine stopped though a second feed was there, because nobody moved the switch, or did so for too short a time.

How judged: each single failure, in every state of normal flight, that loses a function whose loss is hazardous or catastrophic and that a declared
action brings back, or up to three in a row do. From the state after the failure the moves are made; relays start as the failure left them, opened
protectors stay open unless put in, and no other function that is as grave may be lost. It is major where one move is enough and an alarm is given
or a reading goes away, else hazardous. What no declared action restores is told by other rules.

Not covered: whether the crew can reach the switch, and a part that is open and would close again.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare

HAZARD = HazardClass.HAZARDOUS
CITATIONS = (
    ("ntsb", "ANC19LA036, the alternate bus was never selected; DEN05LA123, it was selected for 2 to 3 s"),
    ("cfr-23-2525", "(b), no single failure"),
)
REMEDY = "Make the independent feed the normal one, or join both feeds to each channel by diodes."


def subjects(facts: Facts):
    bundles = [f"bundles/{name}" for name in facts.network.bundles]
    return (
        [*facts.network.elements, *bundles]
        if facts.states.critical_functions and facts.states.flight_answers()
        else []
    )


def judge(subject: Subject, facts: Facts):
    points = [
        p
        for p in facts.failures.restorable_points.get(subject.pointer, ())
        if subject.pointer not in facts.failures.shared_protectors(p.function)
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
        moves = " and ".join(f"{name} to {position}" for name, position in longest.moves)
        functions = ", ".join(dict.fromkeys(p.function for p in points))
        alike = ", ".join(dict.fromkeys(bare(e) for p in points for e in p.alike))
        yield Unmet(
            f"When {subject.name} fails, {functions} is lost until the crew sets {moves}"
            + ("." if all(names for _, names in ways) else "; no alarm and no lost reading tells them."),
            state=first.state,
            failure="; ".join(first.modes),
            path=first.path,
            numbers=(
                ("moves", str(len(longest.moves))),
                ("time", "not stated" if longest.seconds is None else f"{longest.seconds:g} s"),
                ("channels that work before", ", ".join(longest.before) or "none"),
                ("after", ", ".join(longest.after)),
            )
            + ((("told by", ", ".join(told)),) if told else ())
            + ((("a short to ground at these does the same", alike),) if alike else ()),
            hazard=HazardClass.MAJOR if plain else HazardClass.HAZARDOUS,
        )
