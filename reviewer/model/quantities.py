"""Quantities written with their unit, as a builder writes them: ``5 A``, ``14.2 V``, ``18 AWG``,
``24 in``.

A quantity in a design file is text. Its value in the model is a ``float`` in the base unit of its
dimension (ampere, volt, watt, ampere-hour, ohm, farad, metre, second, degree Celsius), or a
:class:`Gauge` for a wire size.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator
from functools import lru_cache
from typing import Annotated, Any, get_args

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.fields import FieldInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from reviewer.model.record import record

INCH_M = 0.0254
FOOT_M = 0.3048
_DECIMAL_COMMA = re.compile(r"(~?[0-9]+),([0-9]+)(\s*(?:[A-Za-zµΩ%][A-Za-z0-9/%]*)?)")
_TEXT = re.compile(
    r"^\s*([+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?)"
    r"\s*([A-Za-zµΩ°%][A-Za-z0-9µΩ°%]*)\s*$"
)
_AWG = re.compile(r"^\s*([0-9]{1,2}|0{2,4}|[1-4]/0)\s*AWG\s*$", re.IGNORECASE)
#: a gauge with its unit before the number: `AWG 20`, `#20`
_TURNED = re.compile(r"^\s*(?:AWG|#|gauge|ga)\s*#?\s*([0-9]{1,2}|0{2,4}|[1-4]/0)\s*$", re.IGNORECASE)
_AREA = re.compile(r"^\s*([0-9]+(?:\.[0-9]*)?|\.[0-9]+)\s*mm2\s*$")

#: stands before a figure that is an estimate; stands between the ends of one
ABOUT, RANGE = "~", " to "
_ENDS = re.compile(r"^\s*(\S+?)\s*([A-Za-zµΩ°%]*)\s+to\s+(\S+?)\s*([A-Za-zµΩ°%]+)\s*$")

#: a figure in other words: what says that it is an estimate, a number, the other end of a range, a unit
_OTHERWISE = re.compile(
    r"^\s*(about |approx\.? |approximately |ca\.? |circa |~ *)?([0-9]+(?:\.[0-9]+)?)"
    r"(?: *[-\u2013\u2014] *([0-9]+(?:\.[0-9]+)?))? *([A-Za-z\u0022\u0027\u2032\u2033][A-Za-z .\u0027-]*)$",
    re.IGNORECASE,
)
#: what a builder may write for a unit
_SPELT: dict[str, tuple[str, ...]] = {
    "A": ("amp", "amps", "ampere", "amperes"), "V": ("volt", "volts", "vdc"), "W": ("watt", "watts"),
    "Ah": ("amp hours", "amp-hours", "ampere hours", "ampere-hours", "a h"), "ohm": ("ohms",),
    "in": ("inch", "inches", "\u0022", "\u2033", "\u0027\u0027"), "ft": ("foot", "feet", "\u0027", "\u2032"),
    "m": ("metre", "metres", "meter", "meters"), "s": ("sec", "secs", "second", "seconds"),
    "min": ("mins", "minute", "minutes"), "h": ("hr", "hrs", "hour", "hours"),
}  # fmt: skip
#: what says that a figure is not known
_NOT_KNOWN = frozenset(("tbd", "tba", "unknown", "n/a", "na", "none", "-"))

#: the unit at the end of a text
_UNIT = re.compile(r"[A-Za-zµΩ°%]+(?=\s*$)")

#: a number so many times its example has another unit
_FAR_OFF = 30

#: a number without a unit from here on is none that a unit was forgotten of
_MOST_WRITTEN = 1e6

#: square millimetres of the smallest and largest metric wire: that of 40 AWG, and five times 0000 AWG
_AREAS = (0.005, 500.0)

#: dimension -> unit text -> (factor, offset): base value = number * factor + offset
UNITS: dict[str, dict[str, tuple[float, float]]] = {
    "current": {"A": (1.0, 0.0), "mA": (1e-3, 0.0)},
    "voltage": {"V": (1.0, 0.0), "mV": (1e-3, 0.0)},
    "power": {"W": (1.0, 0.0)},
    "capacity": {"Ah": (1.0, 0.0), "mAh": (1e-3, 0.0)},
    "resistance": {"ohm": (1.0, 0.0), "mohm": (1e-3, 0.0), "kohm": (1e3, 0.0)},
    "capacitance": {"F": (1.0, 0.0), "mF": (1e-3, 0.0), "uF": (1e-6, 0.0), "nF": (1e-9, 0.0)},
    "length": {
        "m": (1.0, 0.0),
        "mm": (1e-3, 0.0),
        "cm": (1e-2, 0.0),
        "in": (INCH_M, 0.0),
        "ft": (FOOT_M, 0.0),
    },
    "altitude": {"m": (1.0, 0.0), "ft": (FOOT_M, 0.0)},
    "time": {"ms": (1e-3, 0.0), "s": (1.0, 0.0), "min": (60.0, 0.0), "h": (3600.0, 0.0)},
    "share": {"%": (1e-2, 0.0)},
    "temperature": {"C": (1.0, 0.0), "F": (5.0 / 9.0, -160.0 / 9.0)},
}

#: dimension -> the least and the most that a file may state, and why a light aircraft has no more; where
#: zero is no mistake, it is in range too. Common practice (no published source): each end is well beyond
#: what is built, so that it refuses slips of the pen and no design.
RANGES: dict[str, tuple[str, str, str]] = {
    "current": (
        "0.000001 mA",
        "10000 A",
        "a cold diode leaks nanoamperes; a shorted battery delivers 3,000 A",
    ),
    "voltage": ("0.01 mV", "20000 V", "a thermocouple gives tenths of a millivolt; diodes block 1,600 V"),
    "power": ("0.001 W", "100000 W", "a lamp draws 0.02 W; a starter draws 5 kW"),
    "capacity": ("1 mAh", "10000 Ah", "a memory cell has tens of mAh; a battery of 200 Ah weighs 60 kg"),
    "resistance": ("0.00001 mohm", "100000 kohm", "a joint has microohms; an input pulls up by megohms"),
    "capacitance": ("0.001 nF", "1000 F", "a filter has picofarads; a bank that starts an engine has 500 F"),
    "length": ("0.1 mm", "1000 m", "a bridge between studs has some mm; a span is below 20 m"),
    "altitude": ("1 m", "30000 m", "piston engines stay below 15,000 m"),
    "time": ("0.001 ms", "100000 h", "a diode takes over in microseconds; a battery lives for some years"),
    "share": ("0 %", "100 %", "a share of a whole"),
    "temperature": ("-100 C", "2000 C", "the air is -70 C or more; exhaust gas is 900 C"),
}


class Written(float):
    """A number in the base unit of its dimension that keeps the ``text`` of its file: ``7 ft``, or
    for an estimate ``~7 ft`` or ``6 to 8 ft``, of which it is the middle and ``ends`` are the ends.

    ``estimated`` is True of a value that is tried in the place of an estimate.
    """

    text: str
    ends: tuple[Written, ...]
    estimated: bool

    def __new__(
        cls, number: float, text: str, ends: tuple[Written, ...] = (), estimated: bool = False
    ) -> Written:
        made = super().__new__(cls, number)
        made.text, made.ends, made.estimated = text, ends, estimated
        return made

    def __reduce__(self) -> tuple[type[Written], tuple[float, str, tuple[Written, ...], bool]]:
        return Written, (float(self), self.text, self.ends, self.estimated)

    @property
    def estimate(self) -> bool:
        """Whether the file gives it as an estimate."""
        return self.estimated or bool(self.ends) or self.text.startswith(ABOUT)

    @property
    def unit(self) -> str:
        """The unit that it is written in."""
        return self.text.rpartition(" ")[2]

    def tried(self, high: bool, share: float) -> Written:
        """The low or high end of an estimate: that of its range, or ``share`` of it off either way.

        No share of a whole exceeds the whole.
        """
        if self.ends:
            return Written(self.ends[high], self.ends[high].text, estimated=True)
        factor = 1 + share if high else 1 - share
        number = float(self.text.removeprefix(ABOUT).split()[0])
        if self.unit == "%":
            factor = min(factor, 100 / number) if number else 1.0
        return Written(self * factor, f"{number * factor:.4g} {self.unit}", estimated=True)


class QuantityError(ValueError):
    """A quantity that cannot be read. ``message`` says what was found and what to write."""

    def __init__(self, message: str):
        super().__init__(message)
        self.message = message


def read_quantity(value: Any, dimension: str, example: str) -> float:
    """Read one quantity.

    Parameters: ``value`` the text from the file; ``dimension`` a key of :data:`UNITS`; ``example``
    what a good value looks like, used in the message. Returns the value in the base unit of the
    dimension. Raises :class:`QuantityError` with one sentence for the person who wrote the file.
    """
    units = UNITS[dimension]
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        # 0.8 may be meant as 80 % or as 0.8 %
        plain = dimension != "share" and abs(value) < _MOST_WRITTEN
        written = f"{value:g} {_unit_like(value, units, example)}" if plain else example
        raise QuantityError(f"the number {_clip(str(value))} has no unit; write for example `{written}`")
    if not isinstance(value, str):
        raise QuantityError(f"expected a {dimension} with its unit, for example `{example}`")
    match = _TEXT.match(value)
    if not match and (meant := with_point(value)):
        raise QuantityError(f"`{_clip(value)}` has a decimal comma; write `{meant}`, with a point")
    if not match:
        said = f"`{_clip(value)}` is not a {dimension}"
        if meant := _otherwise(value, units):
            raise QuantityError(f"{said}; write `{meant}`")
        if value.strip().lower() in _NOT_KNOWN:
            raise QuantityError(f"{said}; leave the key out until the figure is known")
        raise QuantityError(f"{said}; write a number and a unit, for example `{example}`")
    unit = match[2]
    if unit == "Mohm" and dimension == "resistance":
        meant = f"`{float(match[1]) * 1000:.12g} kohm` for megohms, `{match[1]} mohm` for milliohms"
        raise QuantityError(f"`{_clip(value)}` may be either; write {meant}")
    if unit not in units:
        known = ", ".join(units)
        example = _otherwise(value, units) or example
        raise QuantityError(
            f"`{_clip(unit)}` is not a unit of {dimension}; known: {known}; write for example `{example}`"
        )
    factor, offset = units[unit]
    number = float(match[1]) * factor + offset
    if not math.isfinite(number):
        raise QuantityError(_out_of_range(value, dimension, example))
    return Written(number, f"{float(match[1]):.12g} {unit}")


def _otherwise(text: str, units: Iterable[str]) -> str:
    """A figure as a file has it, of one in other words: ``about 4 A``, ``4-6 A``, ``17 amp hours``; "" for
    what is none."""
    if not (match := _OTHERWISE.match(text)):
        return ""
    about, low, high, word = match.groups()
    spelt = word.lower().strip().rstrip(".")
    unit = next((own for own in units if spelt in (own.lower(), *_SPELT.get(own, ()))), "")
    number = f"{low} to {high}" if high else f"{ABOUT if about else ''}{low}"
    return f"{number} {unit}" if unit else ""


def with_point(text: str) -> str:
    """``7,2 Ah`` as ``7.2 Ah``; "" for what is no number with a decimal comma. ``1,500 m`` may be
    meant as fifteen hundred."""
    match = _DECIMAL_COMMA.fullmatch(text)
    if not match or (len(match[2]) == 3 and match[1].strip("~0")):
        return ""
    return f"{match[1]}.{match[2]}{match[3]}"


def _out_of_range(value: str, dimension: str, example: str) -> str:
    least, most, _ = RANGES[dimension]
    article = "an" if dimension[0] in "aeiou" else "a"
    return (
        f"`{_clip(value)}` is out of range; {article} {dimension} must be {least} to {most};"
        f" write for example `{example}`"
    )


def _unit_like(value: float, units: dict[str, tuple[float, float]], example: str) -> str:
    """The unit of an example, or where that is far off its size, the one in which a number is
    nearest to it."""
    match = _TEXT.match(example)
    assert match, example
    if not value or any(offset for _, offset in units.values()):
        return match[2]
    size = float(match[1]) * units[match[2]][0]
    away = {unit: abs(math.log(abs(value) * factor / size)) for unit, (factor, _) in units.items()}
    return match[2] if away[match[2]] < math.log(_FAR_OFF) else min(away, key=lambda unit: away[unit])


@record
class Gauge:
    """A wire size: ``awg`` is the American wire gauge as written in the tables (``"18"``, ``"00"``)
    or None; ``area_mm2`` the conductor area in square millimetres (for AWG sizes, of the solid
    conductor after ASTM B258)."""

    awg: str | None
    area_mm2: float

    def __str__(self) -> str:
        return f"{self.awg} AWG" if self.awg is not None else f"{self.area_mm2:g} mm2"


def thinner(gauge: Gauge, sizes: int) -> Gauge:
    """The wire some AWG numbers thinner; of a metric wire the area that such a step leaves,
    92^(2/39) a number (ASTM B258)."""
    if gauge.awg is None:
        return Gauge(None, gauge.area_mm2 / 92.0 ** (2 * sizes / 39))
    number = (1 - len(gauge.awg) if set(gauge.awg) == {"0"} else int(gauge.awg)) + sizes
    awg = str(number) if number > 0 else "0" * (1 - number)
    return Gauge(awg, awg_area_mm2(awg))


def awg_area_mm2(awg: str) -> float:
    """Area of a solid AWG conductor in mm2, d = 0.005 in x 92^((36-n)/39), ASTM B258.

    ``"00"`` is n = -1.
    """
    number = 1 - len(awg) if set(awg) == {"0"} else int(awg)
    diameter_mm = 0.005 * 92.0 ** ((36 - number) / 39) * INCH_M * 1000
    return math.pi / 4 * diameter_mm**2


def read_gauge(value: Any) -> Gauge:
    """Read ``18 AWG``, ``00 AWG``, ``2/0 AWG`` or ``1.5 mm2``. Raises :class:`QuantityError`."""
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        size = f"{value:g}" if 0 < value <= 40 else "18"
        raise QuantityError(
            f"the number {_clip(str(value))} has no unit; write for example `{size} AWG` or `{size} mm2`"
        )
    if not isinstance(value, str):
        raise QuantityError("expected a wire size, for example `18 AWG` or `1.0 mm2`")
    if match := _AWG.match(value):
        text = match[1]
        awg = "0" * int(text[0]) if "/" in text else text if set(text) == {"0"} else str(int(text))
        if set(awg) != {"0"} and int(awg) > 40:
            raise QuantityError(f"`{_clip(value)}` is outside the sizes 0000 AWG to 40 AWG")
        return Gauge(awg, awg_area_mm2(awg))
    if match := _AREA.match(value):
        if not _AREAS[0] <= float(match[1]) <= _AREAS[1]:
            least, most = (f"{area:g} mm2" for area in _AREAS)
            raise QuantityError(f"`{_clip(value)}` is outside the sizes {least} to {most}")
        return Gauge(None, float(match[1]))
    turned = _TURNED.match(value)
    example = f"`{turned[1]} AWG`" if turned else "for example `18 AWG` or `1.0 mm2`"
    raise QuantityError(f"`{_clip(value)}` is not a wire size; write {example}")


def _clip(text: str, limit: int = 60) -> str:
    return text if len(text) <= limit else text[: limit - 1] + "…"


class InUnits:
    """Marks an annotation as text with a unit: ``read`` gives the value, ``pattern`` and
    ``examples`` are for editors."""

    def __init__(self, read: Callable[[Any], Any], pattern: str, *examples: str):
        self.pattern, self.examples = pattern, examples
        once = lru_cache(maxsize=1000)(read)  # a file has many wires of few sizes

        def validate(value: Any) -> Any:
            try:
                return once(value) if type(value) is str else read(value)
            except QuantityError as error:
                raise PydanticCustomError("quantity", "{text}", {"text": error.message}) from None

        self.validate = validate

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.validate)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {"type": "string", "pattern": self.pattern, "examples": list(self.examples)}


class Quantity(InUnits):
    """Marks a number as a quantity of a dimension, in its base unit and within its range.

    With ``zero``, it may be zero too; else zero is refused, but of temperatures. ``other`` is a
    quantity of another dimension that it may be instead.
    """

    def __init__(self, dimension: str, example: str, zero: bool = False, other: Quantity | None = None):
        self.dimension, self.example, self.zero, self.other = dimension, example, zero, other
        least, most, _ = RANGES[dimension]
        self.least = read_quantity(least, dimension, example)
        self.most = read_quantity(most, dimension, example)
        units = "|".join((*UNITS[dimension], *(UNITS[other.dimension] if other else ())))
        number = r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]{1,3})?"
        about = "" if dimension == "temperature" else f"{ABOUT}?\\s*"
        pattern = rf"^\s*({about}|{number}\s*({units})?\s+to\s+){number}\s*({units})\s*$"
        super().__init__(self.read, pattern, example, *((other.example,) if other else ()))

    def read(self, value: Any, example: str = "") -> float:
        """The number that the text gives; ``example`` is what the key may have.

        Raises :class:`QuantityError`.
        """
        if self.other and isinstance(value, str):
            unit = _UNIT.search(value)
            if unit and unit[0] in UNITS[self.other.dimension]:
                return self.other.read(value)
            if unit and _TEXT.match(value) and unit[0] not in UNITS[self.dimension]:
                raise QuantityError(
                    f"`{_clip(unit[0])}` is a unit of neither {self.dimension} nor {self.other.dimension}; "
                    f"write for example `{self.example}` or `{self.other.example}`"
                )
        if isinstance(value, str) and value.lstrip().startswith(ABOUT):
            if self.dimension == "temperature":
                raise QuantityError(
                    f"`{_clip(value)}` is a share off either way, which a temperature has no share of; "
                    "write its ends, for example `40 to 60 C`"
                )
            known = self.read(value.lstrip().removeprefix(ABOUT), example)
            assert isinstance(known, Written)
            if known.estimate:
                raise QuantityError(f"`{_clip(value)}` is an estimate twice; write it without `{ABOUT}`")
            return Written(known, ABOUT + known.text)
        if isinstance(value, str) and (ends := _ENDS.match(value)):
            return self._middle(ends, example)
        number = read_quantity(value, self.dimension, example or self.example)
        signed = self.least < 0
        if not signed and (number < 0 or (number == 0 and not self.zero)):
            raise QuantityError(
                f"`{_clip(str(value))}` must be {'zero or more' if self.zero else 'more than zero'}"
            )
        if not self.least <= number <= self.most and (signed or number):
            raise QuantityError(_out_of_range(str(value), self.dimension, example or self.example))
        return number

    def _middle(self, ends: re.Match[str], example: str) -> Written:
        """The middle of a range, which has the text of the whole."""
        low, own, high, unit = ends.groups()
        one, other = self.read(f"{low} {own or unit}", example), self.read(f"{high} {unit}", example)
        if own not in ("", unit) or not one < other:
            raise QuantityError(
                f"`{_clip(ends[0].strip())}` is not a range; write the lower figure first and one unit, "
                f"for example `4 to 6 {unit}`"
            )
        assert isinstance(one, Written) and isinstance(other, Written)
        return Written((one + other) / 2, f"{low}{RANGE}{high} {unit}", (one, other))


def quantity_of(about: FieldInfo) -> Quantity | None:
    """The quantity that a field holds, by itself or in its entries; None where it holds none."""
    marks = (*about.metadata, *_marks(about.annotation))
    return next((m for m in marks if isinstance(m, Quantity)), None)


def base_unit(piece: Any, field: str) -> str:
    """The unit that numbers of a field of a kind of piece are in, as it is written in a file;
    nothing where the field is no quantity."""
    mark = quantity_of(piece.model_fields[field])
    dimension = mark.dimension if mark else None
    return (
        ""
        if dimension is None
        else "%"
        if dimension == "share"
        else next(u for u, scale in UNITS[dimension].items() if scale == (1.0, 0.0))
    )


def _marks(annotation: Any) -> Iterator[Any]:
    for inner in get_args(annotation):
        yield inner
        yield from _marks(inner)


Amperes = Annotated[float, Quantity("current", "5 A")]
AmperesOrZero = Annotated[float, Quantity("current", "0.5 A", zero=True)]
Volts = Annotated[float, Quantity("voltage", "14.2 V")]
#: volts, or amperes where it is a current that is shown
AlarmLevel = Annotated[float, Quantity("voltage", "12.8 V", other=Quantity("current", "2 A"))]
Watts = Annotated[float, Quantity("power", "55 W")]
AmpereHours = Annotated[float, Quantity("capacity", "17 Ah")]
Ohms = Annotated[float, Quantity("resistance", "0.008 ohm")]
Farads = Annotated[float, Quantity("capacitance", "22 mF")]
Metres = Annotated[float, Quantity("length", "0.6 m")]
Altitude = Annotated[float, Quantity("altitude", "10000 ft")]
Seconds = Annotated[float, Quantity("time", "30 min")]
Percent = Annotated[float, Quantity("share", "80 %")]
PercentOrZero = Annotated[float, Quantity("share", "80 %", zero=True)]
Celsius = Annotated[float, Quantity("temperature", "150 C")]
_SIZE = r"^\s*(([0-9]{1,2}|0{2,4}|[1-4]/0)\s*AWG|([0-9]+(\.[0-9]*)?|\.[0-9]+)\s*mm2)\s*$"
WireSize = Annotated[Gauge, InUnits(read_gauge, _SIZE, "18 AWG", "1.5 mm2")]
