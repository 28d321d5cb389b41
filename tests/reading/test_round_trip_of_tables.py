"""A design with its loads and wires in tables is the same design, with the same review, as with all of it in one file."""

from __future__ import annotations

import json
from functools import partial
from pathlib import Path
from random import Random
from typing import Any

import jsonschema
import pytest

from reviewer.analysis.facts import Facts
from reviewer.reading import Unreadable, read_text
from reviewer.reading.beside import FilesBeside
from reviewer.reading.circuits.expand import expanded
from reviewer.reading.schema import design_schema
from tests.counted_calls import calls_of
from tests.oracle.awkward import awkward
from tests.oracle.generator import realistic
from tests.reading.test_short_form import FILES, data_of
from tests.shortening import shortened
from tests.tabulating import tabulated


def in_memory(files: dict[str, bytes]) -> FilesBeside:
    """Tables that are read already."""
    tables = FilesBeside(Path("nowhere"))
    tables.contents.update(files)
    return tables


@pytest.mark.parametrize(
    ("path", "ext"),
    [(path, ("csv", "csv", "xlsx")[i % 3]) for i, path in enumerate(FILES)],
    ids=lambda x: getattr(x, "name", x),
)
def test_a_file_is_the_same_design_with_tables(path: Path, ext: str) -> None:
    data = data_of(path)
    made, files = tabulated(data, Random(path.name), ext)
    assert files and len(made["wires"]) * 2 < len(data["wires"])
    try:
        design = read_text(json.dumps(data), "x")
    except Unreadable:  # drawn before the words for it were built
        return
    assert read_text(json.dumps(made), "x", in_memory(files)) == design
    schema = jsonschema.Draft202012Validator(design_schema())
    assert [e.message for e in schema.iter_errors({"tables": made["tables"]})] == [
        e.message for e in schema.iter_errors({"tables": []})
    ]


@pytest.mark.parametrize("seed", range(4))
def test_generated_designs_are_the_same_with_tables_and_circuits(seed: int) -> None:
    data: dict[str, Any] = {}
    design = awkward(seed, dress=data.update) if seed % 2 else realistic(100, seed, dress=data.update)
    made, files = tabulated(json.loads(json.dumps(data)), Random(seed), "xlsx" if seed == 3 else "csv")
    both = shortened(made, Random(seed)) if seed < 2 else made
    read = read_text(json.dumps(both), "x", in_memory(files))
    assert read == design and Facts(read).network == Facts(design).network
    long = expanded(json.dumps(both).encode(), "x.json", in_memory(files))
    assert read_text(long, "x") == design and not {"tables", "circuits"} & json.loads(long).keys()


@pytest.mark.long
def test_reading_two_thousand_wires_from_a_table_takes_few_calls() -> None:

    parts = {f"bus-{i}": {"kind": "bus"} for i in range(40)}
    wires = {
        f"W{i}": {
            "from": f"bus-{i % 40}.{i}",
            "to": f"bus-{(i + 7) % 40}.to-{i}",
            "gauge": "20 AWG",
            "length": f"{i} cm",
        }
        for i in range(1, 2001)
    }
    plain = {"nominal": "14 V", "airframe": "metal", "stage": "concept"}
    data = {"format": 1, "aircraft": {"name": "x", **plain}, "parts": parts, "wires": wires}
    made, files = tabulated(data, Random(5))
    assert made["wires"] == {}
    calls = []
    for one in (made, data):
        text = json.dumps(one)
        read_text(text, "x", in_memory(files))  # what is kept from one file to the next
        calls.append(calls_of(partial(read_text, text, "x", in_memory(files))))
    assert calls[0] < 5 * calls[1], calls  # no work that grows with the square of the rows
