"""What a person wrote on a card, against its limits."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

from reviewer.analysis.operating_point.tolerances import Within
from reviewer.model.quantities import UNITS
from reviewer.model.record import record
from reviewer.questions.card_steps import CardStep
from reviewer.questions.power_steps import Act, PowerCard, PowerStep

_NUMBER = re.compile(r"([<>]?)\s*([+-]?[0-9]+(?:[.,][0-9]+)?)\s*([A-Za-zµΩ]*)")
_DIMENSIONS: Mapping[str, str] = {"V": "voltage", "A": "current", "ohm": "resistance"}
#: how a person writes ohms, and what an ohmmeter shows where nothing conducts
_OHMS = {"": 1.0, "ω": 1.0, "ohms": 1.0, "r": 1.0, "k": 1e3, "kω": 1e3, "mω": 1e-3, "mohms": 1e-3, "m": 1e6}
_OPEN = frozenset({"ol", "o.l.", "o.l", "open", "inf", "infinite", "none", "no continuity", "over"})
_YES = frozenset(
    {"yes", "y", "ok", "okay", "pass", "passed", "good", "done", "works", "lit", "live", "x", "✓"}
)
_NO = frozenset({"no", "n", "fail", "failed", "fails", "bad", "dark", "dead", "not", "does not work", "off"})


#: acts that look for continuity or none
_BY_OHMS = (Act.ISOLATION, Act.P_LEAD, Act.CONTACT)


@record
class MeasuredStep:
    """A step of a card with what was written at it.

    ``card``, ``step`` and ``look`` name it, ``place`` is its row in the file that was filled in. It is
    of a power-up card (``power``) or of a check or circuit protection (``checked``).
    """

    place: str
    card: str
    step: int
    look: str
    text: str
    expected: str
    unit: str
    limits: Within | None
    power: tuple[PowerCard, PowerStep] | None = None
    checked: CardStep | None = None

    @property
    def value(self) -> float | None:
        """The number that was written, in the unit of the step; infinite for an open circuit; None for
        words, and for a unit of something else."""
        text = self.text.strip().lower()
        if self.measures_ohms and text in _OPEN:
            return math.inf
        if text in _NO and self.power is not None and self.power[1].act in (Act.LOAD, Act.COIL):
            return 0.0  # what does not work was not measured
        found = _NUMBER.fullmatch(self.text.strip())
        if not found:
            return None
        unit = "ohm" if self.measures_ohms else self.unit
        factor = self._factor(found[3], unit)
        return None if factor is None else float(found[2].replace(",", ".")) * factor

    @staticmethod
    def _factor(written: str, unit: str) -> float | None:
        if not written or written == unit:
            return 1.0
        if unit == "ohm" and written.lower() in _OHMS:
            return 1e6 if written in ("M", "MΩ") else _OHMS[written.lower()]
        if unit == "ohm" and written in ("Mohm", "MΩ"):
            return 1e6
        own = UNITS.get(_DIMENSIONS.get(unit, ""), {}).get(written)
        return own[0] if own else None

    @property
    def measures_ohms(self) -> bool:
        """Whether an ohmmeter is read."""
        return self.unit == "ohm" or (self.power is not None and self.power[1].act in _BY_OHMS)

    @property
    def within(self) -> bool | None:
        """Whether it is as it should be; None where what is written tells neither."""
        value, word = self.value, self.text.strip().lower().rstrip(".!")
        if self.limits is not None:
            # a reading on paper has no more digits than the meter
            return None if value is None else self.limits.low - 1e-9 <= value <= self.limits.high + 1e-9
        if self.power is not None and self.power[1].act in _BY_OHMS and value is not None:
            beside = bool(self.power[1].beside)
            if self.expected == "continuity":
                return value <= 1.0
            return value == math.inf or (beside and value > 1.0) or value >= 1e5
        if word in _YES or word == self.expected.lower():
            return True
        return False if word in _NO else None
