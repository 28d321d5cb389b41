"""numpy, loaded so that it works in one thread.

The systems of equations here are small. The libraries under numpy share even those out among
threads, which then wait for each other: where the machine has other work too, that takes ten times
as long, and the threads take longer to start than the points of a small aircraft take.
"""

from __future__ import annotations

import os
import sys

#: what the libraries under numpy read once, when they are loaded
_WORDS = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")


def load_numpy() -> None:
    """Load numpy, in one thread unless the environment says how many; the environment stays as it
    is. Nothing is done where numpy is loaded already."""
    if "numpy" in sys.modules or any(word in os.environ for word in _WORDS):
        return
    os.environ.update(dict.fromkeys(_WORDS, "1"))
    try:
        import numpy  # noqa: F401
    finally:
        for word in _WORDS:
            os.environ.pop(word, None)
