"""How long simulated days take: `python -m tests.speed.trial`, six shots, 1,000 and 10,000 days, and the memory."""

import copy
import resource
import sys
import time

from studiotimer.prep.plan import parse_plan
from studiotimer.prep.results import results_of
from studiotimer.trial.answer import answer_of
from tests.prep.plans import THREE_FLAVOURS

WANTED = {1_000: 1.0, 10_000: 5.0}
MOST_MIB = 300


def main():
    plan = copy.deepcopy(THREE_FLAVOURS)
    plan["shots"] += [shot | {"name": shot["name"] + ", again"} for shot in plan["shots"]]
    results = results_of(parse_plan(plan))
    good = True
    for days, wanted in WANTED.items():
        began, busy = time.perf_counter(), time.process_time()
        answer = answer_of(results, days, 1)
        took, busy = time.perf_counter() - began, time.process_time() - busy
        good &= took <= wanted
        what = f"{days:>6} days of {len(results.shots)} shots, {len(answer.helps)} changes"
        print(f"{what}: {took:.2f} s, {busy:.2f} s of it busy (wanted {wanted:g})")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"at most {peak:.0f} MiB (wanted {MOST_MIB})")
    return 0 if good and peak <= MOST_MIB else 1


if __name__ == "__main__":
    sys.exit(main())
