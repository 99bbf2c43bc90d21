"""Many tridiagonal systems solved side by side, one in each column, from both ends toward the middle.

Thomas's elimination (1949) run from the first and the last row at once, which halves the number of array operations.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


class Tridiagonal:
    """Systems of `n` unknowns (n even) in `m` columns: `below` and `above` (n - 1, m), `diagonal` (n, m).

    Factored once, solved for as many right-hand sides as wanted. The diagonal must dominate.
    """

    def __init__(self, below: Floats, diagonal: Floats, above: Floats) -> None:
        half = len(diagonal) // 2
        before = np.stack([below[: half - 1], above[: half - 1 : -1]], axis=1)
        after = np.stack([above[:half], below[: half - 2 : -1] if half > 1 else below], axis=1)
        self.pivots = _folded(diagonal)
        self.factors = before
        for i in range(1, half):
            before[i - 1] /= self.pivots[i - 1]
            self.pivots[i] -= before[i - 1] * after[i - 1]
        self.middle = after[-1]
        self.determinant = self.pivots[-1, 0] * self.pivots[-1, 1] - self.middle[0] * self.middle[1]
        self.backward = after[:-1] / self.pivots[:-1]

    def solve(self, right: Floats) -> Floats:
        """Return the solutions for right-hand sides `right`, shape (n, m)."""
        x = _folded(right)
        for i in range(1, len(x)):
            x[i] -= self.factors[i - 1] * x[i - 1]
        pair = x[-1]
        pair[:] = (pair * self.pivots[-1, ::-1] - self.middle * pair[::-1]) / self.determinant
        x[:-1] /= self.pivots[:-1]
        for i in range(len(x) - 2, -1, -1):
            x[i] -= self.backward[i] * x[i + 1]
        return np.concatenate([x[:, 0], x[::-1, 1]])


def _folded(rows: Floats) -> Floats:
    """Return rows (n, m) as pairs counted from both ends, shape (n / 2, 2, m)."""
    half = len(rows) // 2
    return np.stack([rows[:half], rows[: half - 1 : -1]], axis=1)
