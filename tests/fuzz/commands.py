"""Arguments for every command, drawn: names that are in the files and names that are not, every option, and places to write to."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from random import Random

from reviewer.reading.problem import Unreadable
from reviewer.reading.yaml_events import load
from tests.fuzz.hostile import MARK, WORDS

CLASSES = ("catastrophic", "hazardous", "major", "minor", "no-safety-effect")
MODES = (
    *("open", "shorted-to-ground", "shorted", "welded-closed", "failed-open", "stays", "severed"),
    *("stuck-energised", "stuck-de-energised", "failed-full-on"),
    *("degraded", "degraded:0.05 ohm", "degraded:1e9 kohm", "leaking", "leaking:20 ohm", "leaking:5"),
)
_APART = tuple(w.replace("\x00", "") for w in WORDS if not w.startswith(("/", "..", ".")))
#: commands with how often they are drawn; those that take long are drawn less
COMMANDS = {
    "review": 20,
    "ask": 3,
    "readings": 2,
    "diagnose": 3,
    "checklists": 3,
    "trace": 14,
    "fail": 14,
    "effects": 10,
    "report": 4,
    "handoff": 3,
    "compare": 3,
    "solve": 8,
    "wires": 3,
    "budget": 3,
    "graph": 3,
    "explain": 4,
    "schema": 2,
    "start": 4,
    "": 2,
}


def names_in(content: bytes) -> list[str]:
    """What may be asked for: names of parts, wires, states, functions, bundles, and terminals; of a file that cannot be parsed, words before a colon."""
    try:
        data = load(content, "design.yaml")[0]
    except Unreadable:
        text = content[:100_000].decode("utf-8", "replace").replace("\x00", "")
        return (
            re.findall(r"^ {1,4}\"?([^\s:\"{]{1,60})\"?:", text, re.M)[:300]
            + re.findall(r"(?:from|to): ([\w.\-]+)", text)[:100]
        )
    found: dict[str, None] = {}
    for path in ("parts", "wires", "functions", "operation/states"):
        group = data
        for key in path.split("/"):
            group = group.get(key) if isinstance(group, dict) else None
        found |= dict.fromkeys(map(str, group)) if isinstance(group, dict) else {}
        if path == "wires" and isinstance(group, dict):
            ends = [w.get(k) for w in group.values() if isinstance(w, dict) for k in ("from", "to", "bundle")]
            found |= dict.fromkeys(e for e in ends[::7] if isinstance(e, str))
    return [name.replace("\x00", "") for name in found]


def _symptoms(draw: Random, name: Callable[[], str]) -> list[str]:
    """What is reported to ``diagnose``."""
    told = ["--rest-normal"] if draw.random() < 0.3 else []
    for option in ("--dark", "--works", "--open", "--closed"):
        told += [option, name()] if draw.random() < 0.4 else []
    value = draw.choice(("12 V", "-3", "lit", "blank", ""))
    told += ["--reads", f"{name()}={value}"] if draw.random() < 0.4 else []
    return told + _option(draw, "--as", ("text", "csv", "json"), 0.6)


def arguments(draw: Random, files: Sequence[str], names: Sequence[str]) -> list[str]:
    """A command with its arguments. ``files`` are those that are there, ``names`` what may be asked for; what is written goes to ``out``."""
    command = draw.choices(list(COMMANDS), list(COMMANDS.values()))[0]

    def name() -> str:
        known = names and draw.random() < 0.85
        return draw.choice(names) if known else draw.choice(WORDS).replace("\x00", "")

    def file() -> str:
        known = draw.random() < 0.97
        return draw.choice(files if known else ("missing.yaml", "out", ".", "", "/dev/null", "x" * 300))

    told = [command]
    if command == "review":
        told += [files[0], *(file() for _ in range(draw.choice((0, 0, 0, 0, 0, 0, 1, 2))))]
        told += (
            _option(draw, "--as", ("text", "json", "sarif"), 0.6)
            + _option(draw, "--stop-at", CLASSES, 0.3)
            + _out(draw, 0.3, files)
            + (["--without-trials"] if draw.random() < 0.2 else [])
        )
    elif command in ("trace", "fail", "effects", "checklists"):
        told += [file(), *([name()] if command in ("trace", "fail") else [])] + (
            ["--state", draw.choice(("cruise", "cranking", "parked", "master-off", name()))]
            if draw.random() < 0.4
            else []
        )
        told += _option(draw, "--mode", MODES, 0.4) if command == "fail" else []
        told += (
            _option(draw, "--as", ("text", "csv", "json"), 0.6) + _out(draw, 0.3, files)
            if command in ("effects", "checklists")
            else []
        )
    elif command in ("solve", "wires", "budget", "graph"):
        told += [file()] + (["--state", name()] if command == "solve" and draw.random() < 0.3 else [])
        for _ in range(draw.choice((0, 0, 1, 2)) if command == "solve" else 0):
            told += [
                "--failed",
                draw.choice(
                    (name(), f"{name()}={draw.choice(MODES)}", f"{name()}={draw.choice(MODES)}@{name()}")
                ),
            ]
        told += ["--while", name()] if command == "solve" and draw.random() < 0.2 else []
        forms = ("graphml", "json") if command == "graph" else ("text", "csv", "json")
        told += _option(draw, "--as", forms, 0.6) + _out(draw, 0.3, files)
    elif command in ("readings", "diagnose"):
        asked = _symptoms(draw, name) if command == "diagnose" else [file()]
        told += [file(), *asked, *_out(draw, 0.3, files)]
    elif command == "ask":
        told += [file(), *(["--all"] if draw.random() < 0.5 else [])]
    elif command in ("report", "handoff"):
        told += [file(), *_out(draw, 0.98, files)]
    elif command == "compare":
        told += [files[0], files[-1]] if draw.random() < 0.5 else [file(), file()]
        told += _option(draw, "--as", ("text", "json", "sarif"), 0.6) + _out(draw, 0.3, files)
    elif command == "explain":
        told += (
            [name()]
            if draw.random() < 0.3
            else [draw.choice(("circuit-protection-is-selective", "battery", "circuits", "format", "batery"))]
        )
    elif command == "schema":
        told += [
            draw.choice(
                ("design", "review", "effects", "comparison", "handoff", "budget", "graph", "solve", MARK)
            )
        ]
    elif command == "start":
        told += (
            [draw.choice(("out/new.yaml", "out/full/keep.txt", files[0], "out/none/x.yaml", "out"))]
            if draw.random() < 0.8
            else []
        ) + _option(draw, "--design", ("sketch", "detailed", MARK), 0.3)
    if draw.random() < 0.03:
        told.insert(
            draw.randint(0, len(told)),
            draw.choice(
                ("--help", "--", "--out", "-x", "--rules-from", f"--rules-from={MARK}", "--as=text", *_APART)
            ),
        )
    return told if command else told[1:]


def _option(draw: Random, name: str, values: Sequence[str], often: float) -> list[str]:
    return [name, draw.choice(values)] if draw.random() < often else []


def expansion(draw: Random, files: Sequence[str]) -> list[str]:
    """The arguments that ask for the long form of a file."""
    return ["expand", draw.choice(files), *_out(draw, 0.3, files)]


def _out(draw: Random, often: float, files: Sequence[str]) -> list[str]:
    places = (
        "out/new",
        "out/new",
        "out/new.html",
        "out/former",
        "out/full",
        "out/full/keep.txt",
        "out/none/x",
        "out",
        files[0] if len(files) == 1 else "out/new",  # over the design itself; over another file is as asked
        "/dev/null/x",
        f"out/{'n' * 300}",
    )
    place = (
        draw.choice(places) if draw.random() < 0.9 else "out/" + re.sub(r"[/\x00]", "_", draw.choice(WORDS))
    )
    return ["--out", place] if draw.random() < often else []
