"""What a sneak current does to a relay, as every question about the state tells it."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from reviewer.analysis.facts import Facts
from reviewer.cli.main import commands
from reviewer.questions.powered_equipment import powered_states
from reviewer.questions.solve import solved_of
from reviewer.questions.trace import trace_of
from reviewer.reading import read_text
from reviewer.session import solved_file
from tests.edits import edited
from tests.rule_cases import design, text

RULE = "relays-drop-out-when-switched-off"
LAMP = "a lamp on the switched side of the coil keeps it above its dropout voltage"
STATE = "smoke-drill"
BESIDE = "smoke-drill with main-contactor still energised"
NOTHING = {"parts/master-lamp/current": "0.03 A"}
HELD: dict[str, object] = {}
PICKED_UP = {"parts/master-lamp/current": "4 A", "parts/main-contactor/pickup-voltage": "9 V"}


def written(tmp_path: Path, edits: dict[str, object]) -> str:
    whole = design(RULE, LAMP)
    path = tmp_path / "design.yaml"
    path.write_text(text(edited(whole, edits) if edits else whole), encoding="utf-8")
    return str(path)


def facts(edits: dict[str, object]) -> Facts:
    whole = design(RULE, LAMP)
    return Facts(read_text(text(edited(whole, edits) if edits else whole), "design"))


def said(tmp_path: Path, edits: dict[str, object], *asked: str) -> str:
    command, *arguments = asked
    done = CliRunner().invoke(
        commands, [command, written(tmp_path, edits), *arguments], catch_exceptions=False
    )
    assert done.exit_code == 0, done.output
    return " ".join(done.stdout.split())


ASKED = (
    ("solve", "--state", STATE),
    ("trace", "main-bus", "--state", STATE),
    ("trace", "main-bus"),
    ("fail", "left-fuse", "--state", STATE),
    ("effects", "--state", STATE),
    ("solve", "--state", STATE, "--as", "json"),
    ("effects", "--state", STATE, "--as", "json"),
)


@pytest.mark.parametrize("asked", ASKED, ids=" ".join)
def test_each_command_says_that_the_relay_does_not_drop_out(tmp_path: Path, asked: tuple[str, ...]) -> None:
    told = said(tmp_path, HELD, *asked)
    assert (
        "main-contactor, once energised, does not drop out in smoke-drill: current through master-lamp"
        in told
    )
    assert "dropout voltage 1.5 V; main-bus energised with it." in told and BESIDE in told


@pytest.mark.parametrize("asked", ASKED, ids=" ".join)
def test_each_command_says_that_the_relay_picks_up(tmp_path: Path, asked: tuple[str, ...]) -> None:
    told = said(tmp_path, PICKED_UP, *asked)
    assert "In smoke-drill current through master-lamp picks up main-contactor: " in told
    assert "pickup voltage 9 V." in told and "still energised" not in told


@pytest.mark.parametrize("asked", ASKED, ids=" ".join)
def test_a_lamp_that_takes_too_little_is_not_told(tmp_path: Path, asked: tuple[str, ...]) -> None:
    told = said(tmp_path, NOTHING, *asked)
    assert "drop out" not in told and "picks up" not in told and "still energised" not in told


def test_a_missing_dropout_voltage_is_asked_for(tmp_path: Path) -> None:
    told = said(tmp_path, {"remove": ["parts/main-contactor/dropout-voltage"]}, *ASKED[0])
    assert "Missing data: `dropout-voltage` of main-contactor." in told and BESIDE not in told


@pytest.mark.parametrize(
    ("edits", "first", "second"), [(NOTHING, False, None), (HELD, False, True), (PICKED_UP, True, None)]
)
def test_the_bus_is_live_where_the_relay_is_energised(
    edits: dict[str, object], first: bool, second: bool | None
) -> None:
    """In the operating points, the trace and the list of what is powered alike."""
    asked = facts(edits)
    solved = solved_of(asked, STATE)
    points = [solved.phases[0].point, *(phases[0].point for _, phases in solved.beside)]
    volts = [point.volts["main-bus"] > 11 for point in points if point is not None]
    traced = [bool(s.terminals[0].fed) for s in trace_of(asked, "main-bus", STATE).states]
    powered = [bool(s.buses["main-bus"]) for s in powered_states(asked) if s.state.name in (STATE, BESIDE)]
    assert volts == traced == powered == [first, *([] if second is None else [second])]


def test_the_drawing_has_the_state_with_the_relay_still_energised(tmp_path: Path) -> None:
    solved = solved_file(Path(written(tmp_path, HELD)))
    views = {view.state: set(view.healthy) for view in solved.views}
    assert [s.name for s in solved.answers.states] == list(views)
    coil = len(solved.items.sources) * len(solved.items.nodes) + len(solved.items.powered)
    place = coil + solved.items.coils.index("parts/main-contactor")
    assert place in views["cruise"] and place in views[BESIDE] and place not in views[STATE]
    assert BESIDE in solved.answers.points.points


def test_a_failure_that_ends_the_current_ends_what_is_told(tmp_path: Path) -> None:
    assert BESIDE.split(" with ")[1] not in said(tmp_path, HELD, *ASKED[0], "--failed", "master-lamp")
    assert BESIDE.split(" with ")[1] in said(tmp_path, HELD, *ASKED[0], "--failed", "left-fuse")


def test_the_state_with_the_relay_can_be_asked_for_by_its_name(tmp_path: Path) -> None:
    told = said(tmp_path, HELD, "fail", "master-lamp", "--mode", "open", "--state", BESIDE)
    assert "main-contactor drops out; main-bus is dead" in told
    rows = csv.reader(io.StringIO(_csv(tmp_path, BESIDE)))
    assert {row[0] for row in rows} == {"state", BESIDE}
    assert {row[0] for row in csv.reader(io.StringIO(_csv(tmp_path, STATE)))} == {"state", STATE, BESIDE}


def _csv(tmp_path: Path, state: str) -> str:
    asked = ["solve", written(tmp_path, HELD), "--state", state, "--as", "csv"]
    return CliRunner().invoke(commands, asked, catch_exceptions=False).stdout


def test_a_comparison_tells_the_new_state(tmp_path: Path) -> None:
    old = tmp_path / "old.yaml"
    old.write_text(text(edited(design(RULE, LAMP), NOTHING)), encoding="utf-8")
    done = CliRunner().invoke(
        commands, ["compare", str(old), written(tmp_path, HELD)], catch_exceptions=False
    )
    assert f"new state: {BESIDE}" in " ".join(done.stdout.split())


def test_the_json_has_the_operating_point_with_the_relay_energised(tmp_path: Path) -> None:
    asked = ["solve", written(tmp_path, HELD), "--state", STATE, "--as", "json"]
    document = json.loads(CliRunner().invoke(commands, asked, catch_exceptions=False).stdout)
    (beside,) = document["with_relays_still_energised"]
    assert beside["state"] == BESIDE and beside["points"][0]["terminals"]["main-bus"] > 11
    assert document["points"][0]["terminals"]["main-bus"] < 1
