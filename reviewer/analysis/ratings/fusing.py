"""Currents that melt a copper wire: Preece for the long run, Onderdonk and ICEA for a short time. For fusible links and cross-checks, no limits."""

from __future__ import annotations

import math

from reviewer.tables.faults import fusing
from reviewer.tables.wire_tables import CMIL_MM2


def preece_current(diameter_in: float) -> float:
    """Current in A that melts a bare copper wire in air: I = 10244 d^1.5, d in inches."""
    return fusing("preece").at("copper").value * diameter_in**1.5


def preece_diameter(amperes: float) -> float:
    """Diameter in inches of the copper wire that melts at a current; the inverse of :func:`preece_current`."""
    return (amperes / fusing("preece").at("copper").value) ** (2 / 3)


def onderdonk_current(area_cmil: float, seconds: float, ambient_c: float) -> float:
    """Current in A that melts a copper wire after a time: 33 (I/A)^2 t = log10(1 + (Tm - Ta) / (234 + Ta)), A in circular mil.

    The ambient is added to 234; one printed example subtracts it.
    """
    factor, beta, melts = (
        fusing("onderdonk").at("copper", column).value for column in ("factor", "beta", "melts at")
    )
    return area_cmil * math.sqrt(
        math.log10(1 + (melts - ambient_c) / (beta + ambient_c)) / (factor * seconds)
    )


def icea_k(start_c: float, end_c: float) -> float:
    """k in A s^0.5 / mm2 of the ICEA equation (I/A)^2 t = 0.0297 log10((T2 + 234) / (T1 + 234)), for comparison with IEC 60949."""
    factor, beta = (fusing("icea").at("copper", column).value for column in ("factor", "beta"))
    return math.sqrt(factor * math.log10((end_c + beta) / (start_c + beta))) / CMIL_MM2
