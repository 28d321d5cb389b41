"""How long an editor waits: ``python -m tests.benchmarks.editor_speed [PARTS]``.

From an edit to what is said of it, for the tourer and a sound design of 500 or so many parts: mistakes (100 ms
wanted) and findings (1 s for the tourer, 4 s for 500 parts wanted), the median of five edits; and as a ratio to
a review by the command.
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tests.editor.session import Session, in_session
from tests.oracle.sound import sound_data

TOURER = Path(__file__).parents[2] / "examples" / "tourer.design.yaml"
EDITS = 5


async def _waited(session: Session, path: Path, text: str, wrong: tuple[str, str]) -> tuple[float, float]:
    """Median seconds to the mistakes and to the findings of an edited text."""
    await session.open(path, text)
    mistakes, findings = [], []
    for number in range(EDITS):
        broken = text.replace(*wrong, 1) + "\n" * number
        for edited, waited in ((broken, mistakes), (text + "\n" * number, findings)):
            began = time.perf_counter()
            await session.changed(path, edited)
            waited.append(time.perf_counter() - began)
    return statistics.median(mistakes), statistics.median(findings)


def measured(path: Path, text: str, wrong: tuple[str, str]) -> None:
    """Print what an editor waits for one design."""

    async def work(session: Session) -> tuple[float, float]:
        return await _waited(session, path, text, wrong)

    mistakes, findings = in_session(work)
    path.write_text(text, encoding="utf-8")
    began = time.perf_counter()
    code = "from reviewer.cli.main import main; main()"
    subprocess.run([sys.executable, "-c", code, "review", str(path)], stdout=subprocess.DEVNULL, check=False)
    review = time.perf_counter() - began
    print(
        f"{path.name}: mistakes after {mistakes * 1000:.0f} ms, findings after {findings:.2f} s; "
        f"{findings / review:.2f} times a review by the command"
    )


def main() -> None:
    """Measure the tourer and a sound design."""
    parts = int(sys.argv[1]) if sys.argv[1:] else 500
    with tempfile.TemporaryDirectory() as folder:
        measured(
            Path(folder) / "tourer.design.yaml",
            TOURER.read_text(encoding="utf-8"),
            ("kind: bus", "kind: buss"),
        )
        text = json.dumps(sound_data(parts, 1), indent=1)
        measured(Path(folder) / "sound.design.json", text, ('"kind": "bus"', '"kind": "buss"'))


if __name__ == "__main__":
    main()
