"""What is named by its kind, and files of which nothing can be read."""

from __future__ import annotations

from pathlib import Path

import pytest

from reviewer.reading import Unreadable, read_design, read_text

SHUNTS = """
format: 1
aircraft: {name: Shunts, nominal: 14 V, airframe: metal, stage: concept}
parts:
  battery: {kind: battery}
  ground: {kind: ground-block}
  main-bus: {kind: bus}
circuits:
  feed: battery.positive > fuse 20 A FEED > shunt 50 A > main-bus
  negative: battery.negative > ground
  lamp: main-bus > fuse 2 A LAMP > lamp (1 A) > ground
operation: {normal: cruise, states: {cruise: {engine: running}}}
watch: {monitors: {amps: {shows: current, senses: SENSED}}}
"""


@pytest.mark.parametrize(
    ("sensed", "said"),
    [
        (
            "main-shunt",
            "there is no shunt `main-shunt` (did you mean `feed-shunt`?)",
        ),  # not the bus of that name
        ("zz", "there is no shunt `zz`; there is feed-shunt"),
        ("lamp", "`lamp` is a load, not a shunt"),
    ],
)
def test_a_name_of_another_kind_is_not_offered(sensed: str, said: str) -> None:
    with pytest.raises(Unreadable) as error:
        read_text(SHUNTS.replace("SENSED", sensed), "shunts.yaml")
    assert [problem.message for problem in error.value.problems] == [f"monitor amps: {said}"]
    assert read_text(SHUNTS.replace("SENSED", "feed-shunt"), "shunts.yaml").watch.monitors["amps"]


def test_a_file_that_is_not_there_or_empty_has_no_place_in_it(tmp_path: Path) -> None:
    for make in ((lambda path: None), (lambda path: path.write_text(""))):
        path = tmp_path / "none.design.yaml"
        make(path)
        with pytest.raises(Unreadable) as error:
            read_design(path)
        assert "reviewer start FILE" in str(error.value) and "line" not in str(error.value)
    path.write_text("format: 2\n")  # what is wrong within it has its place
    with pytest.raises(Unreadable) as error:
        read_design(path)
    assert "line 1, column" in str(error.value)
