"""A smaller wire downstream is still protected by the breaker or fuse upstream.

Why: the breaker was sized for the first wire; a thinner wire behind a splice or connector can burn
before it opens.

How judged: each wire that does not start at its circuit protection. Every breaker, fuse and current
limiter between one of its ends and a live source is compared with the Table 11-3 value for this
wire. That is done in each declared state, and in the normal state with a switch at each position
that no flight or abnormal state sets. The basis is AC 43.13-1B Table 11-3; of other sizes the next
thicker and thinner ones decide where they can. Up to 6 in (0.1524 m) from a bus or terminal to the
first circuit protection is accepted. A wire no thinner than one at the device's own terminal, for
which the device is too large, is reported there (circuit-protection-fits-its-wire); one that a
source energises unprotected, by every-wire-is-protected-at-each-energised-end.

Not covered: the short pigtail of a unit that protects itself.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    bare,
    kind_word,
    quantity,
    trade_words,
)

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (("ac-43-13-1b", "11-48 and Table 11-3, breaker and fuse by wire size"),)
REMEDY = "Keep the gauge to the load, or fit a breaker or fuse for the thin wire where it starts."


def subjects(facts: Facts):
    feeds, thin_wires = facts.protection.wire_feeds, facts.protection.thin_wires
    return [w for w in feeds if w not in thin_wires.free and thin_wires.before(bare(w))]


def judge(subject: Subject, facts: Facts):
    name, wire = subject.name, facts.design.wires[subject.name]
    if facts.protection.thin_wires.is_unprotected(name):
        return
    for protector, feed in facts.protection.thin_wires.before(name):
        part = facts.design.parts[protector]
        if part.rating is None or wire.gauge is None or wire.length is None:
            raise NotAssessable(
                f"`rating` of {protector}" if part.rating is None else f"`gauge` and `length` of {name}"
            )
        column, row = facts.protection.largest_rating(protector, name)
        if part.rating > row.amps and not facts.protection.thin_wires.told_at(protector, row.amps):
            size = facts.protection.size_for(name, column, part.rating)
            yield Unmet(
                f"{name} ({wire.size}) protected at {quantity(part.rating, 'A')} by {kind_word(part)} "
                f"{protector} upstream; largest {column} for {row.gauge} {quantity(row.amps, 'A')}.",
                field="gauge",
                state=feed.state,
                switches=feed.moved,
                path=facts.protection.path_to(feed, subject.pointer, f"parts/{protector}"),
                numbers=(
                    ("rating", quantity(part.rating, "A")),
                    (f"{column} limit for {row.gauge}", quantity(row.amps, "A")),
                ),
                changes=(
                    f"{subject.pointer}/gauge",
                    f"parts/{protector}/rating",
                    f"{subject.pointer}/protection",
                ),
                remedy=f"Use {trade_words.larger_wire(size, [name])}, or fit a {column} of "
                f"{quantity(row.amps, 'A')} or less where it starts.",
            )
            return
