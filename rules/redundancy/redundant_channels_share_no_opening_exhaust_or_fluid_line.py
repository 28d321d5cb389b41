"""Redundant channels do not pass one bulkhead opening, exhaust pipe or fluid line.

Why: a grommet that wears through, a broken exhaust pipe or a leaking line damages everything at
that place, however well each channel has its own feed, wire and bundle.

How judged: for each function of hazardous or catastrophic loss, in every normal flight state, all
wires that name one opening in `through` fail open together. So do all parts and wires in one zone
with `hazards`: an exhaust within 1 m, a fluid line above. As many channels must stay powered as the
function needs; crew actions do not count. What one of them or one severed bundle loses alone is
reported by other rules. A zone that holds enough of the units themselves to lose the function is
not judged: no route of a wire avoids it.

Not covered: openings and zones that the file does not name, and units that share heat or water
(redundant-channels-share-no-hot-or-wet-zone).
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, and_list

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "lost at one failure"
CITATIONS = (
    ("practice", "redundant channels take separate routes and pass the firewall through separate openings"),
    ("cfr-23-2525", "(b), no single failure"),
)
REMEDY = "Route one channel through its own opening, away from the exhaust and from fluid lines."
WORDS = {"exhaust": "within 1 m of an exhaust pipe", "fluid-line": "under a fluid line"}


def subjects(facts: Facts):
    if not facts.failures.openings and not facts.failures.exposed_zones:
        return []
    return [f"functions/{name}" for name in facts.states.critical_functions]


def judge(subject: Subject, facts: Facts):
    function = subject.name
    for loss in facts.failures.common_openings.get(function, ()):
        first = facts.failures.openings[loss.place][0]
        yield Unmet(
            f"{_named(loss)} pass one bulkhead opening, {loss.place}: damage there causes loss of "
            f"{function}.",
            subject=next((f"wires/{wire}" for wire, _ in loss.channels), first),
            field="through",
            state=loss.state,
            path=facts.failures.openings[loss.place],
            numbers=_channels(loss),
            extent=loss.place,
        )
    for loss in facts.failures.common_zones.get(function, ()):
        hazards = and_list(WORDS[h] for h in facts.design.aircraft.zones[loss.place].hazards)
        yield Unmet(
            f"{_named(loss)} are all in zone {loss.place}, {hazards}: damage there causes loss of "
            f"{function}.",
            state=loss.state,
            path=facts.failures.exposed_zones[loss.place],
            numbers=_channels(loss),
            extent=loss.place,
        )


def _named(loss) -> str:
    """The elements of the channels, with the load that each loses."""
    named = [name if name == load else f"{name} (of {load})" for name, load in loss.channels]
    return and_list(named) or "The wires of all channels"


def _channels(loss) -> tuple[tuple[str, str], ...]:
    return tuple((f"channel {load}", name) for name, load in loss.channels)
