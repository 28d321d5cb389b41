"""A wire that alone returns a circuit is as large as the circuit's breaker or fuse requires.

Why: a return carries all that the supply wire does. With a failed unit, or a shorted cell of a
battery under charge, the device lets its rating through without opening, and a thin return burns.

How judged: for each load and instrument in use and each reserve battery, the circuit protection
nearest to its supply. It is compared in each declared state with the wires without which the
current cannot return to a source that feeds it. The rating against AC 43.13-1B Table 11-3 for such
a wire. Of several users of a common return each counts by itself, with its own circuit protection.
A load that no declared state feeds counts with one switch moved from the normal state. Where the
device is too large for a wire of the feed that is no thicker, that wire's finding names it.

Not covered: returns in parallel, signal returns and shields, coils, which limit themselves,
starters, braids without a gauge, and drawings without any gauge. Other rules cover users that a
source reaches without circuit protection, and the sum of several users.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, kind_word, quantity

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (("ac-43-13-1b", "11-48 and Table 11-3, breaker and fuse by wire size"),)
REMEDY = "Keep the gauge of the supply to the ground, or fit a smaller breaker or fuse."


def subjects(facts: Facts):
    if facts.wires.no_sizes:
        return []
    return [w for w in facts.protection.return_duties if not _is_braid(facts.design.wires[bare(w)])]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    wire = facts.design.wires[name]

    def rating(duty) -> float:
        return facts.design.parts[duty.protector].rating or float("inf")

    # the largest first: it leaves the wire least protected
    for duty in sorted(facts.protection.return_duties[subject.pointer], key=rating, reverse=True):
        if duty.user in facts.design.starters:
            continue  # what protects it is as large as the start asks
        part = facts.design.parts[duty.protector]
        if part.rating is None:
            raise NotAssessable(f"`rating` of {duty.protector}")
        column, row = facts.protection.largest_rating(duty.protector, name)
        if part.rating > row.amps:
            path = facts.protection.return_loop(duty, subject.pointer)
            if facts.protection.thin_wires.told_on(duty.protector, path, row.amps):
                continue
            yield Unmet(
                f"{name} ({wire.size}) alone returns {duty.user}, protected at "
                f"{quantity(part.rating, 'A')} by {kind_word(part)} {duty.protector}; "
                f"largest {column} for {row.gauge} {quantity(row.amps, 'A')}.",
                field="gauge",
                state=duty.state,
                switches=duty.answer.switches,
                path=path,
                numbers=(
                    ("rating", quantity(part.rating, "A")),
                    (f"{column} limit for {row.gauge}", quantity(row.amps, "A")),
                ),
            )
            return


def _is_braid(wire) -> bool:
    return wire.gauge is None and wire.resistance is not None
