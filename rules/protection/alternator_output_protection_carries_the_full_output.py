"""The circuit protection of an alternator's output carries the full alternator output.

Why: after a start the alternator delivers its full output to a discharged battery. A device rated
below that opens, charging is lost, and the voltage rises as the load leaves the alternator.

How judged: for each breaker, fuse and current limiter that carries the full output of an
alternator, its rating against the current at which the alternator limits itself, else against its
rating. Not judged where the output divides before the first device, as at a bus.

Not covered: ambient heat at the device, the output at idle, and more than the declared output from
a cold alternator.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    exceeds,
    practice,
    quantity,
    rated,
)

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("practice", "1.0 times the rated output at least, 1.25 times at most"),)
REMEDY = "Fit a device of 1.0 to 1.25 times the alternator's output, with the wire for it."
USUAL = practice("factors", "output-protection-over-alternator")


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.protection.output_devices]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    for alternator in facts.protection.output_devices[name]:
        output = facts.design.parts[alternator].most
        if part.rating is None or output is None:
            raise NotAssessable(f"`rating` of {name if part.rating is None else alternator}")
        if exceeds(USUAL.low * output, part.rating):
            usual = f"{USUAL.low * output:g} to {quantity(USUAL.high * output, 'A')}"
            yield Unmet(
                f"{rated(name, part)} carries the full output of {alternator}, {quantity(output, 'A')}; "
                f"usual rating {usual}.",
                field="rating",
                numbers=(
                    ("rating", quantity(part.rating, "A")),
                    ("output", quantity(output, "A")),
                    ("usual rating", usual),
                ),
            )
            return
