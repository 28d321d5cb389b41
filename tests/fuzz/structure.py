"""Changes of a design as plain data. Most keep it well formed, so that it comes past the reading and meets what lies behind."""

from __future__ import annotations

import contextlib
import copy
import json
import re
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

from reviewer.reading.yaml_events import load
from tests.assembling import assembled
from tests.fuzz.hostile import NUMBERS, WORDS
from tests.renaming import renamed
from tests.shortening import shortened

ROOT = Path(__file__).parent.parent.parent
EXAMPLES = ("sketch", "faulted-tourer", "tourer")
Data = dict[str, Any]


@cache
def example(name: str) -> Data:
    """An example as plain data; never to be changed."""
    return load((ROOT / "examples" / f"{name}.design.yaml").read_bytes(), name)[0]


@cache
def _schema() -> Data:
    return json.loads((ROOT / "schemas" / "design.schema.json").read_text(encoding="utf-8"))["$defs"]


@cache
def _values_by_key() -> dict[str, list[Any]]:
    """Every value that a key has anywhere in the examples."""
    found: dict[str, list[Any]] = {}
    for name in EXAMPLES:
        for holder, key in every_place(example(name)):
            if isinstance(key, str):
                found.setdefault(key, []).append(holder[key])
    return found


def every_place(value: Any) -> Iterator[tuple[Any, Any]]:
    """Every (holder, key) of nested data."""
    items = (
        list(value.items())
        if isinstance(value, dict)
        else list(enumerate(value))
        if isinstance(value, list)
        else []
    )
    for key, inner in items:
        yield value, key
        yield from every_place(inner)


def _place(draw: Random, data: Any, leaves: bool = False) -> tuple[Any, Any] | None:
    places = [(h, k) for h, k in every_place(data) if not leaves or not isinstance(h[k], (dict, list))]
    if draw.random() < 0.7:  # mostly far in, where less hangs on it
        places = [p for p in places if not isinstance(p[0][p[1]], dict)] or places
    return draw.choice(places) if places else None


def _entry(draw: Random, data: Data, *path: str) -> tuple[str, Any] | None:
    """A random entry of the mapping at a path, with its name."""
    for key in path:
        data = data.get(key) if isinstance(data, dict) else None  # type: ignore[assignment]
    return draw.choice(list(data.items())) if isinstance(data, dict) and data else None


def _terminals(data: Data) -> list[str]:
    wires = data.get("wires")
    ends = (
        [w.get(end) for w in wires.values() if isinstance(w, dict) for end in ("from", "to")]
        if isinstance(wires, dict)
        else []
    )
    return [e for e in ends if isinstance(e, str)] or ["main-bus.feed"]


def drop(draw: Random, data: Data) -> None:
    """Something is gone."""
    if place := _place(draw, data):
        del place[0][place[1]]


def another_value(draw: Random, data: Data) -> None:
    """A value that the same key has elsewhere."""
    place = _place(draw, data)
    if place and isinstance(place[1], str):
        place[0][place[1]] = copy.deepcopy(draw.choice(_values_by_key().get(place[1], [None])))


def odd_value(draw: Random, data: Data) -> None:
    """A word or number that is meant to do harm."""
    if place := _place(draw, data, leaves=True):
        place[0][place[1]] = draw.choice(draw.choice((WORDS, NUMBERS)))


def odd_quantity(draw: Random, data: Data) -> None:
    """A quantity of the same unit, out of all measure."""
    places = [
        (h, k) for h, k in every_place(data) if isinstance(h[k], str) and h[k][:1].isdigit() and " " in h[k]
    ]
    if places:
        holder, key = draw.choice(places)
        holder[key] = (
            f"{draw.choice(('0', '1e-9', '0.001', '1', '3', '40', '1e4', '1e9', '1e250', '-1'))} {holder[key].split(' ', 1)[1]}"
        )


def estimate(draw: Random, data: Data) -> None:
    """A few quantities become estimates, by the sign or by their ends."""
    places = [
        (h, k) for h, k in every_place(data) if isinstance(h[k], str) and re.fullmatch(r"[0-9.]+ \S+", h[k])
    ]
    for holder, key in draw.sample(places, min(len(places), draw.choice((1, 1, 3, 30)))):
        number, unit = holder[key].split()
        holder[key] = draw.choice((f"~{holder[key]}", f"{number} to {float(number) * 2 + 1:g} {unit}"))
    if isinstance(aircraft := data.get("aircraft"), dict) and draw.random() < 0.2:
        aircraft["estimates"] = draw.choice(("5 %", "95 %", "100 %", "~20 %", "x"))


def made_states(draw: Random, data: Data) -> None:
    """States are asked for beside those of the file, or all are made of the switches' normal positions."""
    operation = data.get("operation")
    if not isinstance(operation, dict) or not isinstance(operation.get("states"), dict):
        return
    kinds = ["parked", "before-start", "cranking", "run-up", "all-on", "alternator-failed", "smoke"]
    if draw.random() < 0.5:
        operation["standard-states"] = draw.sample(kinds, draw.randint(1, 6))
        return
    normal = operation["states"].get(operation.get("normal"))
    told = normal.get("switches") if isinstance(normal, dict) else None
    for name, at in (told if isinstance(told, dict) else {}).items():
        part = data.get("parts", {}).get(name) if isinstance(data.get("parts"), dict) else None
        if isinstance(part, dict) and draw.random() < 0.97:
            part["normal"] = at
    if draw.random() < 0.7:
        data.pop("operation")
        data.pop("watch", None)
    else:
        operation.pop("states")
        operation.pop("normal", None)


def wrong_type(draw: Random, data: Data) -> None:
    """A mapping where a text belongs, and the like."""
    if place := _place(draw, data):
        old = place[0][place[1]]
        place[0][place[1]] = draw.choice(
            ([], {}, [old], {"x": old}, None, True, 3.5, str(old)[:100], [[]], [old, old])
        )


def new_key(draw: Random, data: Data) -> None:
    """A key that the kind may have, with an example of the schema."""
    part = _entry(draw, data, "parts")
    of_part = part and isinstance(part[1], dict) and draw.random() < 0.6
    spec = _schema().get(f"part-{part[1].get('kind')}", {}) if of_part and part else _schema()["wire"]
    holder = part if of_part else _entry(draw, data, "wires")
    if holder and isinstance(holder[1], dict) and (keys := spec.get("properties")):
        key = draw.choice(list(keys))
        holder[1][key] = copy.deepcopy(draw.choice(keys[key].get("examples") or [None]))


def rewire(draw: Random, data: Data) -> None:
    """A wire ends elsewhere."""
    wire = _entry(draw, data, "wires")
    if wire and isinstance(wire[1], dict):
        wire[1][draw.choice(("from", "to"))] = draw.choice(_terminals(data))


def more_wires(draw: Random, data: Data) -> None:
    """Wires that nobody asked for."""
    wires = data.get("wires")
    for i in range(draw.randint(1, 6)) if isinstance(wires, dict) else ():
        wires[f"more-{i}"] = {
            "from": draw.choice(_terminals(data)),
            "to": draw.choice(_terminals(data)),
            "gauge": "18 AWG",
            "length": "1 m",
        }


def rename(draw: Random, data: Data) -> None:
    """Parts, wires, states and functions get hostile names wherever they are named."""
    names = {}
    for _ in range(draw.randint(1, 6)):
        group = draw.choice(
            (
                ("parts",),
                ("wires",),
                ("functions",),
                ("operation", "states"),
                ("operation", "phases"),
                ("operation", "actions"),
                ("watch", "monitors"),
            )
        )
        if entry := _entry(draw, data, *group):
            names[entry[0]] = draw.choice(WORDS).replace(".", "").replace("\r\n", "") or "x"
    new = renamed(data, names)
    data.clear()
    data.update(new)  # type: ignore[call-overload]


def without(draw: Random, data: Data) -> None:
    """Some parts, or most of them, are gone with everything that names them."""
    parts = data.get("parts")
    if not isinstance(parts, dict) or not parts:
        return
    gone = set(draw.sample(list(parts), max(1, int(len(parts) * draw.choice((0.02, 0.1, 0.5, 0.9))))))
    new = _pruned(data, gone)
    for _ in range(3):  # functions without a channel, and what names them
        functions = new.get("functions")
        bare = (
            {n for n, f in functions.items() if isinstance(f, dict) and "of" not in f}
            if isinstance(functions, dict)
            else set()
        )
        if bare:
            new = _pruned(new, bare)
    data.clear()
    data.update(new)


def _names(value: Any, gone: set[str]) -> bool:
    return isinstance(value, str) and value.partition(".")[0] in gone


def _pruned(value: Any, gone: set[str]) -> Any:
    """What is left without some names; None where nothing is."""
    if isinstance(value, dict):
        if any(_names(value.get(k), gone) for k in ("from", "to", "senses", "on")):
            return None
        kept = {k: _pruned(v, gone) for k, v in value.items() if k not in gone and not _names(v, gone)}
        return {k: v for k, v in kept.items() if v is not None or value[k] is None}
    if isinstance(value, list):
        left = [_pruned(v, gone) for v in value if not _names(v, gone)]
        return left if left or not value else None
    return value


def switches(draw: Random, data: Data) -> None:
    """Other positions in a state, or other pairs in the table of a switch."""
    state = _entry(draw, data, "operation", "states")
    if state and isinstance(state[1], dict) and draw.random() < 0.5:
        positions = state[1].setdefault("switches", {})
        for name, part in data.get("parts", {}).items() if isinstance(positions, dict) else ():
            if (
                isinstance(part, dict)
                and isinstance(part.get("positions"), dict)
                and part["positions"]
                and draw.random() < 0.3
            ):
                positions[name] = draw.choice(list(part["positions"]))
        return
    tables = [
        p["positions"]
        for p in data.get("parts", {}).values()
        if isinstance(p, dict) and isinstance(p.get("positions"), dict) and p["positions"]
    ]
    if tables:
        table = draw.choice(tables)
        pins = [
            pin
            for pairs in table.values()
            if isinstance(pairs, list)
            for pair in pairs
            if isinstance(pair, list)
            for pin in pair
        ] or ["a", "b"]
        table[draw.choice([*table, "another"])] = [
            [draw.choice(pins), draw.choice(pins)] for _ in range(draw.randint(0, 4))
        ]


def swap(draw: Random, data: Data) -> None:
    """Two values change places."""
    one, other = _place(draw, data), _place(draw, data)
    if one and other:
        a, b = copy.deepcopy(one[0][one[1]]), copy.deepcopy(other[0][other[1]])
        one[0][one[1]], other[0][other[1]] = b, a


def deep(draw: Random, data: Data) -> None:
    """A value in many lists or mappings."""
    if place := _place(draw, data):
        for _ in range(draw.choice((1, 2, 40, 47, 50, 60))):
            place[0][place[1]] = [place[0][place[1]]] if draw.random() < 0.5 else {"x": place[0][place[1]]}


def many(draw: Random, data: Data) -> None:
    """An entry again and again."""
    group = draw.choice(
        (
            ("parts",),
            ("wires",),
            ("functions",),
            ("operation", "states"),
            ("operation", "actions"),
            ("watch", "monitors"),
            ("watch", "checks"),
        )
    )
    entry, holder = _entry(draw, data, *group), data
    for key in group:
        holder = holder[key] if isinstance(holder, dict) and key in holder else {}
    for i in range(draw.choice((3, 10, 30))) if entry and isinstance(holder, dict) else ():
        holder[f"{entry[0]}-{i}"] = copy.deepcopy(entry[1])


def short_form(draw: Random, data: Data) -> None:
    """Wires become circuits, as far as what is left of the design allows."""
    with contextlib.suppress(AttributeError, IndexError, KeyError, TypeError, ValueError):
        new = shortened(data, draw, draw.choice((0.2, 0.7, 1.0)))
        data.clear()
        data.update(new)


def in_a_path(draw: Random, data: Data) -> None:
    """Words of a path go, come again, or are others; of a file without one there is one then."""
    paths = data.setdefault("circuits", {"one": "main-bus > fuse 5 A > lamp (1 A) > main-ground"})
    if not isinstance(paths, dict) or not paths:
        return
    name = draw.choice(list(paths))
    words = re.findall(r"\S+\s*|\s+", str(paths[name]))
    for _ in range(draw.choice((1, 1, 2, 5))):
        at = draw.randint(0, len(words))
        new = draw.choice((*_PATH_WORDS, *words[:40], draw.choice(WORDS)))
        words[at : at + draw.choice((0, 1, 1, 2))] = draw.choice(([], [new + " "], [new]))
    paths[name] = "".join(words)
    if draw.random() < 0.2:
        data["wire-numbers"] = draw.choice(
            ("letter number segment gauge ground", "circuit-segment", "wire", draw.choice(WORDS))
        )


def assemblies(draw: Random, data: Data) -> None:
    """Some of what is there is drawn in assemblies, now and then with a word of a drawing or call changed."""
    with contextlib.suppress(AttributeError, IndexError, KeyError, TypeError, ValueError):
        new = assembled(data, draw, draw.choice((0.2, 0.6)))
        data.clear()
        data.update(new)
        for _ in range(draw.choice((0, 0, 0, 1, 1, 3))):
            group = draw.choice(("assemblies", "installed"))
            holder, key = draw.choice(list(every_place(data.setdefault(group, {}))))
            if draw.random() < 0.3:
                del holder[key]
            elif isinstance(holder, dict) and draw.random() < 0.3:
                holder[draw.choice((*_CALL_WORDS, draw.choice(WORDS)))] = holder.pop(key)
            else:
                holder[key] = draw.choice(
                    (*_CALL_WORDS, *draw.choice((WORDS, NUMBERS)), None, [], {}, ["a", 1], data["assemblies"])
                )
    if draw.random() < 0.05:
        data["assembly-files"] = draw.choice(
            (["old.yaml"], ["design.yaml"], ["../x"], ["/dev/zero"], "x", [draw.choice(WORDS)] * 2)
        )


_CALL_WORDS = (
    "$", "$$", "$name", "$p0", "$p1-x", "$nmae", "$name-$name", "assembly", "name", "piece-1", "piece-2", "piece-1-around", "sense-lead", "reserve-battery",
    "$p0 > $p1", "main-bus", "R3 x", "x (1 A, peak 2 A)", "$name$name$name$name",
)  # fmt: skip


_PATH_WORDS = (
    ">", "+", "(", ")", ",", ";", "; wires 20 AWG", "wire", "to", "as", "as x", "main-bus", "main-bus.a/b", "fuse", "fuse 5 A", "switch", "contactor", "bus", "bus b",
    "20 AWG", "1.2 m", "~5 A", "4 to 6 A", "9-32 V", "5", "5 Q", "x (1 A)", "()", "(lamp, 1 A)", '""', '"', "'", "#", "# x", ": ", "->", "1e300 A", "R1 c",
)  # fmt: skip

CHANGES: tuple[tuple[Callable[[Random, Data], None], int], ...] = (
    (drop, 3), (another_value, 8), (odd_value, 2), (odd_quantity, 7), (wrong_type, 1), (new_key, 10), (rewire, 7), (more_wires, 4), (rename, 5),
    (estimate, 3), (made_states, 3), (without, 8), (switches, 5), (swap, 1), (deep, 1), (many, 3),
)  # fmt: skip


def changed(draw: Random, name: str) -> Data:
    """An example with one change, or a few."""
    data = copy.deepcopy(example(name))
    for _ in range(min(8, 1 + int(draw.expovariate(1.0)))):
        change = draw.choices([c for c, _ in CHANGES], [w for _, w in CHANGES])[0]
        change(draw, data)
    return data
