"""Each battery as it is on the day of a loss: aged, cold, and charged as it was in flight."""

from __future__ import annotations

from reviewer.analysis.endurance.discharge import Cell
from reviewer.analysis.operating_point.answers import OperatingPoints
from reviewer.analysis.operating_point.cold_batteries import cold_range
from reviewer.analysis.operating_point.flight_charges import cold_share, full, store_of
from reviewer.analysis.ratings.capacity import rate_exponents, replaced_below
from reviewer.model import parts as p
from reviewer.model.quantity_words import percent, quantity
from reviewer.model.record import record
from reviewer.network.graph import bare
from reviewer.tables.practice import COMMON_PRACTICE


@record
class DayCell:
    """A battery on the day, and what is missing to know how much of its charge normal flight takes
    ("" where nothing is)."""

    cell: Cell
    missing: str


class DayCells:
    """The batteries on the day, charged by the volts across them in flight, less what they give
    before any loss; charged as the file says, or full, in an aircraft without an alternator."""

    def __init__(self, operating: OperatingPoints):
        self.operating = operating

    def of(self, element: str) -> DayCell:
        """A battery. Raises NotAssessable."""
        operating = self.operating
        part = operating.design.part(bare(element), p.Battery)
        store = store_of(operating, bare(element))
        if not operating.design.of_kind(p.Alternator):
            return DayCell(Cell(element, store, full(part), part.low_voltage_disconnect), "")
        flight = operating.flight_charges
        cell = Cell(element, store, flight.least[element], part.low_voltage_disconnect)
        return DayCell(cell, flight.missing.get(element, ""))


def capacity_factors(operating: OperatingPoints, name: str) -> tuple[tuple[str, str], ...]:
    """(word, value) of what age, cold and rate take."""
    coldest, part = operating.design.aircraft.min_temperature or 0.0, operating.design.part(name, p.Battery)
    cold = f"{percent(cold_share(operating, name))} at {quantity(coldest, 'C')}"
    age = percent(replaced_below(part)) + (
        " (declared minimum capacity)" if part.minimum_capacity is not None else f", {COMMON_PRACTICE}"
    )
    return (
        ("capacity when aged", age),
        ("capacity when cold", f"{cold} (declared)" if part.cold_capacity else f"{cold}, {COMMON_PRACTICE}"),
        ("rate exponent", f"{rate_exponents(part)[1]:g}, {COMMON_PRACTICE}{_unsaid(part)}"),
        ("resistance when cold or aged", _cold_ohms(part)),
    )


def _cold_ohms(part: p.Battery) -> str:
    if part.cold_resistance is None:
        return f"{cold_range().high:g} times, {COMMON_PRACTICE}"
    return f"{quantity(part.cold_resistance, 'ohm')} (declared)"


def _unsaid(part: p.Battery) -> str:
    """What the exponent takes for granted."""
    lead_acid = part.chemistry == "lead-acid" and part.construction is None
    return "; AGM: `construction` is not stated" if lead_acid else ""
