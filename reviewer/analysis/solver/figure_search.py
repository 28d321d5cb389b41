"""The search for figures that lead to themselves: what is solved with them asks for the same again."""

from __future__ import annotations

from typing import Any


class FigureSearch:
    """The search for ``figures`` numbers, (points, figures), each found to less than ``near``.

    Broyden's method, at each point by itself: how what is found follows what was tried is learned
    from the steps; of one figure alone, from the last one (secant). What no step tells apart, such
    as the shares of two regulators that hold one bus, is left as it is.
    """

    #: the most that one figure follows itself, the least singular value that counts, and the longest step
    #: of one of several figures
    MOST, LEAST, LONGEST = 0.95, 1e-3, 2.0

    def __init__(self, points: int, figures: int, near: float):
        import numpy as np

        self.near, self.eye = near, np.eye(figures)
        self.slopes = np.zeros((points, figures, figures))
        self.before: tuple[Any, Any] | None = None

    def next(self, tried: Any, found: Any) -> Any:
        """The next figures to try, from those ``tried`` and those ``found`` with them."""
        import numpy as np

        alone = len(self.eye) == 1
        if self.before is not None:
            step, change = tried - self.before[0], found - self.before[1]
            size = (step * step).sum(axis=1, keepdims=True)
            known = size > self.near**2
            error = change - np.einsum("pij,pj->pi", self.slopes, step)
            learned = np.where(known, error / np.where(known, size, 1.0), 0.0)
            self.slopes = self.slopes + learned[:, :, None] * step[:, None, :]
            if alone:
                self.slopes = np.where(known[:, :, None], np.clip(self.slopes, -1.0, self.MOST), 0.0)
        self.before = tried, found
        if alone:
            return tried + (found - tried) / (1.0 - self.slopes[:, :, 0])
        inverse = np.linalg.pinv(self.eye - self.slopes, rcond=self.LEAST)
        step = np.einsum("pij,pj->pi", inverse, found - tried)
        return tried + np.clip(step, -self.LONGEST, self.LONGEST)
