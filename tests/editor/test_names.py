"""Names in a text: where each stands, and a new one everywhere or nowhere."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from reviewer.editor.open_design import TextRead, read_as
from reviewer.editor.renames import NotRenamed, renamed, replaced
from reviewer.editor.written_names import GIVEN, NAMING
from tests.renaming import _REFERENCES, names_in, with_names
from tests.thinned import some_of

ROOT = Path(__file__).parents[2]
SIX = sorted((ROOT / "tests" / "aircraft").glob("*.design.yaml"))
#: those of the six with few names stand for them all
LONG = [
    ROOT / "examples" / "tourer.design.yaml",
    *some_of(SIX, [p for p in SIX if p.name.startswith(("glider", "magneto", "small"))]),
]
SHORT = ROOT / "examples" / "short-form" / "tourer.design.yaml"
TABLES = ROOT / "examples" / "tables" / "trainer.design.yaml"
NEW = "zz-new"


def read(path: Path, text: str | None = None) -> TextRead:
    return TextRead(path, text if text is not None else path.read_text(encoding="utf-8"))


def rename(own: TextRead, path: Path, group: str, name: str, new: str = NEW) -> str:
    at = own.names.of(group, name)[0]
    return replaced(own.text, renamed(own.names, own.text, at, new, lambda text: read_as(path, text)), new)


def test_the_keys_that_name_something_are_those_of_the_format() -> None:
    """The list of the tests was written from the format and knows nothing of editors."""
    assert set(NAMING) >= _REFERENCES


@pytest.mark.parametrize(
    "path",
    [
        pytest.param(path, id=path.name.partition(".")[0], marks=[pytest.mark.long] if number != 2 else [])
        for number, path in enumerate(LONG)
    ],
)
def test_a_new_name_stands_wherever_the_old_one_did(path: Path) -> None:
    own = read(path)
    data = yaml.load(own.text, Loader=yaml.BaseLoader)
    every = names_in(data)
    for section, group in GIVEN.items():
        names = [n for n in own.names.groups[group] if n in every and "." not in n]
        others = {n for other, known in own.names.groups.items() if other != group for n in known}
        for name in [n for n in names if n not in others][:: max(1, len(names) // 2)]:
            found = yaml.load(rename(own, path, group, name), Loader=yaml.BaseLoader)
            assert found == with_names(data, {name: NEW}), (section, name)


def test_every_name_is_given_once_and_found_from_every_place() -> None:
    own = read(LONG[0])
    for group, names in own.names.groups.items():
        for name in names:
            places = own.names.of(group, name)
            assert sum(place.given for place in places) == 1, (group, name)
            assert all(own.names.at(place.line, place.column) == place for place in places)
    lines = own.text.split("\n")
    assert all(lines[n.line - 1].startswith(n.name, n.column - 1) for n in own.names.found)


def test_a_name_in_a_path_is_renamed_there_and_in_the_sections() -> None:
    own = read(SHORT)
    text = rename(own, SHORT, "parts", "pump-a")
    design = read_as(SHORT, text)
    assert NEW in design.parts and "pump-a" not in design.parts
    assert own.design is not None and len(design.wires) == len(own.design.wires)
    assert "pump-a:" in text  # the circuit of that name keeps its own


@pytest.mark.parametrize(
    ("path", "group", "name", "new", "why"),
    [
        pytest.param(SHORT, "parts", "main-battery", "main battery", "without quotes", id="a blank"),
        pytest.param(SHORT, "parts", "main-battery", "a.b", "without quotes", id="a dot"),
        pytest.param(SHORT, "parts", "main-battery", "on: 1", "without quotes", id="YAML"),
        pytest.param(SHORT, "parts", "main-battery", "1e3", "without quotes", id="a number"),
        pytest.param(SHORT, "parts", "main-battery", "main-bus", "There is `main-bus` already", id="taken"),
        pytest.param(SHORT, "parts", "main-battery", "engine-running", "already", id="taken by a function"),
        pytest.param(SHORT, "parts", "main-battery", "main-battery", "called main-battery already", id="the same"),
        pytest.param(TABLES, "parts", "battery", NEW, r"named in wires.csv, row \d+, column", id="named in a table too"),
    ],
)  # fmt: skip
def test_what_cannot_be_renamed_is_refused_with_the_reason(
    path: Path, group: str, name: str, new: str, why: str
) -> None:
    own = read(path)
    if new == "engine-running":
        new = next(iter(own.names.groups["functions"]))
    with pytest.raises(NotRenamed, match=why):
        rename(own, path, group, name, new)


def test_a_name_that_a_drawing_puts_into_a_label_is_refused() -> None:
    """With it the label would be another one; where the drawing has no label the name is changed."""
    text = """format: 1
aircraft: {name: X, nominal: 14 V, airframe: metal, stage: concept}
assemblies:
  lamp: {parameters: {on}, parts: {$name: {kind: load, label: $on}}, wires: {$name: {from: $on, to: $name.supply}}}
parts: {main-bus: {kind: bus}}
installed: {nav: {assembly: lamp, on: main-bus.1}}
"""
    own = read(SHORT, text.replace(", label: $on", ""))
    assert set(read_as(SHORT, rename(own, SHORT, "parts", "main-bus")).parts) == {NEW, "nav"}
    with pytest.raises(NotRenamed, match="cannot tell from others"):
        rename(read(SHORT, text), SHORT, "parts", "main-bus")


def test_a_name_that_a_path_makes_by_itself_is_refused_with_what_to_write() -> None:
    text = SHORT.read_text(encoding="utf-8").replace("without: [", "without: [", 1)
    own = read(SHORT, text)
    proved = next(n for n in own.names.found if n.group == "parts" and n.name.endswith("-breaker"))
    with pytest.raises(NotRenamed, match="as NAME"):
        renamed(own.names, own.text, proved, NEW, lambda changed: read_as(SHORT, changed))


def test_a_name_in_a_table_is_refused_with_its_cell() -> None:
    own = read(TABLES)
    given = own.names.given_at("parts", "CB1")
    assert given is not None and getattr(given, "table", "") == "loads.csv"


def test_a_text_that_is_no_yaml_has_no_names() -> None:
    own = read(LONG[0], "parts: {a: [")
    assert own.names.found == () and own.problems
