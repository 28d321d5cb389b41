"""Every command on broken and hostile files, and saboteurs that show that what is wrong would be seen."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.fuzz.case import Case, case_of, run_case
from tests.fuzz.judge import complaints, documented
from tests.fuzz.many import cases


@pytest.mark.parametrize(
    ("first", "count"),
    [pytest.param(2_000_036, 90, marks=pytest.mark.long)],
)
def test_no_file_and_no_name_brings_a_command_down(first: int, count: int) -> None:
    """Commands end as documented, whatever the file and the names.

    No traceback, none over twenty seconds of processor time, a documented exit status, nothing written
    but where it was asked, nothing run, no letter that moves a cursor, JSON and CSV and pages that
    are whole. ``python -m tests.fuzz`` runs 20,000 more.
    """
    began = time.monotonic()
    told = list(cases(first, count))
    wrong = [
        f"case {t['number']}: {t['arguments']} {t['wrong']} {t['err'][-300:]}" for t in told if t["wrong"]
    ]
    print(f"{count} cases in {time.monotonic() - began:.0f} s")
    assert not wrong, "\n".join(wrong)
    statuses = [t["status"] for t in told]
    assert statuses.count(0) > count // 5 and statuses.count(1) >= max(1, count // 100)
    assert statuses.count(2) > count // 5
    well = {t["arguments"][0] for t in told if t["arguments"] and t["status"] != 2}
    assert well >= {"review", "trace", "fail", "effects", "solve", "check"} and well & {"report", "handoff"}


def test_a_number_is_always_the_same_case() -> None:
    assert [case_of(n) for n in range(40)] == [case_of(n) for n in range(40)]


def test_the_statuses_are_those_of_the_help() -> None:
    assert (
        documented("review") == {0, 1, 2, 3}
        and documented("report") == {0, 2, 3}
        and documented("schema") == {0, 1, 2, 3}
    )


def compiles() -> None:
    exec(Path("design.yaml").read_text())


def loops() -> None:
    while True:
        pass


def eats() -> None:
    kept = []
    while True:
        kept.append(bytes(100_000_000))


def raises() -> None:
    raise KeyError("x")


def spoils() -> None:
    os.chdir("out")
    Path("../design.yaml").write_text("")


SABOTEURS = {
    "opened for writing": lambda: Path("elsewhere.txt").write_text("x"),
    "opened for writing: '../design.yaml'": spoils,
    "os.rename": lambda: os.rename("design.yaml", "out/design.yaml"),
    "os.remove": lambda: os.remove("design.yaml"),
    "os.system": lambda: os.system("true"),
    "subprocess.Popen": lambda: subprocess.run(["true"]),
    "socket.": lambda: __import__("socket").socket(),
    "compiled": compiles,
    "ended by signal": loops,
    "a traceback": raises,
    "exit status 99": eats,
    "exit status 1 of explain": lambda: sys.exit(7),
    "status 2 without a word": lambda: sys.exit(2),
    "U+001B on the terminal": lambda: print("\x1b[31mred"),
    "NaN is no JSON": lambda: print("[NaN]"),
    "a formula: '=1' in CSV": lambda: print("a,=1"),
    "a formula: '＝1' in CSV": lambda: print("a,＝1"),
    "a formula: '-1+1' in CSV": lambda: print("a,-1+1"),
    "a formula: '-1 A+1' in CSV": lambda: print("a,-1 A+1"),
    "a formula: '-1 A1' in CSV": lambda: print("a,-1 A1"),
    "a formula: '－1' in CSV": lambda: print("a,－1"),
    "a formula: ' ＠x' in CSV": lambda: print("a, ＠x"),
    "a formula: '\\t1' in CSV": lambda: print("a,\t1"),
}  # fmt: skip


@pytest.mark.parametrize("what", SABOTEURS)
def test_a_saboteur_is_caught(what: str, tmp_path: Path) -> None:
    case = Case(
        1,
        {"design.yaml": b"zq7 = 1\n"},
        [
            "review",
            "design.yaml",
            *(["--as", form.lower()] if (form := what.split()[-1]) in ("JSON", "CSV") else []),
        ],
    )
    wrong = complaints(case, run_case(case, tmp_path, SABOTEURS[what], seconds=1))
    what = what.removesuffix(" in CSV")
    assert any(
        w.startswith(f"forbidden: {what}") or what.replace("1 of explain", "7 of review") in w for w in wrong
    ), wrong
    assert list(tmp_path.iterdir()) == []


def test_what_is_well_done_is_not_complained_of(tmp_path: Path) -> None:
    for form, text in (("json", "[1]"), ("csv", "-1,-0.5,-2.5e-07,'=1,1-1,\n1,'-1+1,\\x09=1,,x,\n")):
        case = Case(
            1, {"design.yaml": b"zq7 = 1\n"}, ["review", "design.yaml", "--as", form, "--out", "out/new"]
        )

        def works(text: str = text) -> None:
            Path("out/new").write_text(text)
            sys.exit(1)

        assert complaints(case, run_case(case, tmp_path, works)) == []
