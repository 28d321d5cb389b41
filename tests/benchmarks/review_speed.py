"""How long a review takes: ``python -m tests.benchmarks.review_speed [FILE]`` or ``... review_speed sound [PARTS]``, ``... review_speed drawing [PARTS]``.

With a file, or none for the largest example: by the installed package, as a ratio to starting Python. With ``sound``: sound designs of 500 or
so many parts, in processor time, the median of ten seeds; what page and handoff folder take, as a ratio to the review; and how the review grows
from a quarter of the parts. With ``drawing``: what the schematic of a generated design of 500 or so many parts takes, without the page around it.
"""

from __future__ import annotations

import json
import math
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from reviewer.network.network_build import build_network
from reviewer.reports.schematic.draw import draw
from reviewer.reports.schematic.fitting import fitting_sheet
from tests.oracle.generator import realistic
from tests.oracle.sound import sound_data

EXAMPLES = Path(__file__).parents[2] / "examples"
SEEDS, SMALLEST = 10, 130
HEAVY = ("networkx", "numpy", "jsonschema", "jinja2")


def best(*commands: list[str], times: int = 20) -> list[float]:
    """Shortest of several runs of each command, in seconds; they take turns, so that what else the machine does touches all alike."""
    environment = _environment()
    rounds = [[_seconds(arguments, environment) for arguments in commands] for _ in range(times + 1)]
    return [min(runs) for runs in zip(*rounds[1:], strict=True)]


def _environment() -> dict[str, str]:
    """As a person would run it: away from the checkout, the installed package, with compiled files kept."""
    return {k: v for k, v in os.environ.items() if k not in ("PYTHONPATH", "PYTHONDONTWRITEBYTECODE")}


def _seconds(arguments: list[str], environment: dict[str, str]) -> float:
    began = time.perf_counter()
    quiet = subprocess.DEVNULL
    subprocess.run(
        [sys.executable, *arguments],
        cwd=tempfile.gettempdir(),
        env=environment,
        stdout=quiet,
        stderr=quiet,
        check=False,
    )
    return time.perf_counter() - began


def imported(file: Path) -> list[str]:
    """Which of the heavy libraries a review imports."""
    code = f"import sys; sys.argv = ['reviewer', 'review', {str(file)!r}]\nfrom reviewer.cli.main import main\ntry: main()\nexcept SystemExit: pass\n"
    code += f"print('\\nheavy', *[m for m in {HEAVY!r} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return done.stdout.splitlines()[-1].split()[1:]


def sound_designs(parts: int) -> None:
    """Print what the commands take on sound designs of about that many parts."""
    small, large = (_medians(size, seeds) for size, seeds in ((max(parts // 4, SMALLEST), 3), (parts, SEEDS)))
    review = large["review"]
    print(
        f"review of a sound design of {parts} parts, median of {SEEDS} seeds: {review:.2f} s of processor time; wanted under 2 for 500"
    )
    for command, wanted in (("report", 2.2), ("handoff", 2.5)):
        print(f"    {command}: {large[command] / review:.2f} times the review; wanted at most {wanted}")
    exponent = math.log(review / small["review"]) / math.log(parts / max(parts // 4, SMALLEST))
    print(
        f"    the review grows with parts to the power {exponent:.2f} from {max(parts // 4, SMALLEST)} to {parts} parts"
    )


def drawing(parts: int) -> None:
    """Print what it takes to lay out and draw generated designs of about that many parts, in processor
    time.
    """
    spent, letters = [], []
    for seed in range(1, 4):
        design = realistic(parts, seed)
        network = build_network(design)
        began = time.process_time()
        letters.append(len(draw(fitting_sheet(design, network)).svg))
        spent.append(time.process_time() - began)
    print(
        f"schematic of a generated design of {parts} parts, median of {len(spent)} seeds: {statistics.median(spent):.2f} s of processor time,"
        f" {statistics.median(letters):,} letters; wanted under 15 s for 500"
    )


def _medians(parts: int, seeds: int) -> dict[str, float]:
    """Processor seconds of each command, start included, the median of some seeds."""
    spent: dict[str, list[float]] = {"review": [], "report": [], "handoff": []}
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(seeds):
            file = Path(folder, f"{seed}.json")
            file.write_text(json.dumps(sound_data(parts, seed)), encoding="utf-8")
            for command, runs in spent.items():
                out = [] if command == "review" else ["--out", str(Path(folder, f"{command}-{seed}"))]
                before = _children()
                done = subprocess.run(
                    [sys.executable, "-m", "reviewer", command, str(file), *out],
                    capture_output=True,
                    check=False,
                    cwd=folder,
                    env=_environment(),
                )
                assert done.returncode == 0, done.stdout[:1000]
                runs.append(_children() - before)
    return {command: statistics.median(runs) for command, runs in spent.items()}


def _children() -> float:
    spent = resource.getrusage(resource.RUSAGE_CHILDREN)
    return spent.ru_utime + spent.ru_stime


def main() -> None:
    """Print the ratio for one file, or for the largest example."""
    if sys.argv[1:2] == ["sound"]:
        sound_designs(int(sys.argv[2]) if len(sys.argv) > 2 else 500)
        return
    if sys.argv[1:2] == ["drawing"]:
        drawing(int(sys.argv[2]) if len(sys.argv) > 2 else 500)
        return
    file = (
        Path(sys.argv[1])
        if len(sys.argv) > 1
        else max(EXAMPLES.glob("*.design.yaml"), key=lambda p: p.stat().st_size)
    )
    bare, review = best(["-c", "pass"], ["-m", "reviewer", "review", str(file.resolve())])
    print(
        f"python -c pass: {bare * 1e3:.1f} ms; review of {file.name}: {review * 1e3:.1f} ms; ratio {review / bare:.1f}"
    )
    print("heavy libraries imported:", ", ".join(imported(file)) or "none")


if __name__ == "__main__":
    main()
