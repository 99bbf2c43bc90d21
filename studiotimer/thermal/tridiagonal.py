"""Many tridiagonal systems solved side by side, one in each column, from both ends toward the middle.

Thomas's elimination (1949) run from the first and the last row at once, which halves the number of array operations.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


class Tridiagonal:
    """Systems of `n` unknowns (n even) in `m` columns: `below` and `above` (n - 1, m), `diagonal` (n, m).

    Numerics: Thomas's elimination [1] from both ends at once; factored once, solved for as many right-hand sides as
    wanted. The diagonal must dominate.

    References
    ----------
    .. [1] L. H. Thomas, 1949 (memory).
    """

    def __init__(self, below: Floats, diagonal: Floats, above: Floats) -> None:
        half = len(diagonal) // 2
        before, after = _paired(below[: half - 1], above[: half - 1 : -1]), _paired(above[:half], below[::-1][:half])
        self.pivots = _folded(diagonal)
        crossed = before * after[:-1]
        pivot = self.pivots[0]
        for cross, row in zip(crossed, self.pivots[1:], strict=True):
            np.divide(cross, pivot, cross)
            np.subtract(row, cross, row)
            pivot = row
        before /= self.pivots[:-1]
        self.middle = after[-1]
        self.determinant = self.pivots[-1, 0] * self.pivots[-1, 1] - self.middle[0] * self.middle[1]
        backward = after[:-1]
        backward /= self.pivots[:-1]
        self.forward, self.backward = list(before), list(backward[::-1])

    def solve(self, right: Floats) -> Floats:
        """Return the solutions x [any] of A x = `right` [any], shape (n, m) each. Numerics."""
        x = _folded(right)
        rows = list(x)
        _sweep(rows, self.forward)
        pair = x[-1]
        pair[:] = (pair * self.pivots[-1, ::-1] - self.middle * pair[::-1]) / self.determinant
        x[:-1] /= self.pivots[:-1]
        _sweep(rows[::-1], self.backward)
        return np.concatenate([x[:, 0], x[::-1, 1]])


def _sweep(rows: Sequence[Floats], factors: Sequence[Floats]) -> None:
    """Take from each row but the first, in place, its factor times the row before."""
    share, before = np.empty_like(rows[0]), rows[0]
    multiply, subtract = np.multiply, np.subtract
    for row, factor in zip(rows[1:], factors, strict=True):
        multiply(factor, before, share)
        subtract(row, share, row)
        before = row


def _folded(rows: Floats) -> Floats:
    """Return rows (n, m) as pairs counted from both ends, shape (n / 2, 2, m)."""
    half = len(rows) // 2
    return _paired(rows[:half], rows[::-1][:half])


def _paired(first: Floats, second: Floats) -> Floats:
    """Return rows of two arrays side by side, in an array of their own."""
    pairs = np.empty((len(first), 2, first.shape[1]))
    pairs[:, 0], pairs[:, 1] = first, second
    return pairs
