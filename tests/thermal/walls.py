"""A pack's wall whose temperatures are known."""

import numpy as np

from studiotimer.thermal.air import settling
from studiotimer.thermal.pack import _gathered, _seen


def settled_on(times, wall_c, around, form):
    """Return what settles on a wall of temperatures `wall_c` [°C] at `times` [s]; it dries where it is warm enough."""
    t, wall = np.asarray(times, dtype=float), np.asarray(wall_c, dtype=float)
    return _seen(t, wall, _gathered(t, settling(wall, around, form.along_m, form.flow), 0.0), around)
