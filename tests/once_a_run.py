"""What a run of the tests works out once, whichever of its processes asks first: reviews of files, pages.

It is made by the code of this checkout in this run; the folder that holds it is made for the run and gone
with it (``conftest.py``). Without one, as in a script, every call makes it anew.
"""

from __future__ import annotations

import fcntl
import hashlib
import os
import pickle
from collections.abc import Callable
from pathlib import Path
from typing import Any

#: the folder of the run, which the processes take over from the one that starts them
FOLDER = "REVIEWER_TESTS_OF_A_RUN"


def once_a_run(name: str, make: Callable[[], Any]) -> Any:
    """What ``make`` gives, plain data or frozen, for the first in the run that asks by that name."""
    folder = os.environ.get(FOLDER)
    if folder is None:
        return make()
    kept = Path(folder, hashlib.sha256(name.encode()).hexdigest())
    with kept.with_suffix(".lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)  # let go of with the file
        if not kept.exists():
            made = kept.with_suffix(".made")
            made.write_bytes(pickle.dumps(make()))
            made.rename(kept)
        return pickle.loads(kept.read_bytes())
