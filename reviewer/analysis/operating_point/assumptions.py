"""What an operating point rests on besides the file: typical values, wires without a size, loads without a current."""

from __future__ import annotations

from reviewer.model.record import record
from reviewer.tables.lookup import Figure


class NotSolvable(Exception):
    """An operating point that cannot be solved for want of a figure; ``needs`` says which, as a person would write it."""

    def __init__(self, needs: str):
        super().__init__(needs)
        self.needs = needs


@record
class Assumed:
    """A typical value that was used: ``what`` it is, its ``value`` in ``unit`` (a range where it follows from a rating), what it rests on, and for which
    elements."""

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
        return f"{self.what} {self.figure} ({self.rests_on})"


class Notes:
    """Collected while a circuit is built."""

    def __init__(self) -> None:
        self.used: dict[tuple[str, str, str], dict[str, float]] = {}
        self.unsized: dict[str, str] = {}
        self.undrawn: dict[str, str] = {}

    def use(
        self, what: str, figure: Figure, element: str, value: float | None = None, unit: str = ""
    ) -> float:
        """Note that ``element`` rests on a typical value, and give the value: the figure's, or what was made of it."""
        rests_on = figure.origin.note if figure.origin.source == "practice" else figure.origin.title
        made = figure.value if value is None else value
        self.used.setdefault((what, unit or figure.origin.unit, rests_on), {})[element] = made
        return made

    def add(self, other: Notes) -> None:
        """Note what ``other`` says too."""
        for key, values in other.used.items():
            self.used.setdefault(key, {}).update(values)
        self.unsized.update(other.unsized)
        self.undrawn.update(other.undrawn)

    def assumed(self) -> tuple[Assumed, ...]:
        """All typical values used, one entry for each kind of figure."""
        found = []
        for (what, unit, rests_on), values in self.used.items():
            low, high = min(values.values()), max(values.values())
            found.append(
                Assumed(
                    what,
                    f"{low:.3g}" if low == high else f"{low:.3g} to {high:.3g}",
                    unit,
                    rests_on,
                    tuple(values),
                )
            )
        return tuple(found)
