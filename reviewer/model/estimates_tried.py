"""What a review says of the figures that are estimates: what was tried, and which verdicts turn."""

from __future__ import annotations

from reviewer.model.record import record


@record
class TurnedVerdict:
    """A verdict that is another one with some estimates at an end of their range.

    ``found`` is True where the file as it is written has the finding and the trial has not; False
    where the trial alone has it. ``by`` says which estimates stand where, ``current of radio at 6.5
    A``; ``estimates`` are their pointers.
    """

    rule: str
    subject: str
    sentence: str
    hazard: str
    found: bool
    by: str
    estimates: tuple[str, ...]

    @property
    def words(self) -> str:
        """``With current of radio at 6.5 A: Endurance ...``, or which finding is gone then."""
        return self._with(self.by)

    @property
    def brief(self) -> str:
        """The same with the estimates counted, where they take more room than the verdict."""
        return self._with(f"{len(self.estimates)} estimates at other values")

    def _with(self, figures: str) -> str:
        return f"{'Not found with' if self.found else 'With'} {figures}: {self.sentence}"


@record
class EstimatesTried:
    """The trials of a review. ``estimates`` are all figures that are estimates, in words; ``corners`` says
    where all of them stood at once, nothing where no trial was made; ``trials`` counts all.

    ``turned`` has the verdicts that turn, the gravest first. ``deciding`` are the estimates that turn a
    verdict, each with how many, the most first.
    """

    estimates: tuple[str, ...] = ()
    corners: tuple[str, ...] = ()
    trials: int = 0
    turned: tuple[TurnedVerdict, ...] = ()
    deciding: tuple[tuple[str, int], ...] = ()

    @property
    def beginning(self) -> str:
        """How many there are and what was tried: two sentences or three."""
        count = len(self.estimates)
        are = "1 figure is an estimate" if count == 1 else f"{count} figures are estimates"
        if not self.corners:
            return f"{are}. No other values were tried."
        turned = len(self.turned)
        if not turned:
            return f"{are}. No verdict turns with {_or(self.corners)}."
        return f"{are}. {turned} verdict{' turns' if turned == 1 else 's turn'} within their ranges."


def _or(words: tuple[str, ...]) -> str:
    return f"{', '.join(words[:-1])} or {words[-1]}" if words[1:] else words[0]
