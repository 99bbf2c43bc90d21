"""How well learning on set does: `python -m tests.speed.learning` simulates shoots with a hidden truth.

Each shoot has a tau drawn from the prior (its set's part and its mix's part); each of its scoops has a difference of its
own, and each look of each scoop a residual of its own. A person calls some changes, with a person's error in time.
Before each scoop in question the band of every look is set beside the truth. Printed: for each look by itself and after
0, 1, 3 and 8 looks, how often the 80 % band holds the truth (1,000 scoops a cell), and the median error of the median.
"""

import argparse
import math
import statistics
import sys

import numpy as np

from studiotimer.mixes import mixes
from studiotimer.thermal import learn
from studiotimer.thermal.bands import CHANGES, spread_changes
from studiotimer.thermal.firmness import advised_freezer_c
from studiotimer.thermal.scoop import changes
from studiotimer.thermal.surroundings import room

SHOOTS = 1000
AFTER = (0, 1, 3, 8)
CALLED = (("edges", "sheen"), ("edges", "first drip"), ("sheen", "slump"), ("edges", "first drip"))
"""What is called of each scoop in turn; a first look that a person is asked about may be answered "not yet"."""


class Shoot:
    """One shoot: the model's own times of a scoop straight from its freezer, and what is true of its scoops."""

    def __init__(self, chance):
        self.chance = chance
        self.name = str(chance.choice([name for name in mixes() if name != "sherbet"]))
        mix = mixes()[self.name]
        around = room(float(chance.uniform(18, 28)), float(chance.uniform(0.3, 0.6)), float(chance.uniform(0, 30)))
        found = changes(mix, advised_freezer_c(mix), around)
        self.book = {look: getattr(found, f"{look.replace(' ', '_')}_s") for look in CHANGES}
        self.truth = chance.normal(0, learn.SET_SD) + chance.normal(0, learn.MIX_SD)

    def scoop(self):
        """Return when each look of a new scoop comes: none before the one before it, a slump brings the drip."""
        own = self.truth + self.chance.normal(0, learn.SCOOP_SD)
        drawn = {
            look: seconds * math.exp(own + self.chance.normal(0, learn.RESIDUAL_SD[look]))
            for look, seconds in self.book.items()
        }
        drawn["edges"] = max(drawn["edges"], drawn["sheen"])
        drawn["slump"] = max(drawn["slump"], drawn["edges"])
        drawn["first drip"] = min(max(drawn["first drip"], drawn["edges"]), drawn["slump"])
        return drawn

    def called(self, seconds):
        """Return when a person says it: 15 % and three seconds to either side."""
        return max(seconds * math.exp(self.chance.normal(0, learn.SEEN_SD)) + self.chance.normal(0, learn.CALL_S), 1.0)

    def bands(self, belief):
        """Return the band of each look [s on set], as the forecast makes it."""
        by_tau = np.outer(list(self.book.values()), np.exp(belief.band(self.name)))
        return dict(zip(CHANGES, spread_changes(by_tau[None])[0].tolist(), strict=True))


def simulate(seed, shoots, bounds=False):
    """Return by look and number of looks whether the band held the truth, and the relative error of the median."""
    chance = np.random.default_rng(seed)
    rows = {(look, count): ([], []) for look in CHANGES for count in AFTER}
    for _ in range(shoots):
        shoot, belief = Shoot(chance), learn.Belief()
        calls = (look for pair in CALLED * 4 for look in pair)
        for count in range(max(AFTER) + 1):
            scoop = shoot.scoop()
            if count in AFTER:
                for look, (low, middle, high) in shoot.bands(belief).items():
                    rows[look, count][0].append(bool(low <= scoop[look] <= high))
                    rows[look, count][1].append(abs(middle / scoop[look] - 1))
            belief = told(shoot, belief, scoop, next(calls), bounds)
    return rows


def told(shoot, belief, scoop, look, bounds):
    """Return the belief after a look of a scoop was called, or, with `bounds`, asked about in vain at its early end."""
    low, _, _ = shoot.bands(belief)[look]
    seen = shoot.called(scoop[look])
    if bounds and seen > low:
        tau = math.log(low / shoot.book[look])
        return learn.observe_later(belief, shoot.name, tau, learn.seen_sd(look, low))
    tau = math.log(seen / shoot.book[look])
    return learn.observe(belief, shoot.name, tau, learn.seen_sd(look, seen))


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--shoots", type=int, default=SHOOTS)
    parser.add_argument("--seed", type=int, default=7)
    options = parser.parse_args()
    print(f"{options.shoots} scoops a cell; wanted: the 80 % band of each look holds 75 to 85 %")
    good = True
    for what, bounds in (("changes called", False), ("changes asked about at the early end of their band", True)):
        print(f"\n{what}\n{'look':<12}" + "".join(f"{f'after {count}':>12}" for count in AFTER) + "   median error")
        rows = simulate(options.seed, options.shoots, bounds)
        for look in CHANGES:
            held = [100 * statistics.mean(rows[look, count][0]) for count in AFTER]
            errors = [100 * statistics.median(rows[look, count][1]) for count in AFTER]
            good &= all(75.0 <= share <= 85.0 for share in held)
            print(
                f"{look:<12}" + "".join(f"{share:>10.1f} %" for share in held)
                + "   " + ", ".join(f"{error:.0f}" for error in errors) + " %"
            )  # fmt: skip
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
