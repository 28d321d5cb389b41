"""A critical function survives the severing of any one wire bundle.

Why: a loose panel, a hot exhaust or a seat rail cuts all wires of a bundle at one place.

How judged: in every normal flight state each bundle of two or more wires is severed; as many
channels must stay powered as the function needs. Runs of 0.3 m (1 ft) or less do not count: a short
common run at a shared unit is accepted. A run is a wire with those of the bundle that splices,
studs and connectors join to it. A wire without a length counts as long. Another rule covers what a
declared action recovers. The p-lead of a magneto touches ground where its bundle is severed, which
stops the magneto.

Not covered: bundles that touch each other, and fire in a zone.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    and_list,
    bare,
    failed_words,
    loss_words,
    no_channel_to_spare,
    remedy,
)

HAZARD = HazardClass.CATASTROPHIC
CONSEQUENCE = "lost at one failure"
CITATIONS = (
    ("practice", "redundant channels take separate routes; a common run of 1 ft is accepted"),
    ("cfr-23-2525", "(b), no single failure"),
)
REMEDY = "Route one channel in its own bundle, on the other side of the aircraft."
NO_OTHER = "Give {} one more channel, in a bundle of its own on the other side of the aircraft."


def subjects(facts: Facts):
    if not facts.states.critical_functions or not facts.states.flight_answers():
        return []
    if not facts.network.bundles and facts.design.aircraft.stage != "concept":
        raise NotAssessable("`bundle` of the wires")
    return [f"bundles/{name}" for name in facts.network.bundles]


def judge(subject: Subject, facts: Facts):
    points = facts.failures.cut_bundles.get(subject.pointer, ())
    if points:
        first = points[0]
        lost = dict.fromkeys(p.function for p in points)
        functions = ", ".join(lost)
        needed = no_channel_to_spare(facts.design, lost)
        yield Unmet(
            f"{failed_words(subject.pointer)} causes loss of {functions}: {loss_words(first)}."
            " Not recoverable in flight (no crew action declared restores it).",
            state=first.state,
            failure="severed",
            path=first.path,
            numbers=(
                ("loads lost", ", ".join(first.lost)),
                (
                    "wires in the bundle",
                    ", ".join(bare(w) for w in facts.network.bundles[subject.name]),
                ),
            ),
            lost=first.lost,
            functions=tuple(lost),
            hazard=max(p.hazard for p in points),
            remedy=remedy.run_apart(subject.pointer, points, facts)
            or _remedy(needed, len(needed) < len(lost)),
        )


def _remedy(needed: tuple[str, ...], others: bool) -> str:
    """Of functions with no channel to spare; "" for that of the rule."""
    more = NO_OTHER.format(and_list(needed))
    return (f"{REMEDY} {more}" if others else more) if needed else ""
