"""No single failure leaves a critical function on an alternator alone.

Why: an alternator that has lost its battery surges, or loses its field at the next heavy load; one
bad contact raised a bus by 5 to 8 V.

How judged: in every normal flight state each single failure is simulated, relays with stuck
contacts included, and channels that only alternators feed count as lost. A function whose loss is
hazardous or catastrophic, and that a battery feeds before the failure, must keep as many channels
as it needs. A second battery on the bus is enough. So are several alternators if any one of them
may be lost as well, each feeding the field of the other or a bus of its own. So is a channel on a
standby battery that powers it by itself once the alternators are lost. A generator that feeds one
load and never meets a bus or battery, as that of an ignition, counts as a battery.

Not covered: the charge of that battery, alternators designed to run without a battery, the height
of the surge.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare, batteries_apart, failed_words, parts

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "lost at one failure"
CITATIONS = (
    ("ntsb", "ERA09IA326, an intermittent contact raised the bus 5 to 8 V above normal"),
    ("practice", "an alternator is not operated without a battery"),
)
REMEDY = "Put a second battery on the bus, or feed what the function needs from a battery of its own."

FIRST_BATTERY = "Put a battery on the bus, or feed what the function needs from a battery of its own."


def subjects(facts: Facts):
    return (
        [f"functions/{f}" for f in facts.states.critical_functions] if facts.states.flight_answers() else []
    )


def judge(subject: Subject, facts: Facts):
    function = subject.name
    for alone in [a for a in facts.failures.on_alternator_alone if a.function == function][:1]:
        first = alone.failures[0]
        others = list(dict.fromkeys(bare(f.element) for f in alone.failures if f.element != first.element))
        yield Unmet(
            f"{failed_words(first.element)} leaves {function} on the alternator alone: no battery "
            f"feeds {', '.join(alone.channels)}.",
            state=alone.state,
            failure=f"{bare(first.element)} {first.words(facts.network)}",
            changes=(f"{first.element}/battery",),
            path=facts.states.circuit_path(
                alone.state, [f"parts/{c}" for c in alone.channels], first.element
            ),
            numbers=(
                ("channels", ", ".join(alone.channels)),
                *((("same effect from failure of", ", ".join(others)),) if others else ()),
            ),
            remedy=batteries_apart(first, alone.state, alone.channels, facts)
            if facts.design.of_kind(parts.Battery)
            else FIRST_BATTERY,
        )
