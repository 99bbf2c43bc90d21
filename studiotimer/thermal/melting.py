"""What foot and sauce have in common: a mix's tables with their slopes, BDF2, and how deep it is liquid."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from studiotimer.thermal.material import POINTS, Material

TRIES = 60
"""Newton steps before a step in time is given up; three or four are usual."""

Floats = NDArray[np.float64]


def look_up(table: Material, values: Floats, h: Floats) -> tuple[Floats, Floats]:
    """Return what a mix's table has at enthalpies `h` [J/kg], and its slopes there; shape of `h` each.

    `values` are the table's, in any unit [any]. Numerics: linear between points.
    """
    place = (h - table.first) / table.step
    i = np.clip(place, 0, POINTS - 2).astype(np.intp)
    low = values[i]
    rise = values[i + 1] - low
    return low + (place - i) * rise, rise / table.step


def liquid_m(over: Floats, between: Floats) -> Floats:
    """Return the liquid's thickness [m] in columns of nodes, shape (m,), the nodes `between` [m] apart, (n - 1, 1).

    `over` [any] is how far each node is past where liquid begins, shape (n, m), in whatever goes evenly from one node
    to the next. Numerics: linear between nodes.
    """
    low, high = over[:-1], over[1:]
    wet = low >= 0.0
    crossed = wet != (high >= 0.0)
    upto = np.where(crossed, low / np.where(crossed, low - high, 1.0), 1.0)
    part = np.where(crossed, np.where(wet, upto, 1.0 - upto), wet)
    return np.asarray(np.sum(part * between, axis=0))


def second_order(dt: float, last: float | None) -> tuple[float, float, float]:
    """Return BDF2's weights [-] of the new state, the one now and the one before, after a step of `last` [s].

    (1 + 2w) / (1 + w), 1 + w, -w² / (1 + w) with w = dt / last [1]; `dt` [s] is the step. Without one before, those of
    the implicit Euler step. New state times its weight, less the others times theirs, is the step times the rate.

    References
    ----------
    .. [1] E. Hairer, S. P. Nørsett and G. Wanner, Solving Ordinary Differential Equations I, Springer (memory).
    """
    if last is None:
        return 1.0, 1.0, 0.0
    w = dt / last
    return (1.0 + 2.0 * w) / (1.0 + w), 1.0 + w, -(w**2) / (1.0 + w)


def graded(span: float, first: float, growth: float, rest: int | None = None) -> Floats:
    """Return faces [m] from 0 to `span` [m], the first cell at most `first` [m], each next thicker by `growth` [-].

    `rest` [-], where given, is what the number of cells leaves when halved. Numerics: thickness = growth^i.
    """
    count = max(int(np.ceil(np.log1p(span * (growth - 1.0) / first) / np.log(growth))), 1)
    if rest is not None and count % 2 != rest:
        count += 1
    faces = np.concatenate([[0.0], np.cumsum(growth ** np.arange(float(count)))])
    return np.asarray(span * faces / faces[-1])
