"""Edits at random, letter by letter and in pieces: no crash, no leak, and the last text has the answer of a
fresh review.

500 in a run; ``REVIEWER_EDITS=20000`` asks for more.
"""

from __future__ import annotations

import asyncio
import os
import random
import shutil
import time
from pathlib import Path

import pytest
from lsprotocol import types as lsp

from reviewer.editor.fresh_review import _reviewed
from reviewer.editor.open_design import TextRead
from tests.editor.session import Session, in_session

ROOT = Path(__file__).parents[2]
TABLES = ROOT / "examples" / "tables"
BASES = [
    ROOT / "examples" / "first.design.yaml",
    ROOT / "reviewer" / "sketch.design.yaml",
    ROOT / "examples" / "short-form" / "two-seater.design.yaml",
    TABLES / "trainer.design.yaml",
]
EDITS = int(os.environ.get("REVIEWER_EDITS", "500"))
#: edits after which a text is compared with a fresh review
EACH = 50
_PIECES = (
    "",
    "\n",
    "{",
    "}",
    "[",
    "]",
    ": ",
    "'",
    '"',
    "#",
    "\t",
    " > ",
    "kind: bus",
    "5 A",
    "é",
    "\U0001f6e9",
    "\x00",
    "\u2028",
    "\r",
)


def changed(text: str, chance: random.Random) -> str:
    """The text with one edit: a piece in, a stretch out, two lines exchanged, or a line again."""
    at, lines = chance.randrange(len(text) + 1), text.split("\n")
    what = chance.randrange(5)
    if what == 0:
        return text[:at] + chance.choice(_PIECES) + text[at:]
    if what == 1:
        return text[:at] + text[at + chance.randrange(1, 12) :]
    one, other = chance.randrange(len(lines)), chance.randrange(len(lines))
    if what == 2:
        lines[one], lines[other] = lines[other], lines[one]
    elif what == 3:
        lines.insert(one, lines[other])
    else:
        lines[one] = lines[one].replace(" A", " V", 1)
    return "\n".join(lines)


def fresh(path: Path, text: str) -> list[tuple[int, str]]:
    """What a fresh review says of a text: lines and sentences."""
    read = TextRead(path, text)
    if read.design is None:
        return sorted((problem.line, problem.message) for problem in read.problems)
    _, answered = _reviewed(path, text.encode("utf-8", "surrogatepass"), ())
    return sorted((mark.line, mark.sentence) for mark in answered.marks)


def memory(pid: int) -> tuple[int, int]:
    """Resident memory of a process and of all that came of it, in kilobytes, and how many they are."""
    sizes, parents = {}, {}
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            status = (folder / "status").read_text(encoding="utf-8")
        except OSError:
            continue
        fields = dict(line.split(":", 1) for line in status.splitlines() if ":" in line)
        parents[int(folder.name)] = int(fields["PPid"])
        sizes[int(folder.name)] = int(fields.get("VmRSS", "0 kB").split()[0])
    tree = {pid}
    while more := {one for one, parent in parents.items() if parent in tree} - tree:
        tree |= more
    return sum(sizes[one] for one in tree), len(tree)


@pytest.mark.long
@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="memory is read from /proc")
def test_edits_at_random(tmp_path: Path) -> None:
    chance = random.Random(20_26)
    for table in TABLES.glob("*.csv"):
        shutil.copy(table, tmp_path)

    async def work(session: Session) -> None:
        pid = session.client._server.pid  # type: ignore[attr-defined]
        sizes = []
        for start in range(0, EDITS, EACH):
            base = BASES[start // EACH % len(BASES)]
            path = tmp_path / f"{start}.design.yaml"
            text = base.read_text(encoding="utf-8")
            await session.open(path, text)
            for _ in range(EACH - 1):
                text = changed(text, chance) if chance.random() < 0.9 else base.read_text(encoding="utf-8")
                session.change(path, text)
                await asyncio.sleep(chance.choice((0, 0, 0.01, 0.05)))
                if chance.random() < 0.1:
                    place = chance.randrange(text.count("\n") + 2), chance.randrange(80)
                    await session.hover(path, *place)
                    await session.client.text_document_completion_async(
                        lsp.CompletionParams(lsp.TextDocumentIdentifier(path.as_uri()), lsp.Position(*place))
                    )
            if chance.random() < 0.5:
                text = base.read_text(encoding="utf-8").replace("kind: ", "kind:  ", start // EACH)
            found = await session.changed(path, text + f"\n# {start}\n")
            said = sorted((d.range.start.line + 1, d.message) for d in found)
            wanted = fresh(path, text + f"\n# {start}\n")
            assert len(said) == len(wanted), (start, said, wanted)
            assert {s for _, s in wanted} <= {m for _, m in said} | {m.partition(": ")[2] for _, m in said}
            session.client.text_document_did_close(
                lsp.DidCloseTextDocumentParams(lsp.TextDocumentIdentifier(path.as_uri()))
            )
            await session.said(path)
            sizes.append(memory(pid))
        megabytes = [f"{size // 1024} in {count}" for size, count in sizes]
        print(f"MB and processes after each {EACH} edits, ten times of all: {megabytes[:: len(sizes) // 10]}")
        grown = sizes[-1][0] - sizes[len(sizes) // 2][0]  # by then all has been loaded that is needed
        assert grown < 6_000 + EDITS // 5, sizes
        # a review that is stopped takes a moment to end; none goes on for a text that is closed
        fewest, ended = min(count for _, count in sizes), time.monotonic() + 20
        while memory(pid)[1] > fewest and time.monotonic() < ended:
            await asyncio.sleep(0.05)
        assert memory(pid)[1] == fewest, sizes

    in_session(work)
