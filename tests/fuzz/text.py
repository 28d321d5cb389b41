"""Changes of a design file as text and as bytes, and files that are hardly files."""

from __future__ import annotations

import json
import re
from functools import cache
from random import Random
from typing import Any

import yaml

from reviewer.reading import Unreadable, read_text
from reviewer.reading.yaml_events import load
from tests.fuzz.hostile import MARK, WORDS, YAML
from tests.fuzz.structure import EXAMPLES, ROOT, assemblies, changed, in_a_path, short_form

_TOKEN = re.compile(r"[\w.\-/]+|[^\w\s]|\n +|\s")


@cache
def _text(name: str) -> str:
    return (ROOT / "examples" / f"{name}.design.yaml").read_text(encoding="utf-8")


@cache
def _tokens(name: str) -> list[str]:
    return _TOKEN.findall(_text(name))


def design_file(
    draw: Random, names: tuple[str, ...] = EXAMPLES, weights: tuple[int, ...] = (6, 3, 1)
) -> bytes:
    """A file drawn: an example changed as data, as text or as bytes, now and then something else altogether. Half of them can be read."""
    name = draw.choices(names, weights)[0]
    if draw.random() < 0.5:
        for _ in range(6):
            if _readable(content := structure(draw, name)):
                return content
    how = draw.choices(
        (structure, unchanged, tokens, lines, insertions, octets, extreme), (40, 3, 12, 12, 12, 12, 9)
    )[0]
    return how(draw, name)


def _readable(content: bytes) -> bool:
    try:
        read_text(content, "design.yaml")
    except Unreadable:
        return False
    return True


def structure(draw: Random, name: str) -> bytes:
    """Changed as data, written as YAML or as JSON."""
    return written(draw, changed(draw, name))


def written(draw: Random, data: Any) -> bytes:
    """Data as a file."""
    if draw.random() < 0.2:
        try:
            return json.dumps(data, ensure_ascii=draw.random() < 0.5).encode("utf-8", "surrogatepass")
        except ValueError:  # an integer of thousands of digits has no text
            return b"{"
    dumper = yaml.CSafeDumper if draw.random() < 0.95 else yaml.SafeDumper
    try:
        flow = draw.choice((None, None, True, False))
        return yaml.dump(
            data,
            Dumper=dumper,
            sort_keys=False,
            allow_unicode=True,
            width=10_000,
            default_flow_style=flow,
        ).encode("utf-8", "surrogatepass")
    except ValueError:
        return b"a: " + b"9" * 5000


def shortened_file(draw: Random, content: bytes) -> bytes:
    """A file with its wires as circuits, as far as it can be parsed; a third of them with a path that is changed, half of them with assemblies."""
    try:
        data = load(content, "design.yaml")[0]
        if isinstance(data, dict):
            short_form(draw, data)
            if draw.random() < 0.3:
                in_a_path(draw, data)
            if draw.random() < 0.5:
                assemblies(draw, data)
            plain = json.loads(json.dumps(data))
            folded = yaml.safe_dump(
                plain, sort_keys=False, allow_unicode=True, width=draw.choice((60, 10_000))
            )
            return (json.dumps(plain) if draw.random() < 0.2 else folded).encode("utf-8", "surrogatepass")
    except (Unreadable, ValueError, TypeError):
        pass  # hardly a file: it stays as it is
    return content


def unchanged(draw: Random, name: str) -> bytes:
    """The example itself."""
    return _text(name).encode()


def tokens(draw: Random, name: str) -> bytes:
    """Some tokens are gone, doubled, exchanged, or come from elsewhere."""
    told = list(_tokens(name))
    for _ in range(draw.choice((1, 1, 1, 2, 50))):
        i, other = draw.randrange(len(told)), draw.choice(told)
        told[i] = draw.choice(("", told[i] * 2, other, f"{told[i]} {other}", draw.choice(WORDS)))
    return "".join(told).encode("utf-8", "surrogatepass")


def lines(draw: Random, name: str) -> bytes:
    """Some lines are gone, doubled, moved or indented otherwise; or the file ends early."""
    told = _text(name).splitlines(keepends=True)
    for _ in range(draw.choice((1, 1, 2, 10))):
        i = draw.randrange(len(told))
        change = draw.randrange(6)
        if change == 0 and len(told) > 2:
            del told[i]
        elif change == 1:
            told.insert(draw.randrange(len(told)), told[i])
        elif change == 2:
            told[i] = draw.choice((" ", "  ", "\t", "        ")) + told[i]
        elif change == 3:
            told[i] = told[i].lstrip(" ")
        elif change == 4:
            j = draw.randrange(len(told))
            told[i], told[j] = told[j], told[i]
        else:
            told[i] = told[i][: draw.randrange(len(told[i]) + 1)] + "\n"
    if draw.random() < 0.1:
        told = told[: draw.randrange(len(told))]
    text = "".join(told)
    return (
        text.replace("\n", draw.choice(("\r\n", "\r", "\x85"))).encode()
        if draw.random() < 0.05
        else text.encode()
    )


def insertions(draw: Random, name: str) -> bytes:
    """Pieces of YAML where nobody expects them."""
    text = _text(name)
    for _ in range(draw.choice((1, 1, 2, 6))):
        at = draw.choice([m.end() for m in re.finditer(r": |\n|, |\[|\{", text)])
        text = text[:at] + draw.choice(YAML) + draw.choice((" ", "", "\n", ", ")) + text[at:]
    return text.encode("utf-8", "surrogatepass")


def octets(draw: Random, name: str) -> bytes:
    """Some bytes are other bytes, gone, or more."""
    raw = bytearray(_text(name).encode())
    for _ in range(draw.choice((1, 1, 2, 20, 500))):
        i = draw.randrange(len(raw))
        change = draw.randrange(4)
        if change == 0:
            raw[i] ^= 1 << draw.randrange(8)
        elif change == 1:
            raw[i : i + draw.choice((1, 1, 20))] = b""
        elif change == 2:
            raw[i:i] = draw.randbytes(draw.choice((1, 1, 4, 100)))
        else:
            raw[i] = draw.choice(b" :-#,[]{}\"'\n.0123456789aAmV")
    return bytes(raw)


def extreme(draw: Random, name: str) -> bytes:
    """Too large, too deep, too many, or nothing at all."""
    text, size = _text(name), draw.choice((10, 1_000, 100_000))
    bomb = "a0: &a0 [x, x]\n" + "".join(f"a{i}: &a{i} [*a{i - 1}, *a{i - 1}]\n" for i in range(1, 40))
    entries = text.replace(
        "\nwires:\n",
        "\nwires:\n"
        + "".join(
            f"  {MARK}-{i}: {{from: main-bus.x{i}, to: main-bus.y{i}}}\n" for i in range(min(size, 100))
        ),
        1,
    )
    return draw.choice(
        (
            b"", b"\n" * size, b" " * size, b"{" * size, b"[" * size, b"- " * size, b"? " * size, b"a: " * size, b'"' * size, b"&" * size,
            b"\xff" * size, b"\xef\xbb\xbf" + text.encode(), text.encode("utf-16"), text.encode("latin-1", "replace")[:-1] + b"\xe9",
            draw.randbytes(size), bomb.encode(), bomb.replace("&", "").replace("*", "").encode() + text.encode(), (text + "\n---\n" + text).encode(),
            ("x: " + "9" * size).encode(), ("x: 1e" + "9" * size).encode(), ("k" * size + ": 1").encode(), text.encode() + b"#" * 6_000_000,
            "".join(f"k{i}: [{i}, {{a: b}}]\n" for i in range(min(size, 20_000))).encode(), entries.encode(),
            ("a:\n" + "".join(f"{' ' * i}k:\n" for i in range(1, min(size, 1500)))).encode(),
        )
    )  # fmt: skip
