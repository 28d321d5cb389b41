"""A folder that was received: what is whole agrees, every change is named, and nothing hostile is opened or followed."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from reviewer.cli.folder import place_folder
from reviewer.cli.main import commands
from reviewer.cli.received_folder import MOST_OF_FILE, MOST_OF_MANIFEST, NoPackage, received_folder
from reviewer.reports.handoff.contents import MANIFEST, folder_files
from reviewer.reports.handoff.differences import _of_workbook
from reviewer.session import solved_file
from tests.test_cli import RULE

ROOT = Path(__file__).parent.parent
FIRST = ROOT / "examples" / "first.design.yaml"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("made") / "package"
    place_folder(out, folder_files(solved_file(FIRST)))
    return out


@pytest.fixture
def package(made: Path, tmp_path: Path) -> Path:
    return shutil.copytree(made, tmp_path / "package")


def check(folder: Path, *options: str) -> Result:
    return CliRunner().invoke(commands, ["check", str(folder), *options], catch_exceptions=False)


def said(folder: Path) -> list[str]:
    return list(map(str, received_folder(folder).differences))


def edited(folder: Path, name: str, edit: Callable[[dict], object], sign: bool = True) -> None:
    """A JSON document changed, with its new digest in the manifest where ``sign``."""
    document = json.loads((folder / name).read_text(encoding="utf-8"))
    edit(document)
    replaced(folder, name, json.dumps(document).encode(), sign)


def replaced(folder: Path, name: str, content: bytes, sign: bool = True) -> None:
    (folder / name).write_bytes(content)
    if sign and name != MANIFEST:
        entry = {"bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()}
        manifest = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
        files = [{**e, **entry} if e["name"] == name else e for e in manifest["files"]]
        (folder / MANIFEST).write_text(json.dumps({**manifest, "files": files}), encoding="utf-8")


def test_a_folder_as_it_was_made_agrees_and_is_left_as_it_was(package: Path) -> None:
    before = {p: (p.read_bytes(), p.stat().st_mtime_ns) for p in package.iterdir()}
    done = check(package)
    assert done.exit_code == 0 and "NO DIFFERENCE FOUND" in done.stdout and done.stderr == ""
    assert "second opinion" in done.stdout and "wrong" in done.stdout
    assert {p: (p.read_bytes(), p.stat().st_mtime_ns) for p in package.iterdir()} == before


def test_what_is_missing_changed_or_too_much_is_named(package: Path) -> None:
    assert said(package) == []
    (package / "parts.csv").unlink()
    (package / "own.txt").write_text("mine")
    content = (package / "wire-list.csv").read_bytes()
    replaced(package, "wire-list.csv", content.replace(b"W", b"V", 1), sign=False)
    found = said(package)
    assert found[0] != found[1] and len(found) == 3 and found[-1] == "own.txt: not listed in the manifest."
    assert "parts.csv: missing." in found
    assert any(
        one.startswith("wire-list.csv: changed since the manifest was written: sha256") for one in found
    )


def test_an_altered_review_and_a_file_that_a_link_stands_for_are_one_message_each(
    package: Path, tmp_path: Path
) -> None:
    text = (package / "review.json").read_text(encoding="utf-8")
    replaced(package, "review.json", text.replace('"hazard": "', '"hazard": "mild ', 1).encode(), sign=False)
    shutil.move(package / "parts.csv", tmp_path / "parts.csv")
    (package / "parts.csv").symlink_to(tmp_path / "parts.csv")
    told = said(package)
    assert len(told) == 2 and "parts.csv: is a link and was not read." in told
    assert any(one.startswith("review.json: changed since the manifest was written: ") for one in told)


def test_nothing_hostile_is_opened_or_followed(package: Path, tmp_path: Path) -> None:
    outside = tmp_path / "outside.csv"
    shutil.copy(package / "parts.csv", outside)
    os.unlink(package / "parts.csv")
    (package / "parts.csv").symlink_to(outside)
    os.unlink(package / "ground-map.csv")
    os.mkfifo(package / "ground-map.csv")
    os.unlink(package / "page.html")
    (package / "page.html").mkdir()
    with (package / "schedules.xlsx").open("r+b") as stream:
        stream.truncate(MOST_OF_FILE + 1)  # a hole: it takes no room
    names = ("../outside.csv", "/etc/passwd", "a/b", "..", "", "C:x", "x\x00y", MANIFEST)
    entry = {"bytes": 1, "sha256": "0" * 64, "what": "x"}
    edited(package, MANIFEST, lambda m: m["files"].extend({"name": n, **entry} for n in names))
    found = received_folder(package)
    told = list(map(str, found.differences))
    assert (
        "parts.csv: is a link and was not read." in told
        and "ground-map.csv: is not a plain file and was not read." in told
    )
    assert "page.html: is not a plain file and was not read." in told or any(
        "page.html: cannot be read" in t for t in told
    )
    assert f"schedules.xlsx: is larger than {MOST_OF_FILE:,} bytes and was not read." in told
    assert sum("was not looked for" in t for t in told) == 7 and any(
        "lists manifest.json again" in t for t in told
    )
    assert (
        not {"parts.csv", "ground-map.csv", "page.html", "schedules.xlsx", *names[:-1]}
        & found.contents.keys()
    )


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (None, "it has no manifest.json"),
        (b"{", "is no JSON"),
        (b"\xff", "is no JSON"),
        (b"[" * 50_000, "is no JSON"),
        (b"[]", "has no format"),
        (b'{"format": "circuit-handoff/2"}', "has the format `circuit-handoff/2`"),
        (b" " * (MOST_OF_MANIFEST + 1), "is larger than"),
    ],
)
def test_what_is_no_handoff_folder_is_one_message_and_status_2(
    content: bytes | None, words: str, tmp_path: Path
) -> None:
    if content is not None:
        (tmp_path / MANIFEST).write_bytes(content)
    done = check(tmp_path)
    assert done.exit_code == 2 and words in done.stderr and done.stdout == "" and done.stderr.count("\n") == 1


def test_a_place_that_is_no_folder_is_status_2(package: Path, tmp_path: Path) -> None:
    for path in (tmp_path / "nowhere", FIRST, Path("x" * 300)):
        done = check(path)
        assert done.exit_code == 2 and "cannot be read" in done.stderr and "defect" not in done.stderr
    assert "unpack an archive first" in check(FIRST).stderr
    (package / MANIFEST).unlink()
    (package / MANIFEST).symlink_to("review.json")
    with pytest.raises(NoPackage, match="is a link"):
        received_folder(package)


def test_a_manifest_that_does_not_meet_its_schema_ends_the_check_there(package: Path) -> None:
    edited(package, MANIFEST, lambda m: m["files"][2].update(sha256="x", bytes=-1))
    done = check(package)
    assert done.exit_code == 1 and "was not reviewed again" in done.stdout
    assert "manifest.json: does not meet its schema at files/2/sha256" in " ".join(done.stdout.split())
    assert "files/2/bytes" in done.stdout and "DIFFERS in 2 places" in done.stdout


def test_a_review_that_was_improved_is_found_though_every_digest_is_right(package: Path) -> None:
    def improve(document: dict) -> None:
        review = document["reviews"][0]
        gone = review["findings"].pop(0)
        review["findings"][0]["hazard"] = "minor"
        review["causes"] = [c for c in review["causes"] if gone["identity"] not in c["findings"]]
        del review["missing_data"][0]

    first = json.loads((package / "review.json").read_text(encoding="utf-8"))["reviews"][0]
    edited(package, "review.json", improve)
    done = check(package)
    text = " ".join(done.stdout.split())
    assert done.exit_code == 1 and "changed since" not in text
    gone, eased, open_item = first["findings"][0], first["findings"][1], first["missing_data"][0]
    assert (
        f"finding {gone['rule']}, {gone['subject']}" in text
        and "in a fresh review and not in the package" in text
    )
    assert (
        f"finding {eased['rule']}, {eased['subject']}" in text
        and f"`hazard` is minor; a fresh review has {eased['hazard']}" in text
    )
    assert f"missing data of {open_item['rule']}, {open_item['subject']} is in a fresh review" in text
    assert "cause 1 is in a fresh review" in text


@pytest.mark.long
def test_a_cell_a_page_and_a_workbook_that_were_changed_are_found_though_every_digest_is_right(
    package: Path,
) -> None:
    cards = (package / "parts.csv").read_bytes()
    replaced(package, "parts.csv", cards.replace(b"5 A", b"50 A", 1))
    page = (package / "page.html").read_bytes()
    replaced(package, "page.html", page.replace(b"NOT SOUND", b"SOUND", 1) + b" ")
    replaced(package, "schedules.xlsx", b"PK\x05\x06")
    edited(package, "review.sarif", lambda s: s["runs"][0]["results"].pop())
    edited(package, "review.json", lambda r: r["reviews"][0].pop("causes"))
    edited(package, MANIFEST, lambda m: m["counts"].update(findings=0))
    text = " ".join(check(package).stdout.split())
    assert "parts.csv: row " in text and "50 A" in text and "a fresh review has" in text
    assert "column A second" not in text and "column # A second" not in text and "column , is" not in text
    assert "page.html: not as this reviewer writes it" in text and "schedules.xlsx: is no workbook" in text
    assert "review.sarif: not as a fresh review writes it" in text
    assert (
        "review.json: does not meet its schema at reviews/0" in text
        and "'causes' is a required property" in text
    )
    assert "manifest.json: `counts`, `findings` is 0; a fresh review has " in text


@pytest.mark.long
def test_a_workbook_with_one_byte_changed_is_a_difference_wherever_the_byte_is(package: Path) -> None:
    """In the data of a sheet, in a header of the archive, in its list of contents."""
    whole = (package / "schedules.xlsx").read_bytes()
    fresh = bytes(whole)
    said = set()
    for place in range(0, len(whole), max(1, len(whole) // 150)):
        changed = bytearray(whole)
        changed[place] ^= 0x5A
        said.add(_of_workbook(bytes(changed), fresh))
    assert "is no workbook" in said and len(said) > 2 and _of_workbook(whole, fresh) == ""
    replaced(package, "schedules.xlsx", bytes(changed), sign=False)
    done = check(package)
    assert done.exit_code == 1 and "schedules.xlsx: changed since the manifest" in done.stdout


@pytest.mark.long
def test_another_version_is_named_and_its_review_is_compared(package: Path) -> None:
    edited(package, MANIFEST, lambda m: m.update(reviewer="0.0.1"))
    done = check(package)
    text = " ".join(done.stdout.split())
    assert done.exit_code == 1 and "DIFFERS in 1 place" in text
    assert "made by reviewer 0.0.1; this is reviewer" in text and "workbook were not compared" in text


@pytest.mark.long
def test_a_design_that_was_changed_or_cannot_be_read(package: Path) -> None:
    design = (package / "design.yaml").read_text(encoding="utf-8")
    replaced(package, "design.yaml", design.replace("rating: 5 A", "rating: 7.5 A").encode())
    done = check(package)
    text = " ".join(done.stdout.split())
    first = text.partition(" places ")[2]
    assert done.exit_code == 1 and first.startswith("design.yaml: not the design that the folder was made of")
    assert "follows may differ by that alone." in first and "for the changed design, nor are " in first
    assert len([one for one in done.stdout.splitlines() if ".csv: row" in one]) <= 3
    assert "review.json: finding " in text and "parts.csv: row " in text
    replaced(package, "design.yaml", design.replace("5 A", "five").encode())
    done = check(package)
    assert done.exit_code == 2 and "was not reviewed again" in done.stdout and "`rating`" in done.stderr
    (package / "design.yaml").unlink()
    done = check(package)
    assert (
        done.exit_code == 1 and "design.yaml: missing" in done.stdout and "not reviewed again" in done.stdout
    )


@pytest.mark.long
def test_folders_with_tables_without_trials_and_with_own_rules_agree(tmp_path: Path) -> None:
    tables = next((ROOT / "examples" / "tables").glob("*.design.yaml"))
    for name, options in {"plain": [], "without": ["--without-trials"]}.items():
        out = tmp_path / name
        made = CliRunner().invoke(commands, ["handoff", str(tables), "--out", str(out), *options])
        assert made.exit_code == 0
        done = check(out)
        assert done.exit_code == 0 and "NO DIFFERENCE" in done.stdout, done.stdout
    rules = tmp_path / "rules"
    rules.mkdir()
    own = RULE.replace('raise RuntimeError("sabotage")', "return").replace("parts/master", "parts/fuse")
    (rules / "nothing_is_asked_here.py").write_text(own, encoding="utf-8")
    out = tmp_path / "ruled"
    command = ["handoff", str(FIRST), "--out", str(out), "--rules-from", str(rules)]
    assert CliRunner().invoke(commands, command).exit_code == 0
    assert check(out, "--rules-from", str(rules)).exit_code == 0
    done = check(out)
    assert done.exit_code == 1 and "rule nothing-is-asked-here is in the package and not" in " ".join(
        done.stdout.split()
    )


@pytest.mark.parametrize(
    "broken", [b"a,b\rc,d\n", b'"a' + b"x" * 200_000 + b'",b\n'], ids=["a bare line end", "a vast cell"]
)
def test_a_schedule_that_is_no_csv_is_one_difference(broken: bytes, package: Path) -> None:
    name = next(p.name for p in sorted(package.iterdir()) if p.suffix == ".csv")
    replaced(package, name, broken)
    done = check(package)
    assert done.exit_code == 1 and f"{name}: is no CSV" in done.output
