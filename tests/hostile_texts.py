"""The hostile texts that the command line is tried with, for whatever else reads a design: the mistakes one by one,
files that are no design, and words, numbers and pieces that are meant to do harm."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

from tests.fuzz.hostile import NUMBERS, WORDS, YAML
from tests.fuzz.text import design_file
from tests.reading.test_bad_files import CASES, GOOD, NO_DESIGN

FIRST = (Path(__file__).parent.parent / "examples" / "first.design.yaml").read_text(encoding="utf-8")
#: texts that an editor may send, or a file may hold
ODD = {
    "half a letter": "format: 1\naircraft: \ud800\n",
    "brackets without end": "[" * 50_000,
    "deep": "\n".join(" " * n + "a:" for n in range(200)),
    "an alias that grows": "a: &a [x, x]\nb: &b [*a, *a]\nc: [*b, *b]\n",
    "too large": "#" * 6_000_000,
    "a number": "3",
    "other ends of lines": "format: 1\r\naircraft: x\rparts: 3\n",
    "names with signs": "parts: {'<b>`*_~': {kind: bus}, a/b~c: {kind: bus}}\nformat: 1\n",
}


def _functions(*rows: str) -> str:
    return FIRST.replace("functions:\n", "functions:\n" + "".join(f"  {row}\n" for row in rows))


#: functions of functions: in a row, in a ring, and each of the same two below it
NESTED = {
    "functions in a row": _functions(
        "f0: {any: 1, of: [left-ignition], loss: minor}",
        *(f"f{n}: {{any: 1, of: [f{n - 1}], loss: minor}}" for n in range(1, 400)),
    ),
    "functions in a ring": _functions(
        *(f"f{n}: {{any: 1, of: [f{(n + 1) % 400}], loss: minor}}" for n in range(400))
    ),
    "functions that double": _functions(
        *(f"{name}0: {{any: 1, of: [left-ignition], loss: minor}}" for name in "ab"),
        *(
            f"{name}{n}: {{any: 1, of: [a{n - 1}, b{n - 1}], loss: minor}}"
            for n in range(1, 20)
            for name in "ab"
        ),
    ),
}
#: a number of more digits than Python writes
_LONG = 10**4400
#: files that the fuzz of the command line draws
DRAWN = 4


def hostile_texts() -> Iterator[tuple[str, str]]:
    """Each text with a name; bytes that are no UTF-8 as the letters that an editor shows for them."""
    for number, case in enumerate(CASES):
        yield f"mistake {number}", GOOD.replace(case["replace"], case["by"], 1)
    for number, (content, *_) in enumerate(NO_DESIGN):
        text = content if isinstance(content, str) else content.decode("utf-8", "replace")
        yield f"no design {number}", text
    yield from ODD.items()
    yield from NESTED.items()
    for number, piece in enumerate(YAML):
        yield f"piece {number}", FIRST.replace("rating: 5 A", f"rating: {piece}")
    yield "a long number", FIRST.replace("rating: 5 A", f"rating: 1{'0' * 4400}")
    for number in range(DRAWN):
        yield f"drawn {number}", design_file(Random(number)).decode("utf-8", "replace")
    for name, data in _grouped():
        yield name, json.dumps(data, default=str)


def _grouped() -> Iterator[tuple[str, Any]]:
    """Designs with all words, or all numbers, at the same place of many parts."""
    head: dict[str, Any] = {
        "format": 1,
        "aircraft": {"name": "Hostile", "nominal": "14 V", "airframe": "metal", "stage": "concept"},
    }
    battery = {"battery": {"kind": "battery"}}
    for key in ("label", "note", "zone", "rating"):
        values = [n for n in NUMBERS if n != _LONG] if key == "rating" else WORDS
        parts = {f"f{n}": {"kind": "fuse", "rating": "5 A", key: value} for n, value in enumerate(values)}
        yield f"every {key}", head | {"parts": battery | parts}
    yield (
        "every name",
        head | {"parts": battery | {word: {"kind": "fuse", "rating": "5 A"} for word in WORDS}},
    )
    yield (
        "every function",
        head
        | {
            "parts": battery | {"lamp": {"kind": "load"}},
            "functions": {word: {"any": 1, "of": ["lamp"], "loss": "minor"} for word in WORDS},
        },
    )
    yield (
        "every state",
        head
        | {
            "parts": battery,
            "operation": {"normal": WORDS[0], "states": {word: {"engine": "running"} for word in WORDS}},
        },
    )
