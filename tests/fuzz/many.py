"""Many cases at once, in processes that stay alive."""

from __future__ import annotations

import json
import os
import selectors
import subprocess
import sys
from collections.abc import Iterator
from typing import Any

from tests.fuzz.structure import ROOT


def cases(first: int, count: int, at_once: int = 2) -> Iterator[dict[str, Any]]:
    """What became of ``count`` cases from the number ``first`` on, as they end. Raises RuntimeError where a process ends too soon."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1", "COLUMNS": "100"}
    shares = [len(range(i, count, at_once)) for i in range(at_once)]
    workers = [
        subprocess.Popen(
            [sys.executable, "-m", "tests.fuzz.worker", *map(str, (first + i, share, at_once))],
            stdout=subprocess.PIPE,
            text=True,
            cwd=ROOT,
            env=environment,
        )
        for i, share in enumerate(shares)
        if share
    ]
    try:
        done = 0
        with selectors.DefaultSelector() as ready:
            for worker in workers:
                ready.register(worker.stdout, selectors.EVENT_READ)  # type: ignore[arg-type]
            while ready.get_map():
                for key, _ in ready.select():
                    if line := key.fileobj.readline():  # type: ignore[union-attr]
                        done += 1
                        yield json.loads(line)
                    else:
                        ready.unregister(key.fileobj)
        if done != count:
            raise RuntimeError(f"{count - done} of {count} cases were not run")
    finally:
        for worker in workers:
            worker.kill()
            worker.wait()
            worker.stdout.close()  # type: ignore[union-attr]
