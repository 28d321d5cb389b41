"""Every document that a command writes as JSON is what its committed schema says, and the schema refuses what it is not."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner

from reviewer.cli.main import commands
from reviewer.reports.documents.described import About
from reviewer.reports.wording import CAUTIONS
from tests.document_schemas import DOCUMENTS, document_schema

ROOT = Path(__file__).parents[2]
STARTER = str(ROOT / "reviewer" / "starter.design.yaml")
#: the command that writes each document
ASKED = {
    "review": ("review", STARTER),
    "effects": ("effects", STARTER),
    "operating-points": ("solve", STARTER, "--failed", "master"),
    "wires": ("wires", STARTER),
    "budget": ("budget", STARTER),
    "comparison": ("compare", STARTER, STARTER),
    "graph": ("graph", STARTER),
    "checklists": ("checklists", STARTER),
    "diagnosis": ("diagnose", STARTER, "--dark", "left-ignition"),
}


def committed(name: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((ROOT / "schemas" / f"{name}.schema.json").read_text(encoding="utf-8"))
    return found


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, Any]]:
    """Each document as a command writes it; the manifest out of a handoff folder."""
    found = {}
    for name, arguments in ASKED.items():
        done = CliRunner().invoke(commands, [*arguments, "--as", "json"], catch_exceptions=False)
        assert done.exit_code in (0, 1), done.stderr
        found[name] = json.loads(done.stdout)
    folder = tmp_path_factory.mktemp("handoff") / "folder"
    assert (
        CliRunner()
        .invoke(commands, ["handoff", STARTER, "--out", str(folder)], catch_exceptions=False)
        .exit_code
        == 0
    )
    found["handoff"] = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    return found


def test_every_document_is_written_by_a_command(written: dict[str, dict[str, Any]]) -> None:
    assert set(written) == set(DOCUMENTS)


@pytest.mark.parametrize("name", DOCUMENTS)
def test_a_document_is_what_its_schema_says_with_the_cautions(
    name: str, written: dict[str, dict[str, Any]]
) -> None:
    jsonschema.Draft202012Validator(committed(name)).validate(written[name])
    assert written[name]["cautions"] == list(CAUTIONS)


@pytest.mark.parametrize("name", DOCUMENTS)
def test_no_key_of_a_document_is_without_a_place_in_its_schema(
    name: str, written: dict[str, dict[str, Any]]
) -> None:
    """A key that a writer adds and the type leaves out would otherwise be accepted silently."""
    schema = committed(name)
    closed = json.loads(json.dumps(schema))
    for part in (closed, *closed["$defs"].values()):
        part.setdefault("additionalProperties", False)
    jsonschema.Draft202012Validator(closed).validate(written[name])


@pytest.mark.parametrize("name", DOCUMENTS)
def test_a_document_without_one_of_its_keys_is_refused(name: str, written: dict[str, dict[str, Any]]) -> None:
    validator = jsonschema.Draft202012Validator(committed(name))
    for key in written[name]:
        rest = {k: v for k, v in written[name].items() if k != key}
        assert not validator.is_valid(rest), key
    assert not validator.is_valid({**written[name], "format": "another/1"})


def test_a_schema_is_made_from_the_type_with_its_descriptions() -> None:
    schema = document_schema("effects")
    assert schema["$id"] == "urn:circuit-reviewer:effects:1"
    failure = schema["$defs"]["FailureEntry"]["properties"]
    assert failure["mode"]["enum"][0] == "open" and failure["hazard"]["enum"][-1] is None
    assert failure["functions_lost"]["description"].startswith("The functions that are lost")


def test_a_description_keeps_what_the_type_says() -> None:
    made = About("A share.", minimum=0).__get_pydantic_json_schema__(
        {}, lambda core: {"type": "number", "description": "old"}
    )
    assert made == {"type": "number", "description": "A share.", "minimum": 0}
