"""At which rate processes side by side review many files: ``python -m tests.benchmarks.many_files_speed [FILES] [JOBS]``.

A folder of 200 or so many small designs, by one process and by several. On an idle machine the seconds say it; on
any machine the processor time does: what several processes take more than one, and what the first one does alone.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

EXAMPLES = Path(__file__).parents[2] / "examples"
FORMS, TIMES = ("text", "json", "sarif"), 3
_RUN = """
import resource, sys
from reviewer.cli.main import main
try:
    main()
finally:
    own, others = map(resource.getrusage, (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    print("spent", own.ru_utime + own.ru_stime, others.ru_utime + others.ru_stime, file=sys.stderr)
"""


def spent(folder: Path, form: str, jobs: int) -> tuple[float, float, float]:
    """Seconds of a review of a folder, and processor seconds of its first process and of the others."""
    arguments = ["review", str(folder), "--as", form, "--jobs", str(jobs), "--out", str(folder / "report")]
    began = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-c", _RUN, *arguments], capture_output=True, text=True, check=False
    )
    seconds = time.perf_counter() - began
    assert done.returncode == 1, done.stderr[-2000:]
    own, others = done.stderr.split()[-2:]
    return seconds, float(own), float(others)


def main() -> None:
    """Print the ratios."""
    files = int(sys.argv[1]) if sys.argv[1:] else 200
    jobs = int(sys.argv[2]) if sys.argv[2:] else len(os.sched_getaffinity(0))
    texts = [(EXAMPLES / f"{name}.design.yaml").read_text(encoding="utf-8") for name in ("first", "sketch")]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for number in range(files):
            (folder / f"{number}.design.yaml").write_text(texts[number % 2], encoding="utf-8")
        for form in FORMS:
            rounds = [(spent(folder, form, 1), spent(folder, form, jobs)) for _ in range(TIMES)]
            one, several = (tuple(map(median, zip(*runs, strict=True))) for runs in zip(*rounds, strict=True))
            alone = one[1] + one[2]
            print(
                f"{files} files as {form}: {one[0]:.1f} s by one process, {several[0]:.1f} s by {jobs}: {one[0] / several[0]:.2f} times as fast\n"
                f"    processor time of all {(several[1] + several[2]) / alone:.2f} times that of one; of it the first process alone "
                f"{several[1] / (several[1] + several[2]):.0%}; with a processor for each {alone / (several[1] + several[2] / jobs):.2f} times as fast"
            )


if __name__ == "__main__":
    main()
