"""What an operating point rests on besides the file: typical values, wires without a size, loads
without a current."""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum

from reviewer.model.record import record
from reviewer.tables.lookup import SourcedFigure
from reviewer.tables.practice import in_brackets


class AssumedQuantity(Enum):
    """What kind of quantity a typical value stands for."""

    CURRENT = "current of a load, coil or field winding, or how it varies with the voltage"
    DIODE_DROP = "forward drop of a diode"
    DIODE_CURVE = "other figures of a diode curve"
    RESISTANCE = "resistance of a wire, contact, protective device or battery"
    STATE_OF_CHARGE = "state of charge of a battery"
    CHARGE_ACCEPTANCE = "charge that a battery accepts"
    SOURCE_VOLTAGE = "voltage that a source holds"
    SOURCE_OUTPUT = "current that a source can deliver"
    MINIMUM_VOLTAGE = "lowest voltage at which a load works"
    TEMPERATURE = "temperature of the conductors"


@record
class Assumed:
    """A typical value that was used: what kind of ``quantity``, ``what`` in words, its ``value`` in
    ``unit`` (a range where it follows from a rating), what it rests on, and for which
    elements.
    """

    quantity: AssumedQuantity
    what: str
    value: str
    unit: str
    rests_on: str
    elements: tuple[str, ...]

    @property
    def figure(self) -> str:
        """The value with its unit, where it has one."""
        return self.value if self.unit == "-" else f"{self.value} {self.unit}"

    def __str__(self) -> str:
        return f"{self.what} {self.figure} {in_brackets(self.rests_on)}"


_Kind = tuple[AssumedQuantity, str, str, str]


class Assumptions:
    """Collected while a circuit is built: typical values, which ``used`` has in order; in
    ``unsized`` and ``undrawn`` elements -> the key that the file lacks, for wires solved as ideal
    joints and loads as drawing nothing."""

    def __init__(self) -> None:
        #: each use as it came: most circuits are never asked what they rest on
        self._uses: list[tuple[_Kind, str, float]] = []
        self.unsized: dict[str, str] = {}
        self.undrawn: dict[str, str] = {}

    def use(
        self,
        quantity: AssumedQuantity,
        what: str,
        figure: SourcedFigure,
        element: str,
        value: float | None = None,
        unit: str = "",
    ) -> float:
        """Note that ``element`` rests on a typical value, and give the value: that of the figure,
        or what was made of it."""
        rests_on = figure.origin.note if figure.origin.source == "practice" else figure.origin.title
        made = figure.value if value is None else value
        key = (quantity, what, unit or figure.origin.unit, rests_on)
        self._uses.append((key, element, made))
        return made

    @property
    def used(self) -> dict[_Kind, dict[str, float]]:
        """For each typical value (quantity, what in words, unit, what it rests on) the elements that
        rest on it, with what it is there."""
        found: dict[_Kind, dict[str, float]] = {}
        for key, element, made in self._uses:
            found.setdefault(key, {})[element] = made
        return found

    def __bool__(self) -> bool:
        """Whether there is any."""
        return bool(self._uses or self.unsized or self.undrawn)

    def add(self, other: Assumptions) -> None:
        """Take over what ``other`` holds too."""
        self._uses += other._uses
        if other.unsized:
            self.unsized.update(other.unsized)
        if other.undrawn:
            self.undrawn.update(other.undrawn)

    def add_each(self, others: Iterable[Assumptions]) -> None:
        """Take over what each of some holds too."""
        for other in others:
            self._uses += other._uses
            if other.unsized or other.undrawn:
                self.unsized.update(other.unsized)
                self.undrawn.update(other.undrawn)

    def copied(self) -> Assumptions:
        """The same, to be added to by itself."""
        made = Assumptions()
        made.add(self)
        return made

    def assumed(self) -> tuple[Assumed, ...]:
        """All typical values used, one entry for each kind of figure."""
        found = []
        for (quantity, what, unit, rests_on), values in self.used.items():
            low, high = min(values.values()), max(values.values())
            written = _digits(low) if low == high else f"{_digits(low)} to {_digits(high)}"
            found.append(Assumed(quantity, what, written, unit, rests_on, tuple(values)))
        return tuple(found)


def _digits(value: float) -> str:
    return f"{value:,.0f}" if abs(value) >= 1000 else f"{value:.3g}"
