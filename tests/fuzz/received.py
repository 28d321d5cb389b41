"""Handoff folders as somebody may receive them: whole, with files changed, left out or added, signed anew or not."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from functools import cache
from random import Random
from typing import Any

from reviewer.reports.handoff.contents import MANIFEST, folder_files
from reviewer.session import solved_file
from tests.fuzz.hostile import NUMBERS, WORDS
from tests.fuzz.structure import ROOT, every_place
from tests.fuzz.tables import other_octets
from tests.fuzz.text import design_file

#: where the folder stands in that of a case
FOLDER = "received"


@cache
def whole() -> Mapping[str, bytes]:
    """The folder of the smallest example; not to be changed."""
    return dict(folder_files(solved_file(ROOT / "examples" / "first.design.yaml")))


def received(draw: Random) -> dict[str, bytes]:
    """A folder drawn, by path; now and then with another small design in it."""
    files, design = dict(whole()), design_file(draw, ("sketch",), (1,))
    for _ in range(draw.choice((0, 1, 1, 2, 4))):
        name = draw.choice(list(files) or [MANIFEST])
        how = draw.random()
        if how < 0.15:
            files.pop(name, None)
        elif how < 0.25:
            files[_name(draw)] = draw.choice((design, b"", b"{}"))
        elif how < 0.4:
            files[next((n for n in files if n.startswith("design.")), "design.yaml")] = design
        elif how < 0.75 and name.endswith(".json") and name in files:
            files[name] = _document(draw, files[name])
        else:
            files[name] = other_octets(draw, files.get(name) or b" ")
    if draw.random() < 0.6 and MANIFEST in files:
        files[MANIFEST] = _signed(files)
    return {f"{FOLDER}/{name}": content for name, content in files.items()}


def _name(draw: Random) -> str:
    """A name that a file system takes, in the folder."""
    word = draw.choice(WORDS).replace("/", "_").replace("\x00", "")
    return word.encode("utf-8", "replace")[:200].decode("utf-8", "ignore").strip(".") or "more"


def _document(draw: Random, content: bytes) -> bytes:
    """A JSON document with one value changed or taken away; as it is where it is none any more."""
    try:
        data: Any = json.loads(content)
    except ValueError:
        return content
    if found := list(every_place(data)):
        holder, key = draw.choice(found)
        holder[key] = draw.choice((draw.choice(WORDS), draw.choice(NUMBERS), [], {}, None))
    return json.dumps(data).encode("utf-8", "surrogatepass")


def _signed(files: Mapping[str, bytes]) -> bytes:
    """The manifest with the digest of each file that it lists, as far as it can be read."""
    try:
        manifest = json.loads(files[MANIFEST])
        for entry in manifest["files"]:
            if (content := files.get(entry["name"])) is not None:
                entry |= {"bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()}
    except (ValueError, TypeError, KeyError):
        return files[MANIFEST]
    return json.dumps(manifest).encode("utf-8", "surrogatepass")
