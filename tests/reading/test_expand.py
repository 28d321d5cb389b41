"""The long form of a file with circuits: the same design, all else as it stood, each comment above what replaces its circuit."""

from __future__ import annotations

import json
from pathlib import Path
from random import Random
from typing import Any

import pytest
import yaml
from click.testing import CliRunner

from reviewer.cli.main import commands
from reviewer.reading import Unreadable, read_text
from reviewer.reading.circuits.expand import expanded
from tests.oracle.generator import realistic
from tests.reading.test_short_form import data_of
from tests.shortening import shortened

ROOT = Path(__file__).parents[2]
SHORT = """# head
format: 1
aircraft: {name: First, nominal: 14 V, airframe: metal, stage: concept}   # as  it is
circuits:  # all of them
  # the feed
  feed: battery.positive > 8 AWG 0.3 m > breaker 30 A > bus main-bus # a trailing one
  radio: main-bus + breaker 5 A NAV > radio (1.2 A, peak 2 A,
    9 to 32 V) > ground

  # the strobe
  # in two lines
  strobe: "main-bus + breaker 5 A 'off' > switch 10 A > lamp (3 A, note 'a: b, #c') > ground; wires 18 AWG"
  back:
    # between
    ground.back > 8 AWG 1 m > battery.negative
  # below the last

# about parts
parts:
  battery: {kind: battery}   # own
  ground:
    kind: ground-block

    # not lost

functions: {nav: {any: 1, of: [radio], loss: minor}}
# end
"""
LONG = """# head
format: 1
aircraft: {name: First, nominal: 14 V, airframe: metal, stage: concept}   # as  it is
wires:
  feed-1: {from: battery.positive, to: feed-breaker.line, gauge: 8 AWG, length: 0.3 m}
  feed-2: {from: feed-breaker.load, to: main-bus.feed}
  radio-1: {from: radio-breaker.load, to: radio.supply}
  radio-2: {from: radio.return, to: ground.radio}
  strobe-1: {from: strobe-breaker.load, to: strobe-switch.line, gauge: 18 AWG}
  strobe-2: {from: strobe-switch.load, to: lamp.supply, gauge: 18 AWG}
  strobe-3: {from: lamp.return, to: ground.strobe, gauge: 18 AWG}
  # between
  back-1: {from: ground.back, to: battery.negative, gauge: 8 AWG, length: 1 m}
  # below the last

# about parts
parts:
  battery: {kind: battery}   # own
  ground:
    kind: ground-block

    # not lost
  # all of them
  # the feed
  # a trailing one
  feed-breaker: {kind: breaker, label: FEED, rating: 30 A}
  main-bus: {kind: bus}
  radio-breaker: {kind: breaker, label: NAV, rating: 5 A, plugged-on: main-bus}
  radio: {kind: load, current: 1.2 A, peak: 2 A, minimum: 9 V, maximum: 32 V}
  # the strobe
  # in two lines
  strobe-breaker: {kind: breaker, label: "off", rating: 5 A, plugged-on: main-bus}
  strobe-switch: {kind: switch, label: STROBE, positions: {"off": [], "on": [[line, load]]}, rating: 10 A}
  lamp: {kind: load, current: 3 A, note: "a: b, #c"}

functions: {nav: {any: 1, of: [radio], loss: minor}}
# end
"""


def test_circuits_become_parts_and_wires_and_all_else_stays() -> None:
    assert expanded(SHORT.encode(), "x") == LONG
    assert expanded(LONG.encode(), "x") == LONG


@pytest.mark.parametrize("ends", ["\r\n", "\n"])
@pytest.mark.parametrize("head", ["", "\ufeff"])
@pytest.mark.parametrize("tail", ["", "\n"])
def test_line_ends_and_the_mark_of_the_bytes_stay(ends: str, head: str, tail: str) -> None:
    text = head + SHORT.rstrip("\n").replace("\n", ends) + tail
    made = expanded(text.encode(), "x")
    assert made == head + LONG.rstrip("\n").replace("\n", ends) + tail


def wherever(data: dict[str, Any], draw: Random) -> list[str]:
    """A design in several kinds of text, its groups in any order."""
    entries = list(json.loads(json.dumps(data)).items())
    draw.shuffle(entries)
    some = dict(entries)
    texts = [json.dumps(some), json.dumps(some, indent=1)]
    for flow in (None, False, True):
        texts.append(
            yaml.safe_dump(some, sort_keys=False, width=70, allow_unicode=True, default_flow_style=flow)
        )
    return texts


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("bare", [True, False])
def test_the_long_form_is_the_same_design_in_any_kind_of_text(seed: int, bare: bool) -> None:
    draw, made = Random(seed), {}
    if seed % 2:
        made = dict(data_of(ROOT / "examples" / f"{draw.choice(('sketch', 'first', 'tourer'))}.design.yaml"))
    else:
        realistic(40, seed, dress=made.update)
    short = shortened(made, draw, draw.choice((0.4, 1.0)))
    if bare:
        short = {k: v for k, v in short.items() if v != {}}
    for text in wherever(short, draw):
        long = expanded(text.encode(), "x")
        assert "circuits" not in yaml.safe_load(long)
        assert read_text(long, "x") == read_text(text, "x")


def test_the_command_prints_or_writes_it_and_tells_mistakes(tmp_path: Path) -> None:
    design, out, bad = tmp_path / "a.yaml", tmp_path / "out.yaml", tmp_path / "bad.yaml"
    design.write_text(SHORT, encoding="utf-8")
    bad.write_text(SHORT.replace("5 A NAV", "5 V NAV"), encoding="utf-8")
    run = CliRunner().invoke
    assert run(commands, ["expand", str(design)]).stdout == LONG
    assert run(commands, ["expand", str(design), "--out", str(out)]).exit_code == 0
    assert out.read_text(encoding="utf-8") == LONG
    assert "does not fit a breaker" in run(commands, ["expand", str(bad)]).stderr
    assert run(commands, ["expand", str(design), "--out", str(design)]).exit_code == 2
    assert design.read_text(encoding="utf-8") == SHORT


def test_a_file_with_mistakes_has_no_long_form() -> None:
    with pytest.raises(Unreadable):
        expanded(SHORT.replace("main-bus +", "main-bsu +").encode(), "x")
