"""What shows a reading: the instrument at whose input it is sensed, unless the file says another."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from reviewer.reading import read_text

BASE = yaml.safe_load(
    (Path(__file__).parents[1] / "rules" / "bases" / "bench.yaml").read_text(encoding="utf-8")
)


@pytest.mark.parametrize(
    ("monitor", "shown"),
    [
        ({"senses": "audio-panel.volts-in"}, "audio-panel"),
        ({"senses": "reserve-battery.positive"}, None),
        ({"senses": "audio-panel.supply"}, None),
        ({"senses": "audio-panel.volts-in", "displayed-on": "left-ignition"}, "left-ignition"),
    ],
)
def test_what_is_sensed_at_an_input_is_displayed_there(monitor: dict[str, str], shown: str | None) -> None:
    data = {**BASE, "watch": {"monitors": {"volts": {"shows": "voltage", **monitor}}}}
    assert read_text(yaml.safe_dump(data), "x").watch.monitors["volts"].displayed_on == shown
