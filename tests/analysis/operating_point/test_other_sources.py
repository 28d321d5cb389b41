"""External power, chargers and converters against a load of 20 A that one of them feeds beside a battery, worked out by hand."""

from __future__ import annotations

from typing import Any

import pytest

from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.solved_state import OperatingPoint
from tests.analysis.operating_point.test_converters import with_converter
from tests.analysis.small_designs import SmallDesign


def with_source(kind: str, nominal: str = "14 V", load: str = "20 A", **fields: Any) -> OperatingPoint:
    """A full battery of 10 milliohms, a motor of 20 A and the source, at one bus by ideal joints."""
    made = SmallDesign()
    made.more["aircraft"] = {"nominal": nominal}
    figures = {"chemistry": "lead-acid", "capacity": "17 Ah", "internal-resistance": "0.01 ohm"}
    made.parts["battery"] |= {**figures, "state-of-charge": "100 %"}
    made.add("source", kind, **fields)
    made.wire("source.positive", "bus")
    made.wire("source.negative", "ground")
    made.load("motor", type="motor", current=load, minimum="8 V")
    on = {"external-power": "connected"} if kind == "external-power" else {"chargers": ["source"]}
    facts = made.facts(use="ground", engine="stopped", **on)
    return facts.points.operating_point("cruise")


SOCKET: dict[str, Any] = {"kind": "external-power"}
SOLAR: dict[str, Any] = {"kind": "charger", "from": "solar", "current_limit": "300 A"}


@pytest.mark.parametrize(
    ("source", "volts"),
    [
        (SOCKET | {"voltage": "13.6 V", "rating": "100 A"}, 13.6),
        (SOCKET | {"voltage": "13.6 V"}, 13.6),
        (SOCKET, 14.2),  # typical
        (SOCKET | {"nominal": "28 V"}, 28.4),
        (SOLAR | {"set_point": "13.9 V"}, 13.9),
        (SOLAR, 14.3),
        (SOLAR | {"nominal": "28 V"}, 28.4),
    ],
)
def test_it_holds_its_voltage_and_charges_the_battery(source: dict[str, Any], volts: float) -> None:
    point = with_source(**source)
    across = point.volts["source.positive"] - point.volts["source.negative"]
    assert across == pytest.approx(volts, abs=0.004)  # a source gives way by 0.1 mV an ampere
    charge = -point.given["parts/battery"]
    assert charge > 0.1 and point.given["parts/source"] == pytest.approx(20 + charge, abs=1e-3)
    said = {"voltage", "set_point"} & set(source)
    told = [a for a in point.assumed if a.what in ("voltage of external power", "set point of a charger")]
    assert [a.elements for a in told] == ([] if said else [("parts/source",)])


@pytest.mark.parametrize(
    "source",
    [
        SOCKET | {"voltage": "13.6 V", "rating": "15 A"},
        SOLAR | {"set_point": "13.6 V", "current_limit": "15 A"},
    ],
)
def test_it_gives_no_more_than_its_most_and_the_battery_the_rest(source: dict[str, Any]) -> None:
    """5 A through 10 milliohms below the 12.6 V of a full battery at rest."""
    point = with_source(**source)
    assert point.given == pytest.approx({"parts/source": 15.0, "parts/battery": 5.0}, abs=1e-3)
    across = point.volts["battery.positive"] - point.volts["battery.negative"]
    assert across == pytest.approx(12.6 - 5 * 0.01, abs=1e-3)


def test_a_socket_without_a_rating_gives_what_is_asked() -> None:
    point = with_source("external-power", voltage="14.2 V", load="400 A")
    assert point.given["parts/source"] > 400
    assert point.volts["source.positive"] - point.volts["source.negative"] > 14.1


def test_a_charger_without_its_limit_and_a_converter_without_volts_or_rating_are_not_assessed() -> None:
    with pytest.raises(NotAssessable) as caught:
        with_source("charger", **{"from": "mains"})
    assert caught.value.needs == "`current-limit` of source"
    for key in ("output_voltage", "rating"):
        made = with_converter()
        del made.parts["converter"][key.replace("_", "-")]
        with pytest.raises(NotAssessable) as caught:
            made.facts().points.operating_point("cruise")
        assert caught.value.needs == f"`{key.replace('_', '-')}` of converter"
