"""Voltages, currents and readings in words, shared by text, table and JSON."""

from __future__ import annotations

from reviewer.model.name_lists import and_list
from reviewer.model.quantity_words import NOTHING, beside, percent, quantity
from reviewer.network.graph import bare
from reviewer.questions.solve import Reading, SolvedState
from reviewer.reports.wording import BATTERY_CHARGE

NOTES: tuple[str, ...] = (
    "Voltages are measured from the negative of the main battery, at a load from supply to return. "
    "Currents and voltage drops are from the first terminal of a wire or part to the second.",
    "The engine has the speed of the state: idle on the ground, as in flight elsewhere, if not given. "
    f"{BATTERY_CHARGE} They do not discharge.",
    "Currents are averages. No limit is checked here; `review` checks them.",
)


def notes(answer: SolvedState) -> tuple[str, ...]:
    """How the numbers are to be read, how the state was made, and the estimates that they rest on."""
    found = list(NOTES)
    points = [solved.point for solved in answer.phases if solved.point]
    for element, what in answer.failed:
        if what == "open" and any(point.supplying.get(element, 0.0) > NOTHING for point in points):
            name = bare(element)
            found.append(
                f"{name} open: it gives nothing, and its field draws on while it is fed, as when its drive "
                "is lost. With its field open too the batteries have that current less to supply."
            )
    if answer.made:
        found.append(f"The state {answer.state} was made, not declared: {answer.made}.")
    if answer.estimates:
        names = ", ".join(answer.estimates)
        found.append(f"Rests on estimates, taken as written, a range by its middle: {names}.")
    return tuple(found)


def charge_words(answer: SolvedState) -> str:
    """``Batteries as normal flight leaves them: main-battery 100 % charged.``; "" without one."""
    if not answer.charges:
        return ""
    begins = "as normal flight leaves them" if answer.after_flight else "as the file says, else full"
    each = and_list([f"{name} {percent(share)} charged" for name, share in answer.charges])
    unknown = (
        f" How full normal flight leaves them needs {answer.unknown_charge}." if answer.unknown_charge else ""
    )
    return f"Batteries {begins}: {each}.{unknown}"


IDEAL_JOINT = "solved as an ideal joint"
NO_CURRENT = "solved as drawing no current"
#: amperes below which a current is a leak, or that of a meter
LEAK_A = 0.01
UNDETERMINED = "not determined in a ring of ideal joints"


def reading_words(reading: Reading, *limits: float | None) -> str:
    """``12.61 V``, ``-3.2 A``, ``lit``, or that it shows nothing; as :func:`volts` beside some ``limits``."""
    if reading.blank:
        return "dark" if reading.lamp else "blank"
    if reading.value is None:
        return "not solved"
    if reading.shows == "live":
        return "lit" if reading.value else "dark"
    return volts(reading.value, *limits) if reading.shows == "voltage" else amperes(reading.value)


def volts(value: float | None, *limits: float | None) -> str:
    """``14.35 V``, or that no live source reaches it; with as many digits more as show on which side of
    each of some ``limits`` it is."""
    if value is None:
        return "dead"
    apart = [beside(value, limit, ".2f") for limit in limits if limit is not None]
    return f"{max(apart, key=len, default=f'{round(value, 2) + 0.0:.2f}')} V"


def amperes(value: float) -> str:
    """``31.6 A``, ``1.48 A``, ``7 mA``; of a leak two digits: ``0.13 mA``."""
    return quantity(value, "A", digits=4 if abs(value) >= LEAK_A else 2)


def bare_name(element: str) -> str:
    """The name of an element that is given by its pointer or by its name."""
    return bare(element) if "/" in element else element
