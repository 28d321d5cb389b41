"""Published figures: read once from data files that carry their source, and refuse to answer outside their range."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from reviewer.model.quantities import Gauge, awg_area_mm2

_HERE = Path(__file__).parent


class OutsideTable(LookupError):
    """A look-up outside what the source prints. The message names the table and its range."""


@cache
def _read(name: str) -> dict[str, Any]:
    return tomllib.loads((_HERE / f"{name}.toml").read_text(encoding="utf-8"))


def source_title(key: str) -> str:
    """Title of a source by its key in sources.toml. Raises KeyError."""
    return _read("sources")[key]["title"]


def protector_limit(gauge: Gauge, column: str) -> float:
    """Largest protector, in amperes, for a wire: AC 43.13-1B Table 11-3, ``column`` ``"breaker"`` or ``"fuse"``.

    A metric size is read as the largest printed AWG size that is no larger in area. Raises :class:`OutsideTable`.
    """
    printed: dict[str, float] = _read("wire_protection")[column]
    if gauge.awg is not None:
        size = gauge.awg
    else:
        fitting = [awg for awg in printed if awg_area_mm2(awg) <= gauge.area_mm2 * 1.0000001]
        size = max(fitting, key=awg_area_mm2) if fitting else ""
    if size not in printed:
        raise OutsideTable(f"AC 43.13-1B Table 11-3 prints no {column} value for {gauge} (it goes from 22 AWG to {list(printed)[-1]} AWG)")
    return printed[size]


def protection_basis() -> str:
    """The basis of Table 11-3 in one sentence, for reports."""
    return f"Wire protection is judged by AC 43.13-1B Table 11-3: {_read('wire_protection')['basis']}. Table 11-9 rests on another basis and is not used for it."
