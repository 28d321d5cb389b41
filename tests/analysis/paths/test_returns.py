"""Returns, and loops of signal returns."""

from __future__ import annotations

from reviewer.analysis.facts import Facts
from tests.analysis.small_designs import SmallDesign


def sensor(joined: str | None = "joined", second_ground: bool = False) -> Facts:
    """A sensor on an instrument; with ``second_ground`` its return is grounded too."""
    made = SmallDesign()
    fields = {"signal-returns": joined} if joined else {}
    made.add("display", "instrument", inputs={"temp": {"signal": "in", "return": "back"}}, **fields)
    made.wire("bus", "display.supply")
    made.wire("display.return", "ground")
    made.add("probe", "sensor")
    made.wire("probe.signal", "display.in")
    made.wire("probe.return", "display.back")  # W6
    if second_ground:
        made.wire("probe.return", "ground")
    return made.facts()


def test_a_load_with_a_wire_to_ground_has_a_return_and_one_without_has_none() -> None:
    made = SmallDesign()
    made.load("lamp")
    made.add("floating", "load")
    made.wire("bus", "floating.supply")
    paths = made.facts().paths
    assert paths.return_path(("lamp.return",)) == ("wires/W4", "parts/ground", "wires/W2")
    assert paths.return_path(("floating.return",)) is None
    assert paths.missing_return("parts/lamp") is None
    missing = paths.missing_return("parts/floating")
    assert missing is not None
    assert (missing.sources, missing.state, missing.path) == (
        ("parts/battery",),
        "cruise",
        ("parts/floating",),
    )


def test_an_alternator_adrift_is_no_return_for_what_the_battery_feeds() -> None:
    made = SmallDesign(airframe="metal")
    made.add("engine", "airframe")
    made.add("alternator", "alternator", excitation="permanent-magnet")
    made.wire("alternator.output", "bus")
    made.wire("alternator.ground", "engine")
    made.load("pump", end="engine")
    for element in ("parts/alternator", "parts/pump"):
        missing = made.facts().paths.missing_return(element)
        assert missing is not None and missing.sources == ("parts/battery",)
        assert missing.path[-1] == "parts/engine"
    made.wire("engine", "ground")
    paths = made.facts().paths
    assert paths.missing_return("parts/alternator") is None and paths.missing_return("parts/pump") is None


def test_the_return_of_a_sensor_is_that_of_its_instrument_even_if_isolated() -> None:
    assert sensor("isolated").paths.missing_return("parts/probe") is None


def test_a_signal_return_that_is_grounded_twice_closes_a_loop() -> None:
    loop = sensor("joined", second_ground=True).paths.signal_return_loop("W6")
    assert loop is not None and "parts/display" in loop.path
    assert sensor("joined").paths.signal_return_loop("W6") is None
    assert sensor("isolated", second_ground=True).paths.signal_return_loop("W6") is None


def test_an_instrument_that_does_not_say_may_close_one() -> None:
    paths = sensor(None, second_ground=True).paths
    assert (
        paths.signal_return_loop("W6") is None
        and paths.signal_return_loop("W6", unknown_joined=True) is not None
    )


def test_a_load_that_no_declared_state_feeds_is_judged_by_what_could_feed_it() -> None:
    """Off in the only state; its return leads to the negative of a battery that does not feed it."""

    def missing(end: str) -> tuple[str, ...] | None:
        made = SmallDesign()
        made.add("second", "battery")
        made.add("second-ground", "ground-block")
        made.wire("second.negative", "second-ground")
        made.load("lamp", made.switch("lamp-switch"), end=end)
        found = made.facts(switches={"lamp-switch": "off"}).paths.missing_return("parts/lamp")
        return found and found.sources

    assert missing("ground") is None
    assert missing("second-ground") == ("parts/battery",)
