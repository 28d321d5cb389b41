"""A smaller wire downstream is still protected by the breaker or fuse upstream.

Why: the breaker was sized for the first wire; a thinner wire behind a splice or connector can burn
before it opens.

How judged: in each declared state, and with a switch at each position that none of them sets, for
each wire that does not start at its circuit protection: every breaker, fuse and current limiter
between one of its ends and a live source, against the Table 11-3 value for this wire. The basis is
AC 43.13-1B Table 11-3; of other sizes the next thicker and thinner ones decide where they can. Up
to 6 in (0.1524 m) from a bus or terminal to the first circuit protection is accepted.

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
    parts,
    practice,
)

HAZARD = HazardClass.MAJOR
CITATIONS = (("ac-43-13-1b", "11-48 and Table 11-3"),)
STUB_M = practice("metres", "unprotected-conductor").high
REMEDY = "Keep the gauge to the load, or fit a breaker or fuse for the thin wire where it starts."


def subjects(facts: Facts):
    return [
        w for w in facts.protection.wire_feeds if w not in facts.protection.exempt_wires and _behind(w, facts)
    ]


def judge(subject: Subject, facts: Facts):
    name, wire = subject.name, facts.design.wires[subject.name]
    for protector, feed in _behind(subject.pointer, facts):
        part = facts.design.parts[protector]
        if part.rating is None or wire.gauge is None or wire.length is None:
            raise NotAssessable(
                f"`rating` of {protector}" if part.rating is None else f"`gauge` and `length` of {name}"
            )
        column, row = facts.protection.largest_rating(protector, name)
        if part.rating > row.amps:
            yield Unmet(
                f"{name} ({wire.gauge}) protected at {part.rating:g} A by {kind_word(part)} {protector} "
                f"upstream; largest {column} for {row.gauge} {row.amps:g} A.",
                field="gauge",
                state=feed.state,
                switches=feed.moved,
                path=facts.protection.path_to(feed, subject.pointer, f"parts/{protector}"),
                numbers=(
                    ("rating", f"{part.rating:g} A"),
                    (f"{column} limit for {row.gauge}", f"{row.amps:g} A"),
                ),
            )
            return


def _behind(subject: str, facts: Facts) -> list:
    found: dict = {}
    for feed in facts.protection.wire_feeds[subject]:
        short = feed.run_m is not None and feed.run_m <= STUB_M + 1e-9
        if not short and not _short_lead_to_protection(subject, feed.end, facts):
            for protector in feed.protectors:
                if feed.end.partition(".")[0] != bare(protector):
                    found.setdefault(bare(protector), feed)
    # the largest first: it leaves the wire least protected
    return sorted(found.items(), key=lambda entry: -(facts.design.parts[entry[0]].rating or float("inf")))


def _short_lead_to_protection(subject: str, end: str, facts: Facts) -> bool:
    wire = facts.design.wires[bare(subject)]
    far = (wire.to if end == wire.from_ else wire.from_).partition(".")[0]
    short = wire.length is not None and wire.length <= STUB_M + 1e-9
    return short and isinstance(facts.design.parts[far], parts.Protector)
