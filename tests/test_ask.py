"""What a file lacks is asked for, first what decides most; each text fits its place, and answers it."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import yaml
from click.testing import CliRunner

from reviewer.cli import ask_command
from reviewer.cli.main import commands
from reviewer.model.channels import MechanicalChannel
from reviewer.model.review import Gap, HazardClass
from reviewer.reading import design_of, read_design, read_file, read_text
from reviewer.rulebook.missing_snippets import sections
from reviewer.rulebook.next_questions import NextQuestion, Paste, next_questions
from tests.edits import edited
from tests.rule_cases import assess, design, yaml_text

ROOT = Path(__file__).parent.parent
FLOW = """\
format: 1
aircraft: {name: X, nominal: 14 V, airframe: metal, stage: detailed}
circuits:
  feed: battery.positive > 0.4 m > fuse 5 A > 18 AWG 1 m > lamp (1 A) > battery.negative
parts:
  battery: {kind: battery}
  display: {kind: instrument, inputs: {volts: {signal: volts-in}}}
wires: {W1: {from: battery.positive, to: display.volts-in}, W2: {from: battery.negative, to: display.return}}
"""
BLOCK = """\
format: 1
aircraft: {name: X, nominal: 14 V, airframe: metal, stage: detailed}
parts:
    battery:
        kind: battery
    display:
        kind: instrument
        inputs:
            volts:
                signal: volts-in
wires:
    W1:
        from: battery.positive
        to: display.volts-in
    W2: {from: battery.negative, to: display.return}
"""


def asked(text: str, *lacks: tuple[str, str]) -> tuple[NextQuestion, ...]:
    """The questions of a gap that lacks what is named."""
    gaps = [Gap("a", "", "", HazardClass.MAJOR, None, (lack,)) for lack in lacks]
    return next_questions(gaps, read_text(text, "x"), text.splitlines())


def pasted(text: str, paste: Paste, value: str) -> str:
    """A file with a text where its place says."""
    lines = text.splitlines()
    new = paste.written(value)
    if paste.place.startswith("at the end"):
        return "\n".join([*lines, *new]) + "\n"
    (number,) = map(int, re.findall(r"line (\d+)", paste.place))
    if paste.place.startswith(("below", "in the section")):
        assert paste.spot == (number + 1, 1)  # an editor puts it where the words say
        return "\n".join([*lines[:number], *new, *lines[number:]]) + "\n"
    (line,), (name,) = new, re.findall(r"(?:of|with) ([\w-]+)$", paste.place)
    start = lines[number - 1].index(name) + len(name)
    close = {"{": "}", "(": ")"}
    depth, opened = 0, ""
    for at in range(start, len(lines[number - 1])):
        sign = lines[number - 1][at]
        opened = opened or (sign if sign in close else "")
        depth += (sign == opened) - (sign == close.get(opened))
        if opened and not depth:
            comma = ", " if opened == "(" else ""
            lines[number - 1] = lines[number - 1][:at] + comma + line + lines[number - 1][at:]
            return "\n".join(lines) + "\n"
    raise AssertionError(f"no place: {paste.place}")


def put_in(text: str, paste: Paste, value: str) -> str:
    """A file with a text where an editor puts it: lines of their own, or in braces before what follows."""
    assert paste.spot is not None
    (row, column), lines, new = paste.spot, text.splitlines(), paste.written(value)
    if column == 1:
        return "\n".join([*lines[: row - 1], *new, *lines[row - 1 :]]) + "\n"
    (line,) = new
    after = ", " if line.startswith(", ") else ""
    was = lines[row - 1]
    lines[row - 1] = f"{was[: column - 1]}{line.removeprefix(', ')}{after}{was[column - 1 :]}"
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize("shift", ["", "\n", "\n\n"])
def test_an_editor_puts_a_key_into_the_braces_of_the_item_wherever_they_open(shift: str) -> None:
    """Not into those of the part before it, nor of one inside it."""
    indent = "      " if shift else ""
    text = FLOW.replace("  battery: {kind", f"  battery:{shift or ' '}{indent}{{kind").replace(
        "  display:", "  '12':\n    {kind: bus}\n  display:"
    )
    for item, key, value in (
        ("parts/battery", "capacity", "17 Ah"),
        ("parts/display", "label", "volts"),
        ("parts/12", "label", "main"),
    ):
        (question,) = asked(text, (item, key))
        (paste,) = question.pastes
        assert paste.spot is not None
        made = design_of_keys(put_in(text, paste, value))
        assert key in made["parts"][item.partition("/")[2]]
        assert [key in piece for piece in made["parts"].values()].count(True) == 1


def design_of_keys(text: str) -> dict[str, Any]:
    """The keys of a file as any YAML tool reads them."""
    read: dict[str, Any] = yaml.safe_load(text)
    return read


@pytest.mark.parametrize(
    ("text", "item", "key", "value", "place"),
    [
        (FLOW, "parts/battery", "capacity", "17 Ah", "line 6, inside the braces { } of battery"),
        (
            FLOW,
            "parts/display/inputs/volts",
            "resistance",
            "9 kohm",
            "line 7, inside the braces { } of volts",
        ),
        (FLOW, "wires/W2", "gauge", "20 AWG", "line 8, inside the braces { } of W2"),
        (FLOW, "aircraft/wire", "insulation", "150 C", "line 2, inside the braces { } of aircraft"),
        (FLOW, "operation", "normal", "cruise", "at the end of the file, at its left margin"),
        (FLOW, "parts/lamp", "minimum", "9 V", "line 4, in the path of feed, in the brackets ( ) of lamp"),
        (BLOCK, "parts/battery", "capacity", "17 Ah", "below line 4, battery"),
        (BLOCK, "parts/display/inputs/volts", "resistance", "9 kohm", "below line 9, volts"),
        (BLOCK, "wires/W1", "length", "1 m", "below line 12, W1"),
    ],
)
def test_a_text_in_its_place_states_what_was_lacking(
    text: str, item: str, key: str, value: str, place: str
) -> None:
    (question,) = asked(text, (item, key))
    (paste,) = question.pastes
    assert (question.key, paste.place) == (key, place)
    ways = [pasted(text, paste, value)]
    if paste.spot:
        ways.append(put_in(text, paste, value))
    for made in ways:
        if item == "operation":  # a section needs its states too
            made = made.rstrip("\n") + "\n  states: {cruise: {}}\n"
        read_text(made, "x")
        assert asked(made, (item, key)) == ()


def test_a_size_is_added_to_the_wire_of_a_path_without_its_key() -> None:
    wire = next(name for name in read_text(FLOW, "x").wires if name.startswith("feed"))
    (question,) = asked(FLOW, (f"wires/{wire}", "gauge"))
    (paste,) = question.pastes
    assert (
        paste.place
        == "line 4, in the path of feed, between battery.positive and feed-fuse.line, its gauge without a key"
    )
    assert paste.written("20 AWG") == ("20 AWG",)


CALLED = """\
format: 1
aircraft: {name: X, nominal: 14 V, airframe: metal, stage: detailed}
installed:
  volts: {assembly: sense-lead, from: battery.positive, to: display.volts-in}
parts:
  battery: {kind: battery}
  display: {kind: instrument, inputs: {volts: {signal: volts-in}}}
circuits:
  back: display.return > battery.negative
"""


def test_a_part_before_the_circuits_is_of_no_path_and_what_an_assembly_makes_is_asked_at_its_call() -> None:
    (question,) = asked(CALLED, ("parts/battery", "capacity"))
    assert question.pastes[0].place == "line 6, inside the braces { } of battery"
    (lead,) = asked(CALLED, ("wires/volts-2", "length"))
    assert lead.pastes[0].place.startswith("line 4, in the braces { } of volts where its assembly takes that")
    assert lead.pastes[0].written("1.3 m") == (", length: 1.3 m",)


def test_what_decides_most_for_each_value_is_asked_first() -> None:
    wires = [("wires/W1", "gauge"), ("wires/W2", "gauge")]
    gaps = [
        *(Gap("one", item, "", HazardClass.MINOR, None, ((item, key),)) for item, key in wires),
        *(Gap(rule, "", rule, HazardClass.MINOR, None, (("parts/battery", "capacity"),)) for rule in "xyz"),
        Gap("two", "", "", HazardClass.MAJOR, None, (("parts/battery", "chemistry"), ("wires/W1", "length"))),
    ]
    found = next_questions(gaps, read_text(FLOW, "x"), FLOW.splitlines())
    assert [(q.key, q.worth, q.waiting) for q in found] == [
        ("capacity", 3.0, 3), ("gauge", 1.0, 2), ("chemistry", 0.5, 1), ("length", 0.5, 1),
    ]  # fmt: skip


def test_an_action_that_sheds_loads_is_asked_what_it_sheds_and_not_what_it_restores() -> None:
    rule = "crew-actions-have-their-declared-effect"
    purposeless = "nothing says what an action is for"
    (gap,) = assess(rule, yaml_text(design(rule, purposeless))).gaps
    shed = {"operation/load-shedding": ["smoke"]}
    (asked_for,) = assess(rule, yaml_text(edited(design(rule, purposeless), shed))).gaps
    assert (
        "`restores`" in gap.needs
        and "`restores`" not in asked_for.needs
        and "`disconnects`" in asked_for.needs
    )


def test_a_file_in_json_gets_its_key_in_quotes() -> None:
    text = '{"format": 1, "aircraft": {"name": "X", "nominal": "14 V", "airframe": "metal", "stage": "concept"},\n'
    text += ' "parts": {"battery": {"kind": "battery"}, "lamp": {"kind": "load"}},\n "wires": {"W1": {"from": "battery.positive", "to": "lamp.supply"}}}\n'
    (question,) = asked(text, ("parts/battery", "capacity"))
    assert question.pastes[0].written('"17 Ah"') == (', "capacity": "17 Ah"',)
    made = json.loads(put_in(text, question.pastes[0], '"17 Ah"'))
    assert made["parts"] == {"battery": {"capacity": "17 Ah", "kind": "battery"}, "lamp": {"kind": "load"}}


def test_every_question_about_the_sketches_is_answered_by_an_example_in_its_place() -> None:
    """All but what a path gives by words alone; each tried by itself."""
    for path in (ROOT / "examples" / "sketch.design.yaml", ROOT / "reviewer" / "sketch.design.yaml"):
        file = read_file(path)
        design = design_of(file)
        design = replace(design, aircraft=design.aircraft.model_copy(update={"stage": "detailed"}))
        lacks = [
            (f"parts/{name}", key)
            for name, part in design.parts.items()
            if not isinstance(part, MechanicalChannel)
            for key in ("rating", "label", "zone", "note")
        ]
        lacks += [(f"wires/{name}", key) for name in design.wires for key in ("gauge", "length", "bundle")]
        gaps = [Gap("a", "", "", HazardClass.MINOR, None, (lack,)) for lack in lacks]
        questions = next_questions(gaps, design, file.lines)
        assert len(questions) > 20
        for question in questions:
            assert all(paste.place and paste.written("1") for paste in question.pastes)
            first = question.pastes[0]
            if not first.in_path and "leave the name" not in first.place:
                values = {"rating": "5 A", "gauge": "20 AWG", "length": "1 m"}
                made = pasted("\n".join(file.lines), first, values.get(question.key, "words"))
                read_text(made, "x")


def test_the_command_lists_the_questions_and_writes_nothing(tmp_path: Path) -> None:
    design = tmp_path / "x.yaml"
    design.write_text(FLOW, encoding="utf-8")
    done = CliRunner().invoke(commands, ["ask", str(design)], catch_exceptions=False)
    every = CliRunner().invoke(commands, ["ask", str(design), "--all"], catch_exceptions=False)
    assert done.exit_code == every.exit_code == 0
    assert "1 of " in done.stdout and "--all has every one" in done.stdout
    first = done.stdout.partition("\n2 of ")[0]
    assert "Why: " in first and every.stdout.count("    Why: ") > ask_command.SHOWN
    assert design.read_text(encoding="utf-8") == FLOW and list(tmp_path.iterdir()) == [design]
    bad = CliRunner().invoke(commands, ["ask", str(tmp_path / "none.yaml")])
    assert bad.exit_code == 2 and "cannot be reviewed" in bad.stderr


def test_at_a_terminal_an_answer_gives_its_text_and_a_wrong_one_is_asked_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    design = tmp_path / "x.yaml"
    design.write_text(FLOW.replace("kind: battery}", "kind: battery, capacity: 17 Ah}"), encoding="utf-8")
    monkeypatch.setattr(ask_command, "_at_terminal", lambda: True)
    questions: Any = []
    for text in ("stop\n", ""):
        done = CliRunner().invoke(commands, ["ask", str(design)], input=text, catch_exceptions=False)
        assert done.exit_code == 0 and "Nothing was written to" in done.stdout
        questions.append(re.findall(r"^(\d+) of \d+:", done.stdout, re.M))
    assert questions == [["1"], ["1"]]
    typed = "next\n" * 40
    everything = (
        CliRunner().invoke(commands, ["ask", str(design)], input=typed, catch_exceptions=False).stdout
    )
    number = int(re.findall(r"^(\d+) of \d+: `conductor` of all wires", everything, re.M)[0])
    answers = "next\n" * (number - 1) + "brass\ncopper\nstop\n"
    done = CliRunner().invoke(commands, ["ask", str(design)], input=answers, catch_exceptions=False)
    assert "it may be `copper`, `aluminium`" in done.stdout
    put = re.findall(r"^(\d+) of \d+:", done.stdout, re.M)
    assert put == [str(n) for n in range(1, number + 2)]  # what is answered leads to the next one
    assert "        , wire: {conductor: copper}\n" in done.stdout


def test_the_examples_of_a_section_name_parts_and_states_of_the_design() -> None:
    """Pasted as they stand they name nothing that is not there."""
    design = read_design(Path(__file__).parent.parent / "examples" / "first.design.yaml")
    lines = "\n".join(sections(["watch"], design))
    assert "senses:  # as battery.positive" in lines and "watch:  # as [left-ignition]" in lines
    assert "state:  # as cruise" in lines
