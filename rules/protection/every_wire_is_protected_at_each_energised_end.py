"""Every wire has circuit protection at each end that can be energised, close to that end.

Why: a chafed wire burns with all that its source can deliver unless a breaker or fuse is between; a
wire between two live buses burns from both ends.

How judged: the wire is removed and the network followed from each end towards the sources. That is
done in each declared state, and in the normal state with a switch at each position that no flight
or abnormal state sets. A source met before any circuit protection energises that end unprotected.
Up to 6 in (0.1524 m) of such conductor from a terminal, bus or exempt cable to the first circuit
protection is accepted. That does not hold, at any length, for a wire that leads to a load with no
protection before it. Nor does it for one of unknown length that leads so to another source, as an
alternator lead, to a coil or to a field. The length is asked of a jumper between terminals of one
part, and of a battery's own cable that external power feeds. An alternator, charger or converter
limits itself. Its wire needs no protection at that end if it is rated for the current at which it
does, or without one for its rating. Exempt: the power cables of the starting circuit, from the
battery through contactors, relays, battery switches, shunts, connectors, studs and current limiters
to the starter. So are those from an external power socket behind its contactor, also to the bar
that feeds the starter. A battery cable, with the
shunts, connectors and studs in it, is exempt as far as the first contactor's main contact or
another battery in series. Nothing else that feeds a bus, a coil or a switch is exempt, nor a relay
that starts nothing, nor a thinner wire in parallel with such a cable. Coil returns switched to
ground are not energised. Without an `operation` a finding is what no position of the switches
changes. A battery or external power can energise the wire, and there is no circuit protection up to
a load, coil, field or another source.

Not covered: whether the protection at the other end fits the wire (reported when this end is
protected), and wires inside a unit.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, few, length, practice, thicker, trade_words

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "can burn"
CITATIONS = (
    ("ac-43-13-1b", "11-47, circuit protection for every wire, as close as possible to the source bus"),
    ("cfr-23-1357", "(a), protective devices in all circuits but those of the starter"),
    ("practice", "up to 6 in (0.15 m) unprotected"),
)
REMEDY = "Fit a fuse, current limiter or breaker within 6 in (0.15 m) of each end that can be energised."
STUB_M = practice("metres", "unprotected-conductor").high


def subjects(facts: Facts):
    return [w for w in facts.protection.energised_wires if w not in facts.protection.exempt_wires]


def judge(subject: Subject, facts: Facts):
    wire, unit = facts.design.wires[subject.name], facts.design.length_unit
    found = facts.protection.unprotected_end(subject.pointer)
    if found:
        thick = thicker(facts.design, subject.pointer, found.sources)
        feed, users = found.feed, found.users
        run = wire.length if feed.run_m is None else feed.run_m
        before = f", with no circuit protection up to {few(users)}" if users else ""
        far = "" if run is None else f"{length(run, unit, STUB_M)}, "
        size, by = trade_words.size_and_length(wire, unit), " and ".join(found.sources)
        yield Unmet(
            f"{subject.name}{size} is unprotected at {feed.end}; energised from {by}{before}.",
            state=feed.state,
            switches=feed.moved,
            path=(*(found.path or _path(feed, found.sources, facts)), subject.pointer),
            changes=("protection", f"{subject.pointer}/protection", *thick),
            remedy=trade_words.protection_at_end(found, run, facts),
            numbers=(
                *((("unprotected up to", few(users)),) if users else ()),
                ("unprotected conductor", f"{far}limit {length(STUB_M, unit, run)} to the first protection"),
            ),
        )


def _path(feed, sources: tuple[str, ...], facts: Facts) -> tuple[str, ...]:
    """From the first source to the part at which the wire is unprotected."""
    source, part = f"parts/{sources[0]}", f"parts/{feed.end.partition('.')[0]}"
    return (source,) if part == source else facts.protection.path_to(feed, part, source)
