"""The pages about the format say what the model has: every kind, key and choice, with examples that can be read."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
import yaml
from click.testing import CliRunner

from reviewer.cli.main import commands
from reviewer.model.fields import key_of
from reviewer.model.parts import PART_KINDS
from reviewer.reading import read_text
from reviewer.reading.assemblies.library import library_names, library_text
from reviewer.reading.schema import design_schema
from reviewer.reports.assembly_pages import page
from reviewer.reports.format_pages import format_page, topics

ROOT = Path(__file__).parents[2]
SCHEMA: dict[str, Any] = design_schema()


def flat(text: str) -> str:
    return " ".join(text.split())


def test_every_topic_has_a_page_that_says_more_than_its_name() -> None:
    for topic in topics(SCHEMA):
        title, line, *said = format_page(topic, SCHEMA).splitlines()
        assert (title, set(line)) == (topic, {"="})
        assert len(" ".join(said).split()) >= 4, topic


@pytest.mark.parametrize("kind", PART_KINDS)
def test_the_page_of_a_kind_has_each_of_its_keys_and_an_example_that_can_be_read(kind: str) -> None:
    page = format_page(kind, SCHEMA)
    model = PART_KINDS[kind]
    for key in map(key_of, model.model_fields):
        assert key == "kind" or f"\n  {key}: " in page or f"`{key}`" in page, key
    (example,) = re.findall(rf"^    my-{kind}: (.*)$", page, re.M)
    part = model.model_validate(yaml.safe_load(example))
    assert all(terminal in flat(page) for terminal in part.terminals())


def test_a_page_gives_what_may_stand_at_a_key() -> None:
    battery, state = flat(format_page("battery", SCHEMA)), flat(format_page("state", SCHEMA))
    assert "capacity: Rated capacity. In Ah or mAh, as `17 Ah`." in battery
    assert "chemistry: What is in the cells. One of `lead-acid`, `lithium-iron-phosphate`." in battery
    assert "Terminals: positive, negative." in battery
    assert "It goes under `operation: states`, by a name of your own." in state
    # text or a group: neither is said to be the only one
    assert "a group of keys" not in flat(format_page("function", SCHEMA)).partition("loss:")[0]


def test_a_key_is_explained_once_for_all_that_have_it_with_one_meaning() -> None:
    page = flat(format_page("rating", SCHEMA))
    assert "Key of breaker, breaker-switch, fuse, limiter: Rated current." in page
    assert "Key of every part: Where in the aircraft the part is." in flat(format_page("zone", SCHEMA))


def test_the_command_explains_a_topic_and_names_the_nearest_of_one_that_is_misspelt() -> None:
    runner = CliRunner()
    committed = json.loads((ROOT / "schemas" / "design.schema.json").read_text(encoding="utf-8"))
    assert runner.invoke(commands, ["explain", "circuits"]).stdout == format_page("circuits", committed)
    for misspelt, near in (
        ("batery", "battery"),
        ("circiuts", "circuits"),
        ("max-resistence", "max-resistance"),
    ):
        done = runner.invoke(commands, ["explain", misspelt])
        assert done.exit_code == 2 and f"similar: {near}" in done.stderr


def test_what_is_left_open_in_an_example_is_written_as_a_key_alone() -> None:
    page = flat(format_page("assemblies", SCHEMA))
    assert "{parameters: {from, to, length: {default: 1 m}}" in page and "None" not in page


@pytest.mark.parametrize("name", library_names())
def test_the_call_of_an_assembly_gives_all_that_must_be_given_and_nothing_else(name: str) -> None:
    """What its text gives a default or lets out need not be given."""
    text = page(name, 100)
    call = next(line for line in text.splitlines() if "NAME: {assembly: " in line)
    given = yaml.safe_load(call)["NAME"]
    assert given.pop("assembly") == name
    (drawn,) = yaml.safe_load(library_text(name))["assemblies"].values()
    needed = {key for key, of in drawn["parameters"].items() if not {"default", "optional"} & set(of or {})}
    assert set(given) == needed != set()


def test_the_page_of_circuits_has_the_words_of_a_path_and_the_names_that_it_gives() -> None:
    page = flat(format_page("circuits", SCHEMA))
    assert "breaker: in-flight, on-ground, open, closed, trip-free" in page and "wire: etfe, ptfe" in page
    path = {
        "nav-radio": "bus > breaker 5 A NAV (in-flight) > switch master 10 A MASTER > radio (1 A) > ground"
    }
    small = {
        "format": 1,
        "aircraft": {"name": "X", "nominal": "14 V", "airframe": "metal", "stage": "concept"},
    }
    parts = {"bus": {"kind": "bus"}, "ground": {"kind": "ground-block"}}
    design = read_text(json.dumps({**small, "circuits": path, "parts": parts}), "small")
    assert {"nav-radio-breaker", "master", "radio"} < set(design.parts)
    first = design.wires["nav-radio-1"]
    assert (first.from_, first.to) == ("bus.nav-radio", "nav-radio-breaker.line")


def test_a_choice_has_a_page_with_each_key_at_which_it_may_stand() -> None:
    starter, on = flat(format_page("starter", SCHEMA)), flat(format_page("continuous", SCHEMA))
    assert "A choice at `type`, as `type: starter`. Key of load:" in starter
    assert (
        "Key of contactor, relay: How long the coil may stay energised." in on
        and "Key of instrument, load" in on
    )
    assert "NAV" not in topics(SCHEMA)  # any text, as of a label, is no choice
