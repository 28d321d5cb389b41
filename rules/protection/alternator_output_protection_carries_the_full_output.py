"""The circuit protection of an alternator's output carries all of it, and is not far larger.

Why: after a start the alternator delivers its full output to a discharged battery. A device rated
below that opens, charging is lost, and the voltage rises as the load leaves the alternator. One far
above it never opens on the output of the alternator, and needs a larger wire.

How judged: for each breaker, fuse and current limiter that carries the full output of alternators.
Its rating is at least the current at which each alternator limits itself, else that of the
alternator. From 1.0 to 1.25 times what all of them give is usual. Above 1.5 times it is a minor
finding, and none of its own where the device is too large for its wire, which is the graver one.
Not judged where the output divides before the first device, as at a bus.

Not covered: ambient heat at the device, the output at idle, and more than the declared output from
a cold alternator.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    and_list,
    exceeds,
    kind_word,
    practice,
    quantity,
    rated,
    remedy,
)

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("practice", "1.0 to 1.25 times the rated output is usual, above 1.5 times is large"),)
REMEDY = "Fit a device of 1.0 to 1.25 times the alternator's output, with the wire for it."
USUAL = practice("factors", "output-protection-over-alternator")
LARGE = practice("factors", "output-protection-large-for-alternator").high


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.protection.output_devices]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    machines = facts.protection.output_devices[name]
    for alternator in machines:
        output = facts.design.parts[alternator].most
        if part.rating is None or output is None:
            raise NotAssessable(f"`rating` of {name if part.rating is None else alternator}")
        rating = ("rating", quantity(part.rating, "A"))
        if exceeds(USUAL.low * output, part.rating):
            sizes = remedy.output_rating(USUAL.low * output, USUAL.high * output)
            usual = f"{USUAL.low * output:g} to {quantity(USUAL.high * output, 'A')}"
            yield Unmet(
                f"{rated(name, part)} carries the full output of {alternator}, {quantity(output, 'A')}; "
                f"usual rating {usual}.",
                field="rating",
                remedy=f"Fit a {kind_word(part)} of {sizes}, with the wire for it.",
                numbers=(rating, ("output", quantity(output, "A")), ("usual rating", usual)),
            )
            return
    whole = sum(facts.design.parts[alternator].most for alternator in machines)
    large = exceeds(part.rating, LARGE * whole)
    if large and not facts.protection.thin_wires.told_at(name, part.rating):
        sizes = remedy.output_rating(USUAL.low * whole, USUAL.high * whole)
        usual = f"{USUAL.low * whole:g} to {quantity(USUAL.high * whole, 'A')}"
        yield Unmet(
            f"{rated(name, part)} protects the output of {and_list(machines)}, "
            f"{quantity(whole, 'A')}, which alone does not open it; usual rating {usual}.",
            field="rating",
            hazard=HazardClass.MINOR,
            consequence="to be corrected",
            remedy=f"Fit a {kind_word(part)} of {sizes}.",
            numbers=(rating, ("output", quantity(whole, "A")), ("usual rating", usual)),
        )
