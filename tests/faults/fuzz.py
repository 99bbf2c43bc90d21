"""Offer the session reader many files: python -m tests.faults.fuzz --count 200000."""

import argparse
import multiprocessing
import os
import time

from tests.faults.inputs import main

if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=200_000)
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args()
    began, workers = time.monotonic(), os.cpu_count() or 1
    shares = [
        (asked.count // workers + (number < asked.count % workers), asked.seed + number) for number in range(workers)
    ]
    with multiprocessing.Pool(workers) as pool:
        counts = pool.starmap(main, shares)
    total = {name: sum(count[name] for count in counts) for name in counts[0]}
    print(f"{sum(total.values())} inputs in {time.monotonic() - began:.0f} s, no fault:", total)
