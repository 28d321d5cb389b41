"""A stall warning has power in every state of flight.

Why: a horn supplied from behind the switch of a pump or a light is silent whenever that is off, and
nobody notices before the stall.

How judged: each switch that is `operated-by: stall` is set to each of its positions in every
declared state. Of what it turns on in any of them, one load at least must have power at one of its
positions in every state of normal flight. It makes no difference whether that state lists its
function under `without`. A lamp does not count beside a horn: a warning for the eye alone is not
enough.

Not covered: states after a failure, failures of the warning, and a unit that has the switch as an
input.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, and_list

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("cfr-23-207", "(b), a device warns in expected conditions of flight, not by a light alone"),)
REMEDY = "Feed the warning from a bus that is alive throughout the flight, by its own breaker."


def subjects(facts: Facts):
    return [f"parts/{name}" for name in facts.detection.silent_stall_warnings]


def judge(subject: Subject, facts: Facts):
    silent = facts.detection.silent_stall_warnings[subject.name]
    if silent:
        moved = " or ".join(f"{switch} at {position}" for switch, position in silent.moves)
        yield Unmet(
            f"{and_list(silent.loads)} cannot warn of a stall in {silent.state}"
            + (f", with {moved}." if moved else "."),
            state=silent.state,
            elements=tuple(f"parts/{load}" for load in silent.loads),
            numbers=(
                ("without power", ", ".join(silent.loads)),
                *((("depends on", moved),) if moved else ()),
            ),
        )
