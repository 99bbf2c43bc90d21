"""How well learning on set does: `python -m tests.speed.learning` simulates shoots with a hidden truth.

Each shoot has a tau drawn from the prior (its set's part and its mix's part); its scoops change by the model slowed by
that tau, each change seen with the error the method assumes. Printed: how often the 80 % band of the working time
holds the truth after 0, 1, 3 and 8 looks, and the median error of the median.
"""

import argparse
import math
import statistics

import numpy as np

from studiotimer.mixes import mixes
from studiotimer.thermal import learn
from studiotimer.thermal.criteria import targets
from studiotimer.thermal.edge import edge_clock
from studiotimer.thermal.firmness import advised_freezer_c
from studiotimer.thermal.material import material
from studiotimer.thermal.surroundings import room

SHOOTS = 200
AFTER = (0, 1, 3, 8)
STAGES = ("sheen", "edges", "first_drip")


def book_times(mix, around):
    """Return the model's own seconds to each stage, straight from the advised freezer."""
    start = float(material(mix).enthalpy(advised_freezer_c(mix)))
    goals = targets(mix)
    clock = edge_clock(mix, around)
    return {stage: float(clock.seconds_to(start, getattr(goals, stage))) for stage in STAGES}


def simulate(seed, shoots):
    """Return, by number of looks, whether the band held the truth and the relative error of the median."""
    chance = np.random.default_rng(seed)
    rows = {count: ([], []) for count in AFTER}
    names = [name for name in mixes() if name not in ("sherbet",)]
    for _ in range(shoots):
        name = str(chance.choice(names))
        mix = mixes()[name]
        around = room(float(chance.uniform(18, 28)), float(chance.uniform(0.3, 0.6)), float(chance.uniform(0, 30)))
        truth = chance.normal(0, learn.SET_SD) + chance.normal(0, learn.MIX_SD)
        book = book_times(mix, around)
        belief = learn.Belief()
        for looks in range(max(AFTER) + 1):
            if looks in rows:
                low, middle, high = (math.exp(tau) * book["edges"] for tau in belief.band(name))
                real = math.exp(truth) * book["edges"]
                rows[looks][0].append(low <= real <= high)
                rows[looks][1].append(abs(middle / real - 1))
            stage = STAGES[looks % len(STAGES)]
            seen = book[stage] * math.exp(truth + chance.normal(0, learn.SEEN_SD))
            tau = learn.tau_that_reaches(lambda taus, time=book[stage]: time * np.exp(taus), seen)
            belief = learn.observe(belief, name, tau)
    return rows


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--shoots", type=int, default=SHOOTS)
    parser.add_argument("--seed", type=int, default=7)
    options = parser.parse_args()
    print(f"{options.shoots} shoots; wanted: band holds 75 to 85 %, median error at most 10 % after 3 looks")
    print("looks   80 % band holds   median error")
    for count, (held, errors) in simulate(options.seed, options.shoots).items():
        print(f"{count:5}   {100 * statistics.mean(held):14.1f} %   {100 * statistics.median(errors):10.1f} %")


if __name__ == "__main__":
    main()
