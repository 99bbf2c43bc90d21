"""Many tridiagonal systems solved side by side, one in each column (Thomas 1949)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


class Tridiagonal:
    """Systems of `n` unknowns in `m` columns: `below` and `above` of shape (n - 1, m), `diagonal` (n, m).

    Factored once, solved for as many right-hand sides as wanted. The diagonal must dominate.
    """

    def __init__(self, below: Floats, diagonal: Floats, above: Floats) -> None:
        pivots = np.empty_like(diagonal)
        pivots[0] = diagonal[0]
        self.factors = np.empty_like(below)
        self.above = above
        for i in range(1, len(diagonal)):
            np.divide(below[i - 1], pivots[i - 1], out=self.factors[i - 1])
            np.subtract(diagonal[i], self.factors[i - 1] * above[i - 1], out=pivots[i])
        self.inverse = 1.0 / pivots

    def solve(self, right: Floats) -> Floats:
        """Return the solutions for right-hand sides `right`, shape (n, m)."""
        x = right.copy()
        for i in range(1, len(x)):
            x[i] -= self.factors[i - 1] * x[i - 1]
        x *= self.inverse
        scaled = self.above * self.inverse[:-1]
        for i in range(len(x) - 2, -1, -1):
            x[i] -= scaled[i] * x[i + 1]
        return x
