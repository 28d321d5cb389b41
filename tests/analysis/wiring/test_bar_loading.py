"""What comes into a bar: the sum of the currents that its wires bring, however small; what is not known stays so."""

from __future__ import annotations

from math import isnan, nan
from types import SimpleNamespace

import pytest

from reviewer.analysis.wiring.bar_loading import _amperes


@pytest.mark.parametrize(
    ("amps", "wanted"),
    [((0.3, 0.4, 0.5), 1.2), ((5.0, -2.0, 0.5), 5.5), ((0.0, -1.0, -3.0), 0.0), ((-1.0, 2.5, 0.0), 2.5)],
)
def test_currents_into_a_bar_add_up(amps: tuple[float, ...], wanted: float) -> None:
    assert into(amps) == pytest.approx(wanted)


def test_a_current_that_is_not_known_leaves_the_sum_open() -> None:
    assert isnan(into((1.0, nan, 2.0)))


def into(amps: tuple[float, ...]) -> float:
    """Of three wires, the second drawn away from the bar."""
    design = SimpleNamespace(parts={"bar": None}, wire_ends={"bar": (("W0", 1), ("W1", -1), ("W2", 1))})
    signs = (1, -1, 1)
    point = SimpleNamespace(
        amps={f"wires/W{i}": sign * a for i, (sign, a) in enumerate(zip(signs, amps, strict=True))}
    )
    return _amperes(design, "bar", point)  # type: ignore[arg-type]
