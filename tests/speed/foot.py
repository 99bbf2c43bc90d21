"""Prints the error and the time of the foot's solver: python -m tests.speed.foot."""

from __future__ import annotations

import dataclasses
import sys
import time

from studiotimer import plates
from studiotimer.mixes import mixes
from studiotimer.thermal.foot import MESH, Base, foot, layer_m, melt, reached
from studiotimer.thermal.sauce import advised_c

ALLOWED_ERROR, WANTED_S = 0.035, 0.6
RADIUS_M = 0.018
FINE = dataclasses.replace(
    MESH, rim_m=0.01e-3, ring_growth=1.12, layer_m=0.01e-3, layer_growth=1.1, mix_m=5e-6, mix_growth=1.04,
    first_s=1e-3, step_growth=1.04,
)  # fmt: skip
CASES = [
    ("superpremium", -12.0, "slate", 8.0, 22.0), ("superpremium", -12.0, "slate", 8.0, 4.0),
    ("superpremium", -12.0, "porcelain", 5.0, 22.0), ("superpremium", -12.0, "glass", 3.0, 22.0),
    ("superpremium", -12.0, "stainless steel", 1.0, 22.0), ("regular", -18.0, "slate", 8.0, 22.0),
    ("regular", -18.0, "glass", 3.0, 22.0), ("economy", -18.0, "marble", 15.0, 22.0),
    ("economy", -18.0, "aluminium", 3.0, 22.0), ("sorbet", -9.7, "oak", 15.0, 22.0),
]  # fmt: skip


def main() -> int:
    """Print a row a case; 1 when an error or a time is not what is wanted."""
    print(f"{'mix, plate':<52}{'foot s':>9}{'fine s':>9}{'error %':>9}{'took s':>9}")
    errors, spans = [], []
    for mix, start, on, thick, at in CASES:
        base = Base(mixes()[mix], start, plates.plate(on, thick / 1000, at), RADIUS_M, 22.0)
        begin = time.perf_counter()
        found = foot(base)
        spans.append(time.perf_counter() - begin)
        fine = reached(*melt(base, layer_m(RADIUS_M), FINE), layer_m(RADIUS_M))
        errors.append(found.seconds / fine - 1 if found.seconds < float("inf") else 0.0)
        named = f"{mix} from {start:g} °C on {on} {thick:g} mm at {at:g} °C"
        print(f"{named:<52}{found.seconds:>9.1f}{fine:>9.1f}{100 * errors[-1]:>9.2f}{spans[-1]:>9.2f}")
    begin = time.perf_counter()
    advised_c(mixes()["premium"], -15.0)
    print(f"largest error {100 * max(map(abs, errors)):.1f} %, longest {max(spans):.2f} s")
    print(f"a sauce's temperature advised in {time.perf_counter() - begin:.2f} s")
    return 0 if max(map(abs, errors)) <= ALLOWED_ERROR and max(spans) <= WANTED_S else 1


if __name__ == "__main__":
    sys.exit(main())
