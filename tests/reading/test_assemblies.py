"""Assemblies: drawn once and installed many times; each mistake once, with its places in drawing and call; the library reviewed."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import jsonschema
import pytest
import yaml
from click.testing import CliRunner

from reviewer.cli.main import commands
from reviewer.reading import Unreadable, design_of, read_file, read_text
from reviewer.reading.assemblies.library import library_assembly, library_example, library_names
from reviewer.reading.circuits.expand import expanded
from reviewer.reading.schema import design_schema
from reviewer.reports.handoff.contents import folder_files
from reviewer.session import review_file, solved_file
from reviewer.tables.bibliography import clause_status, clauses, sources
from tests.document_schemas import document_schema

HEAD = "format: 1\naircraft: {name: First, nominal: 14 V, airframe: metal, stage: concept}\n"
REST = """circuits:
  back: ground > battery.negative
  feed: battery.positive > main-bus
parts:
  battery: {kind: battery}
  ground: {kind: ground-block}
  main-bus: {kind: bus}
  meter: {kind: instrument, inputs: {volts: {signal: volts}, amps: {signal: amps}}, unused: [amps]}
"""
LEAD = """assemblies:
  lead:
    parameters: {from, to, length: {default: 1 m}, spares: {optional: true}}
    circuits:
      $name: $from > 22 AWG 0.1 m > $name-fuse > 22 AWG $length > $to
    parts:
      $name-fuse: {kind: fuse, rating: 1 A, construction: blade, label: $name, spares: $spares}
    wires:
      $name-extra: {from: $from.$name-extra, to: meter.supply, gauge: 22 AWG}
"""


def written(*calls: str, drawn: str = LEAD) -> str:
    return HEAD + drawn + "installed:\n" + "".join(f"  {call}\n" for call in calls) + REST


def mistakes(text: str) -> list[tuple[int, int, str]]:
    with pytest.raises(Unreadable) as caught:
        read_text(text, "x")
    return [(p.line, p.column, p.message) for p in caught.value.problems]


def marked(text: str) -> tuple[str, tuple[int, int]]:
    """The text without its mark ``^``, and the line and column where it stood."""
    before = text.partition("^")[0]
    return text.replace("^", ""), (before.count("\n") + 1, len(before) - before.rfind("\n"))


def test_a_call_makes_the_parts_and_wires_of_the_long_form() -> None:
    found = read_text(
        written(
            "volts: {assembly: lead, from: main-bus, to: meter.volts, spares: 2}",
            "R3 more: {assembly: lead, from: main-bus, to: ground, length: 2 m}",
        ),
        "x",
    )
    assert found.parts["volts-fuse"].spares == 2 and found.parts["more-fuse"].spares is None
    assert {
        n: (w.from_, w.to, w.length and w.length.text) for n, w in found.wires.items() if "back" not in n
    } == {
        "volts-1": ("main-bus.volts", "volts-fuse.line", "0.1 m"),
        "volts-2": ("volts-fuse.load", "meter.volts", "1 m"),
        "volts-extra": ("main-bus.volts-extra", "meter.supply", None),
        "more-1": ("main-bus.more", "more-fuse.line", "0.1 m"),
        "more-2": ("more-fuse.load", "ground.more", "2 m"),
        "more-extra": ("main-bus.more-extra", "meter.supply", None),
        "feed-1": ("battery.positive", "main-bus.feed", None),
    }


def test_what_is_made_stands_at_its_call_and_at_what_the_call_says() -> None:
    text = written("volts: {assembly: lead, from: main-bus, to: meter.volts, length: 2 m}")
    places, lines = read_text(text, "x").places, text.split("\n")
    call = next(i for i, line in enumerate(lines, 1) if line.startswith("  volts:"))
    assert places["parts/volts-fuse"] == (call, 3) == places["parts/volts-fuse/rating"]
    assert places["wires/volts-2/length"] == (call, lines[call - 1].index("2 m") + 1)
    assert all(type(line) is int for line, _ in places.values())


_QUOTES = "put the whole path in quotes"
TRAPS = [
    ("$name: $from > x^: 1 > $to", f"in `circuits`: a `: ` in a path makes a key of what is before it; {_QUOTES}"),
    ("$name: ^> $from > $to", "in `circuits`: a `>` at the start makes a block of text of it; a path begins at a bus or source"),
    ("$name: '$from' ^> $to", 'in `circuits`: a quote at the start ends the text at the next quote; put the whole path in double quotes `"`'),
    ("$name: ^- $from > $to", "in `circuits`: a `- ` at the start makes a list of it; a path begins at a bus or source"),
    ("$name: ^@from > $to", f"in `circuits`: no text begins with `@`; {_QUOTES}"),
    ("$name: $from >\n        # radio\n        ^x (1 A) > $to", "in `circuits`: a comment between the lines of a path ends it; put it above the circuit"),
]  # fmt: skip


@pytest.mark.parametrize(("path", "sentence"), TRAPS, ids=range(len(TRAPS)))
def test_what_yaml_makes_of_a_path_in_an_assembly_has_its_sentence(path: str, sentence: str) -> None:
    drawn = f"assemblies:\n  lead:\n    parameters: {{from, to}}\n    circuits:\n      {path}\n"
    text, place = marked(written("a: {assembly: lead, from: main-bus, to: ground}", drawn=drawn))
    assert mistakes(text) == [(*place, sentence)]


DRAWN = [
    ("$name: $from > ^$nmae > $to", "`$nmae` is not a parameter (did you mean `name`?); there are `$name`, `$from`, `$to`; in assembly `lead`, installed as `a` in line 9 and 2 more"),
    ("$name: $from > ^$missing > $to", "`$missing` is not a parameter; there are `$name`, `$from`, `$to`; in assembly `lead`, installed as `a` in line 9 and 2 more"),
    ("$name: $from > ^fsue 5 A > $to", "circuit a: `fsue` is not a kind of part (did you mean `fuse`?); in assembly `lead`, installed as `a` in line 9 and 2 more"),
    ("$name: $from > fuse ^5 V > $to", "circuit a: `5 V` does not fit a fuse; write for example `5 A`; in assembly `lead`, installed as `a` in line 9 and 2 more"),
    ("^again: $from > $to", "`again` is under `circuits` in line 7 already; begin its name in the assembly with `$name`: `$name-again`; in assembly `lead`, installed as `b` in line 10 and 1 more"),
]  # fmt: skip


@pytest.mark.parametrize(("path", "sentence"), DRAWN, ids=range(len(DRAWN)))
def test_a_mistake_of_a_drawing_is_told_once_for_all_its_calls(path: str, sentence: str) -> None:
    drawn = f"assemblies:\n  lead:\n    parameters: {{from, to}}\n    circuits:\n      {path}\n"
    calls = (f"{name}: {{assembly: lead, from: main-bus, to: ground}}" for name in "abc")
    text, place = marked(written(*calls, drawn=drawn))
    assert mistakes(text) == [(*place, sentence)]


CALLS = [
    ("a: {assembly: ^laed, from: main-bus, to: ground}", "a: there is no assembly `laed` (did you mean `lead`?); `reviewer assemblies` lists those of the library"),
    ("a: ^{from: main-bus}", "a: `assembly` is missing: it names what is installed; write for example `assembly: sense-lead`"),
    ("a: ^{assembly: lead}", "a: assembly lead also needs `from: ...`, `to: ...`"),
    ("a: {assembly: lead, ^form: main-bus, to: ground}", "a: assembly lead has no parameter `form` (did you mean `from`?); it has from, to, length, spares"),
    ("a: {assembly: lead, from: main-bus, to: ground, length: ^2 V}", "circuit a: `2 V` is in the place of a wire, which has a gauge and a length (`20 AWG 1.2 m`); a part has its kind before it: `breaker 2 V`; in assembly `lead`, line 7"),
    ("a: {assembly: lead, from: ^mian-bus.x, to: ground}", "circuit a: there is no part `mian-bus` (did you mean `main-bus`?); in assembly `lead`, line 7"),
    ("a: {assembly: lead, from: main-bus, to: ground, spares: ^many}", "fuse a-fuse: `spares` is `many`; expected a whole number; write for example `spares: 2`; in assembly `lead`, line 9"),
    ("a: {assembly: lead, from: main-bus, ^to: }", "a: `to` is nothing; expected text, a number, or a list of them"),
    ("a: {assembly: lead, from: main-bus, to: ^{x: y}}", "a: `to` is a group of keys; expected text, a number, or a list of them"),
    ("a: {assembly: lead, from: main-bus, to: lamp (1 A, ^motor) > ground}", "a: in braces `{ }` a comma makes another key; put the text that has one in quotes"),
    ("a: ^lead", "a: expected its assembly and what it is given, as `{assembly: sense-lead, from: main-bus}`; found `lead`"),
    ("^a.b: {assembly: lead, from: main-bus, to: ground}", "the name `a.b` of what is installed must have letters and no dot: parts are named after it"),
    ("a: ^{assembly: sense-lead, from: main-bus}", "a: assembly sense-lead also needs `to: engine-monitor.bus-volts-in` (input of the instrument)"),
    ("a: {assembly: sense-lead, from: main-bus, to: meter.volts, rating: ^1 V}", "circuit a: `1 V` does not fit a fuse; write for example `5 A`; in assembly `sense-lead` of the library, line 20"),
]  # fmt: skip


@pytest.mark.parametrize(("call", "sentence"), CALLS, ids=range(len(CALLS)))
def test_a_mistake_of_a_call_is_told_at_its_word(call: str, sentence: str) -> None:
    text, place = marked(written(call))
    assert mistakes(text) == [(*place, sentence)]


SHAPES = [
    ("lead: ^5", "assembly lead: expected a group of keys with `parameters` and `circuits`, found the number 5"),
    ("lead: {circuits: {$name: $a > $a}, parameters: {a}, ^paths: {}}", "assembly lead has no key `paths` (did you mean `parts`?)"),
    ("lead: ^{parameters: {a}}", "assembly lead draws nothing; it needs `circuits`, `parts`, `wires`"),
    ("lead: {circuits: {$name: $a > $a}, parameters: ^[a]}", "assembly lead: `parameters` is a list of 1; write them as `parameters: {bus, rating: {default: 5 A}}`"),
    ("lead: {circuits: {$name: $a > $a}, parameters: {a: ^5 A}}", "assembly lead: parameter `a` is `5 A`; leave it empty, or give it a default: `{default: 5 A}`, or `{optional: true}`"),
    ("lead: {circuits: {$name: $a > $a}, parameters: {^name}}", "assembly lead: `name` cannot name a parameter; use small letters, digits and `-`, but not `name` or `assembly`"),
    ("lead: {circuits: {$name: $a > $a}, parameters: {a, ^b}}", "assembly lead: parameter `b` is not used; remove it, or write `$b` where it belongs"),
    ("lead: {circuits: {$name: $a > $a}, parameters: {a: ^{default: $b}}}", "assembly lead: parameter `a` is a group of keys; leave it empty, or give it a default: `{default: 5 A}`, or `{optional: true}`"),
    ("lead: {circuits: ^[a]}", "assembly lead: `circuits` is a list of 1; expected a group of keys"),
]  # fmt: skip


@pytest.mark.parametrize(("drawn", "sentence"), SHAPES, ids=range(len(SHAPES)))
def test_a_mistake_in_what_an_assembly_is_has_one_sentence(drawn: str, sentence: str) -> None:
    text, place = marked(written("a: {assembly: lead, a: main-bus}", drawn=f"assemblies:\n  {drawn}\n"))
    assert mistakes(text) == [(*place, sentence)]


def test_two_mistakes_at_one_place_of_a_drawing_are_both_told() -> None:
    drawn = "assemblies:\n  lead: {parameters: {to}, wires: {$name: {from: main-bus.x, to: $to, gauge: 5 V, length: 2 V}}}\n"
    found = mistakes(written(*(f"{n}: {{assembly: lead, to: ground.{n}}}" for n in "abc"), drawn=drawn))
    assert [m.partition(";")[0] for _, _, m in found] == [
        "wire a: `gauge`: `5 V` is not a wire size",
        "wire a: `length`: `V` is not a unit of length",
    ]
    assert all(m.endswith("installed as `a` in line 6 and 2 more") for _, _, m in found)


NESTED = """assemblies:
  lead: {parameters: {from, to}, circuits: {$name: $from > fuse 1 A > $to}}
  pair:
    parameters: {from, rating: {default: 2 A}}
    parts: {$name: {kind: bus, rating: $rating}}
    installed:
      $name-left: {assembly: lead, from: $from, to: $name}
      $name-right: {assembly: lead, from: $from, to: $name}
"""


def test_assemblies_stand_in_assemblies_and_number_their_wires_on() -> None:
    text = written("R3 both: {assembly: pair, from: main-bus, rating: 5 A}", drawn=NESTED)
    found = read_text(
        "wire-numbers: letter number segment\n"
        + text.replace("back:", "G1 back:").replace("feed:", "P1 feed:"),
        "x",
    )
    assert {n: (w.from_, w.to) for n, w in found.wires.items() if n[0] == "R"} == {
        "R3A": ("main-bus.both-left", "both-left-fuse.line"),
        "R3B": ("both-left-fuse.load", "both.both-left"),
        "R3C": ("main-bus.both-right", "both-right-fuse.line"),
        "R3D": ("both-right-fuse.load", "both.both-right"),
    }
    bad, place = marked(written("both: {assembly: pair, from: ^mian-bus, rating: 5 A}", drawn=NESTED))
    assert mistakes(bad) == [
        (
            *place,
            "circuit both-left: there is no part `mian-bus` (did you mean `main-bus`?); in assembly `lead`, line 4",
        )
    ]


def test_a_call_has_the_letter_and_number_of_its_wires() -> None:
    text = (
        written("^both: {assembly: pair, from: main-bus}", drawn=NESTED)
        .replace("  back:", "  G1 back:")
        .replace("feed:", "P1 feed:")
    )
    text, place = marked("wire-numbers: letter number segment\n" + text)
    assert mistakes(text) == [
        (*place, "both: `wire-numbers` needs its letter and number before its name: `B1 both: ...`")
    ]


def test_assemblies_in_one_another_end(monkeypatch: pytest.MonkeyPatch) -> None:
    circle = (
        "assemblies:\n  a: {installed: {$name: {assembly: b}}}\n  b: {installed: {$name: {assembly: ^a}}}\n"
    )
    text, place = marked(written("x: {assembly: a}", drawn=circle))
    said = "x: the assembly contains itself: a in b in a; in assembly `b`, installed as `x` in line 7"
    assert mistakes(text) == [(*place, said)]
    each = (
        "{installed: {$name-%d: {assembly: c%d, t: $t$t}, $name-x: {assembly: c%d, t: $t}}, parameters: {t}}"
    )
    deep = "assemblies:\n" + "".join(f"  c{i}: " + each % (i, i + 1, i + 1) + "\n" for i in range(12))
    found = mistakes(written("x: {assembly: c0, t: abcdefghij}", drawn=deep))
    assert any("assemblies are nested more than 8 deep" in m for *_, m in found) and len(found) < 10
    monkeypatch.setattr("reviewer.reading.assemblies.install.MOST_FROM_ASSEMBLIES", 3000)
    wide = "{installed: {" + ", ".join(f"$name-{n}: {{assembly: c%d}}" for n in range(10)) + "}}"
    many = "assemblies:\n" + "".join(f"  c{i}: " + wide.replace("%d", str(i + 1)) + "\n" for i in range(6))
    many += "  c6: {parts: {$name: {kind: bus}}}\n"
    assert [m for *_, m in mistakes(written("x: {assembly: c0}", drawn=many))] == [
        "what is installed makes more than 3,000 entries, which are not read"
    ]


SHORT = """# head
format: 1
aircraft: {name: First, nominal: 14 V, airframe: metal, stage: concept}
assemblies:  # drawn once
  # a lead
  lead:   # with fuse
    parameters: {from, to, length: {default: 1 m}}
    circuits:
      # along
      $name: "$from > 22 AWG 0.1 m > fuse 1 A (note '#3') > 22 AWG $length > $to" # on
  other: {parameters: {a}, circuits: {$name: $a > $a}}  # not used
# the calls
installed:
  # volts
  volts:
    assembly: lead  # of mine
    from: main-bus
    to: ground
  # second
  more: {assembly: lead, from: main-bus, to: ground} # third
  # last
circuits:
  # back
  back: ground > battery.negative
parts:
  battery: {kind: battery}
  ground: {kind: ground-block}
  main-bus: {kind: bus}
"""
LONG = """# head
format: 1
aircraft: {name: First, nominal: 14 V, airframe: metal, stage: concept}
# the calls
wires:
  volts-1: {from: main-bus.volts, to: volts-fuse.line, gauge: 22 AWG, length: 0.1 m}
  volts-2: {from: volts-fuse.load, to: ground.volts, gauge: 22 AWG, length: 1 m}
  more-1: {from: main-bus.more, to: more-fuse.line, gauge: 22 AWG, length: 0.1 m}
  more-2: {from: more-fuse.load, to: ground.more, gauge: 22 AWG, length: 1 m}
  # back
  back-1: {from: ground.back, to: battery.negative}
  # not used
  # last
parts:
  battery: {kind: battery}
  ground: {kind: ground-block}
  main-bus: {kind: bus}
  # drawn once
  # a lead
  # with fuse
  # along
  # on
  # volts
  # of mine
  volts-fuse: {kind: fuse, label: VOLTS, rating: 1 A, note: "#3"}
  # second
  # third
  more-fuse: {kind: fuse, label: MORE, rating: 1 A, note: "#3"}
"""


def test_the_long_form_has_what_is_made_and_every_comment() -> None:
    assert expanded(SHORT.encode(), "x") == LONG
    for text in (
        json.dumps(yaml.safe_load(SHORT)),
        yaml.safe_dump(yaml.safe_load(SHORT), default_flow_style=True),
    ):
        long = expanded(text.encode(), "x")
        assert not {"assemblies", "installed", "circuits"} & set(yaml.safe_load(long))
        assert read_text(long, "x") == read_text(SHORT, "x")
    json.loads(expanded(json.dumps(yaml.safe_load(SHORT)).encode(), "x.json"))


def test_a_file_beside_the_design_is_read_once_and_its_mistakes_are_told_there(tmp_path: Path) -> None:
    club, design = tmp_path / "club.yaml", tmp_path / "a.yaml"
    club.write_text("format: 1\n" + LEAD, encoding="utf-8")
    text = "assembly-files: [club.yaml]\n" + written(
        "volts: {assembly: lead, from: main-bus, to: meter.volts}", drawn=""
    )
    design.write_text(text, encoding="utf-8")
    file = read_file(design)
    found = design_of(file)
    assert set(found.wires) == {"volts-1", "volts-2", "volts-extra", "back-1", "feed-1"}
    club.unlink()
    assert design_of(file) == found and read_text(expanded(file.content, "x", file.beside), "x") == found

    def told() -> list[str]:
        with pytest.raises(Unreadable) as caught:
            design_of(read_file(design))
        return [p.message for p in caught.value.problems]

    assert told() == ["there is no file `club.yaml` in the folder of the design file"]
    club.write_text("format: 1\n" + LEAD.replace("1 A", "1 V"), encoding="utf-8")
    assert told() == [
        "fuse volts-fuse: `rating`: `V` is not a unit of current; known: A, mA; write for example `7.5 A`; in assembly `lead`, club.yaml line 8, installed as `volts` in line 5"
    ]
    club.write_text("format: 1\nassemblies:\n  lead: [\n", encoding="utf-8")
    assert len(told()) == 1 and told()[0].startswith(
        "club.yaml, line 3, column 10: the file is not well-formed here"
    )
    for name, said in (
        ("../club.yaml", "it must be in the folder of the design file; write its name alone"),
        ("club.yaml/", "it must be"),
    ):
        design.write_text(text.replace("club.yaml", name), encoding="utf-8")
        assert told()[0].startswith(said)


def test_a_file_beside_the_design_is_in_its_digest_and_handed_over_with_it(tmp_path: Path) -> None:
    club, design, handed = tmp_path / "club.yaml", tmp_path / "a.design.yaml", tmp_path / "handed"
    text = "assembly-files: [club.yaml]\n" + written(
        "volts: {assembly: lead, from: main-bus, to: meter.volts}", drawn=""
    )
    digests = set()
    for drawn in (LEAD, LEAD.replace("0.1 m", "0.12 m")):
        club.write_text("format: 1\n" + drawn, encoding="utf-8")
        design.write_text(text, encoding="utf-8")
        solved = solved_file(design, [])
        files = folder_files(solved)
        assert files["club.yaml"] == club.read_bytes() and files["design.yaml"] == design.read_bytes()
        manifest = json.loads(files["manifest.json"])
        assert manifest["design"]["files"] == ["club.yaml"]
        assert manifest["design"]["sha256"] == solved.file.sha256
        jsonschema.validate(manifest, document_schema("handoff"))
        digests |= {solved.file.sha256, hashlib.sha256(solved.file.content).hexdigest()}
    assert len(digests) == 3
    handed.mkdir()
    for name in ("design.yaml", "club.yaml"):
        (handed / name).write_bytes(files[name])
    assert design_of(read_file(handed / "design.yaml")) == design_of(read_file(design))
    (tmp_path / "review.json").write_text("format: 1\n" + LEAD, encoding="utf-8")
    design.write_text(text.replace("club.yaml", "review.json"), encoding="utf-8")
    with pytest.raises(ValueError, match="has the name of a file of the folder"):
        folder_files(solved_file(design, []))


def is_known_source(text: str) -> bool:
    """Whether a source is common practice, or a clause of the bibliography that says how it was read."""
    if text.endswith("common practice (no published source)."):
        return True
    for key, source in sources().items():
        label = source["title"].partition(",")[0].removeprefix("FAA ").removesuffix(" with Change 1")
        now = f"; now {source.get('successor')}{', from memory' * (source.get('successor-status') == 'memory')})"
        label = label.replace("before amendment 23-64)", f"before amendment 23-64{now}")
        if text.startswith(f"{label}, "):
            found = {clause_status(key, clause) for clause in clauses(text.removeprefix(f"{label}, "))}
            (status,) = found
            ending = {
                "verified": "",
                "secondary": " (from a text that restates it)",
                "memory": " (from memory)",
            }
            return text.endswith(f"{ending[status]}.")
    return False


@pytest.mark.parametrize("name", library_names())
def test_an_assembly_of_the_library_has_its_drawing_its_sources_and_a_review_without_a_finding(
    name: str, tmp_path: Path
) -> None:
    assembly, design = library_assembly(name), tmp_path / "a.design.yaml"
    assert assembly is not None and assembly.about and assembly.drawing and assembly.sources
    assert all(p.about and (p.example or p.default) for p in assembly.parameters.values())
    assert all(is_known_source(source) for source in assembly.sources)
    assert any("common practice" in source for source in assembly.sources) and len(assembly.sources) > 1
    text = library_example(name)
    assert f"assembly: {name}," in text
    design.write_text(text, encoding="utf-8")
    review = review_file(design)
    assert not review.findings and len({a.rule for a in review.assessments}) > 50
    data = yaml.safe_load(text)
    assert not list(
        jsonschema.Draft202012Validator(design_schema()).iter_errors(json.loads(json.dumps(data)))
    )


#: what is turned in the long form -> a rule that says so
GUILTY = [
    ("reserve-battery", "to: reserve-battery-diode.anode", "to: reserve-battery-diode.cathode", "reserve-battery-diode.cathode, to", "reserve-battery-diode.anode, to", "diodes-have-the-right-polarity"),
    ("changeover", "second: [[second, common]]", "second: [[second, common], [first, common]]", "", "", "buses-declared-dead-are-de-energised"),
    ("battery-contactor", "suppression: internal", "suppression: none", "", "", "coils-are-suppressed"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "old", "new", "other", "turned", "rule"), GUILTY, ids=[g[0] for g in GUILTY]
)
def test_a_review_of_the_library_sees_what_is_drawn_wrong(
    name: str, old: str, new: str, other: str, turned: str, rule: str, tmp_path: Path
) -> None:
    design, text = tmp_path / "a.design.yaml", expanded(library_example(name).encode(), "x")
    assert old in text and other in text
    design.write_text((text.replace(other, turned) if other else text).replace(old, new), encoding="utf-8")
    assert rule in {f.rule for f in review_file(design).findings}


def test_missing_data_of_what_is_installed_are_asked_for_at_its_call(tmp_path: Path) -> None:
    design, text = tmp_path / "a.design.yaml", library_example("starter")
    assert "cable: 2 AWG, length: 0.9 m, " in text
    design.write_text(text.replace("cable: 2 AWG, length: 0.9 m, ", ""), encoding="utf-8")
    line = 1 + next(i for i, t in enumerate(text.split("\n")) if t.startswith("  starter:"))
    said = CliRunner().invoke(commands, ["review", str(design), "--missing"]).stdout
    asked = f"# line {line}, installed as starter: # of wire starter-feed-1, as `gauge: 18 AWG, bundle: panel-left`: in the call where it takes that, else in the assembly"
    assert asked in " ".join(said.split())


def test_the_command_lists_and_prints_the_library() -> None:
    run = CliRunner().invoke
    listed = run(commands, ["assemblies"])
    assert (
        listed.exit_code == 0
        and len(library_names()) == 8
        and all(f"  {n} " in listed.stdout for n in library_names())
    )
    for name in library_names():
        printed = run(commands, ["assemblies", name]).stdout
        assert "SOURCES" in printed and f"assembly: {name}" in printed and "    circuits:" in printed
    assert (
        run(commands, ["assemblies", "starter", "--aircraft"]).stdout.strip()
        == library_example("starter").strip()
    )
    wrong = run(commands, ["assemblies", "sense-led"])
    assert (
        wrong.exit_code != 0
        and "There is no assembly `sense-led` (did you mean `sense-lead`?)." in wrong.stderr
    )
