"""Whether following the cues beats a stopwatch: `python -m tests.speed.days --days 40` shoots simulated days.

Every policy meets the same days (paired by seed). Policies lie in studiotimer/trial and tests/trial, rates in resources/luck.json.
`--bounds` adds crews that know more than ours and less than every truth (`tests.speed.bounds`), `--without` the cues with
each of their rules left out alone (`tests.speed.without`).
"""

import argparse
import json
import math
import multiprocessing
import os
import statistics
import tempfile
from collections import Counter
from contextlib import nullcontext
from pathlib import Path

os.environ.setdefault("OMP_NUM_THREADS", "1")

from studiotimer.prep.plan import parse_plan
from studiotimer.trial.crew import Crew
from studiotimer.trial.luck import usual_luck
from studiotimer.trial.policies import Cued
from studiotimer.trial.tally import Tally
from tests.speed.bounds import Delayed, Foreseen, Informed
from tests.speed.without import RULES, left_out
from tests.trial.oracle import Oracle
from tests.trial.stopwatch import Stopwatch

POLICIES = {
    "cues": Cued,
    "stopwatch": Stopwatch,
    "stopwatch, frost": lambda: Stopwatch(waits_for_frost=True),
    "oracle": Oracle,
}
BOUNDS = {"oracle, hands": Delayed, "oracle, forecasts": Informed, "cues, truths": Foreseen}
WITHOUT = {f"no {rule}": rule for rule in RULES}


def _shot(name, look, light, flavours, takes, **more):
    heroes = [{"flavour": flavour, "spot": f"spot {n}"} for n, flavour in enumerate(flavours, 1)]
    return {"name": name, "look": look, "light": light, "heroes": heroes, "takes": takes, "locks": "6 min", **more}


def _plan(title, air, humidity, flavours, shots, freezer, box=True):
    return {
        "title": title, "room": {"air": air, "humidity": humidity}, "freezer": freezer, "good_share": "2 in 3",
        "flavours": [{"name": name, "mix": mix, "tone": tone} for name, mix, tone in flavours], "shots": shots,
        "dry_ice": {"holding_box": box},
    }  # fmt: skip


VANILLA, COCOA, LEMON = ("vanilla", "premium", "pale"), ("cocoa", "superpremium", "dark"), ("lemon", "sorbet", "pale")
DAYS = {
    "calm": _plan("calm", "21 °C", "42 %", [VANILLA], [
        _shot("plate", "crisp", "LED 2000 lx", ["vanilla"], 3, dressing="20 s", frames=8, between="6 s"),
        _shot("close", "sheen", "LED 2000 lx", ["vanilla"], 2, dressing="10 s", frames=8, between="6 s"),
    ], "-16 °C"),
    "hot": _plan("hot", "25 °C", "50 %", [VANILLA, COCOA, LEMON], [
        _shot("coupe", "crisp", "tungsten 6000 lx", ["vanilla", "cocoa", "lemon"], 3, dressing="15 s", frames=8,
              between="5 s", spares=3),
        _shot("bowl", "crisp", "tungsten 6000 lx", ["cocoa"], 2, dressing="20 s", frames=8, between="5 s"),
    ], "-14 °C"),
    "mixed": _plan("mixed", "23 °C", "48 %", [VANILLA, COCOA], [
        _shot("pair", "crisp", "LED 3000 lx", ["vanilla", "cocoa"], 2, dressing="30 s", frames=8, between="6 s",
              spares=2),
        _shot("one", "sheen", "LED 3000 lx", ["cocoa"], 2, dressing="10 s", frames=6, between="6 s"),
        _shot("hot one", "crisp", "tungsten 4000 lx", ["vanilla"], 2, dressing="20 s", frames=8, between="5 s"),
    ], "-15 °C"),
}  # fmt: skip


def shot_day(asked):
    """Return the tally of one day: (day, policy, seed)."""
    day, policy, seed = asked
    made = {**POLICIES, **BOUNDS, **dict.fromkeys(WITHOUT, Cued)}[policy]
    left = left_out(WITHOUT[policy]) if policy in WITHOUT else nullcontext()
    with left, tempfile.TemporaryDirectory(dir="/dev/shm" if Path("/dev/shm").is_dir() else None) as folder:
        return asked, Crew(parse_plan(DAYS[day]), made(), seed, usual_luck(), Path(folder)).run()


def read(path):
    """Return the days kept in a file, by (day, policy, seed)."""
    lines = path.read_text().splitlines() if path.exists() else []
    rows = [json.loads(line) for line in lines]
    return {tuple(asked): Tally(**{**tally, "refused": Counter(tally["refused"])}) for asked, tally in rows}


def keep(path, asked, tally):
    with path.open("a") as file:
        file.write(json.dumps([asked, vars(tally)]) + "\n")


def figures(tally):
    return {
        "good frames %": 100 * tally.good / max(tally.frames, 1),
        "late %": 100 * tally.late / max(tally.frames, 1),
        "early %": 100 * tally.early / max(tally.frames, 1),
        "got %": 100 * tally.got / tally.shots,
        "minutes a shot": statistics.mean(tally.minutes),
        "pulls a shot": tally.pulls / tally.shots,
        "lost %": 100 * len(tally.lost) / max(tally.good_pulls, 1),
        "empty s a shot": tally.empty_s / tally.shots,
        "rested s": statistics.mean(tally.rested) if tally.rested else 0.0,
        "cues late %": 100 * tally.cues_late / max(tally.cues, 1),
    }


def with_interval(values):
    mean = statistics.mean(values)
    spread = statistics.stdev(values) / math.sqrt(len(values)) * 1.96 if len(values) > 1 else 0.0
    return f"{mean:7.1f} ±{spread:4.1f}"


def _bands(results, day, name, options):
    return [held for n in range(options.days) for held in results[day, name, options.seed + n].bands]


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--days", type=int, default=40)
    parser.add_argument("--only", default="", help="policies, separated by semicolons")
    parser.add_argument(
        "--bounds", action="store_true", help="the crews between ours and one that knows every truth too"
    )
    parser.add_argument("--without", action="store_true", help="only the cues, whole and with each rule left out")
    parser.add_argument("--on", default="", help="kinds of day, separated by commas")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--kept", type=Path, help="a file of days shot: they are added to it, and not shot again")
    parser.add_argument("--workers", type=int, default=2)
    options = parser.parse_args()
    policies = options.only.split(";") if options.only else list(POLICIES)
    policies += [*BOUNDS] * options.bounds
    if options.without:
        policies = ["cues", *WITHOUT]
    days = options.on.split(",") if options.on else list(DAYS)
    asked = [(day, name, options.seed + n) for day in days for n in range(options.days) for name in policies]
    results = read(options.kept) if options.kept else {}
    with multiprocessing.Pool(options.workers) as pool:
        for one, tally in pool.imap_unordered(shot_day, [one for one in asked if one not in results]):
            results[one] = tally
            if options.kept:
                keep(options.kept, one, tally)
    results = {one: results[one] for one in asked}
    for day in days:
        print(f"\n{day}, {options.days} days" + "".join(f"{name:>24}" for name in policies))
        rows = {name: [figures(results[day, name, options.seed + n]) for n in range(options.days)] for name in policies}
        for what in rows[policies[0]][0]:
            print(
                f"{what:>20}" + "".join(f"{with_interval([row[what] for row in rows[name]]):>24}" for name in policies)
            )
        told = {name: _bands(results, day, name, options) for name in policies}
        if any(told.values()):
            held = [f"{100 * statistics.mean(one):.1f} of {len(one)}" if one else "" for one in told.values()]
            print(f"{'edges in the band %':>20}" + "".join(f"{words:>24}" for words in held))
    refused = sum((tally.refused for tally in results.values()), start=Counter())
    for words, count in refused.most_common(8):
        print(f"  refused {count}: {words}")


if __name__ == "__main__":
    main()
