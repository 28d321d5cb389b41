"""Battery charging and overvoltage as schedules."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reviewer.network.graph import bare
from reviewer.questions.battery_charging import ChargedBattery
from reviewer.questions.overvoltage_exposure import OvervoltageExposure
from reviewer.reports.handoff.schedules.schedule import Cell, Schedule, number

#: digits of volts and amperes
DIGITS = 2
_CHARGING = (
    "Terminal voltage of each battery that an alternator charges in normal flight, and the current into it: "
    "as normal flight leaves it, and flat. A lithium battery charges until its open-circuit voltage "
    "is that voltage."
)
_OVERVOLTAGE = (
    "A voltage regulator fails full on: the alternator stays at its current limit, and its voltage rises "
    "until the overvoltage protection acts, or to what loads and batteries hold it to."
)


def charging(batteries: Sequence[ChargedBattery]) -> Schedule | None:
    """Voltage and current of each battery that is charged; None where none is."""
    if not batteries:
        return None
    columns = (
        "battery",
        "state (phase)",
        "state of charge",
        "terminal voltage, V",
        "minimum, V",
        "maximum, V",
        "limits from",
        "charging current, A",
        "maximum charging current, A",
        "charges to, %",
    )
    rows = tuple(row for battery in batteries for row in _charging_rows(battery))
    return Schedule("charging", "Battery charging", _CHARGING, columns, rows)


def _charging_rows(one: ChargedBattery) -> Iterator[tuple[Cell, ...]]:
    if one.window is not None:
        window = one.window
        basis = " and ".join(dict.fromkeys((window.low_basis, window.high_basis)))
        limits = (number(window.low, DIGITS), number(window.high, DIGITS), basis)
        for held in one.held:
            charges_to = "" if held.fills_to is None else round(100 * held.fills_to)
            volts, amps = number(held.volts, DIGITS), number(held.amps, DIGITS)
            yield one.battery, held.flown, "as normal flight leaves it", volts, *limits, amps, "", charges_to
    limit = number(one.limit)
    if one.recharge is not None:
        flat = one.recharge
        yield one.battery, flat.flown, f"flat; {flat.basis}", "", "", "", "", number(flat.amps, 1), limit, ""
    if one.needs:
        yield one.battery, "", f"not solved: needs {one.needs}", "", "", "", "", "", limit, ""


def overvoltage(exposures: Sequence[OvervoltageExposure]) -> Schedule | None:
    """Loads and coils exposed to more than their rating; None where no alternator is at work."""
    rows = tuple(row for one in exposures for row in _overvoltage_rows(one))
    columns = (
        "alternator",
        "overvoltage protection",
        "trip voltage or limit, V",
        "load or coil",
        "state (phase)",
        "exposed to, V",
        "rated, V",
    )
    title = "Overvoltage, regulator failed full on"
    return Schedule("overvoltage", title, _OVERVOLTAGE, columns, rows) if rows else None


def _overvoltage_rows(one: OvervoltageExposure) -> Iterator[tuple[Cell, ...]]:
    if one.ceiling is None:
        yield one.alternator, "", "", f"not solved: needs {one.needs}", "", "", ""
        return
    head = (one.alternator, one.ceiling.ends, number(one.ceiling.volts))
    if not one.exposed:
        yield *head, "none above its rating", "", "", ""
    for found in one.exposed:
        yield *head, bare(found.element), found.flown, number(found.volts, 1), number(found.rated)
    for name in one.unrated:
        yield *head, name, "", "", "not stated"
