"""Prints error and time of the body solver against BDF, and how its time grows: python -m tests.speed.bodies."""

from __future__ import annotations

import argparse
import sys
import time
from itertools import pairwise

import numpy as np

from studiotimer.lamps import parse_light
from studiotimer.mixes import mixes
from studiotimer.thermal.body import Case, Piece, slump_times, start_body
from studiotimer.thermal.edge import edge_clock
from studiotimer.thermal.firmness import advised_freezer_c
from studiotimer.thermal.form import ball
from studiotimer.thermal.scoop import Scoop, changes_of
from studiotimer.thermal.surroundings import carrying, chilled, cold_store, room
from tests.bdf import BdfBody

ALLOWED_ERROR, WANTED_GAIN = 0.005, 200.0
COUNTS = (1, 3, 10, 30, 60, 100, 300, 1000)

ROOM = room(22.0, 0.45)
PLACES = {
    "LED 2,000 lx, 22 °C": room(22.0, 0.45, parse_light("LED 2000 lx").absorbed("pale")),
    "tungsten 20,000 lx, 24 °C": room(24.0, 0.50, parse_light("tungsten 20000 lx").absorbed("pale")),
    "dry ice, air 6 °C": chilled(ROOM, 6.0),
    "draught 0.5 m/s, 30 °C": room(30.0, 0.70, 0.0, 0.5),
}
HISTORIES = {
    "straight": (),
    "box 20 min, tray 2 min": (Piece(cold_store(-40.0), 1200.0), Piece(ROOM, 120.0)),
    "box 5 min, carried 20 s": (Piece(cold_store(-40.0), 300.0), Piece(carrying(ROOM), 20.0)),
}


def cases() -> list[tuple[str, Case]]:
    """Return 16 named cases across mixes, histories and surroundings."""
    named = []
    for i, (name, mix) in enumerate([*mixes().items(), *list(mixes().items())[:7]]):
        place = list(PLACES)[i % len(PLACES)]
        history = list(HISTORIES)[(i // 2) % len(HISTORIES)]
        start = start_body(mix, advised_freezer_c(mix))
        named.append(
            (f"{name:<13}{history:<25}{place}", Case(mix, ball(0.065), start, HISTORIES[history], PLACES[place]))
        )
    return named


def best(run, times: int = 7) -> float:
    """Return the least seconds of several runs."""
    spans = []
    for _ in range(times):
        begin = time.perf_counter()
        run()
        spans.append(time.perf_counter() - begin)
    return min(spans)


def main() -> int:
    """Print the tables; 1 when an error or a time is not what is wanted."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--no-bdf", action="store_true", help="only the times of the batch solver")
    against_bdf = not parser.parse_args().no_bdf
    named = cases()
    sixty = [named[i % len(named)][1] for i in range(60)]
    per_scoop = best(lambda: slump_times(sixty)) / 60
    good = True
    if against_bdf:
        good = errors_and_gain(named, per_scoop)
    good &= growth([case for _, case in named])
    print(f"\nforecasts of 60 scoops on set, body and edge: {1000 * best(forecasts):.1f} ms")
    print(f"one edge clock: {1e6 * best(one_clock):.0f} µs")
    return 0 if good else 1


def errors_and_gain(named: list[tuple[str, Case]], per_scoop: float) -> bool:
    """Print a row a case; return whether all errors are small and the gain is large enough."""
    print(f"{'mix, history, surroundings':<66}{'BDF s':>9}{'batch s':>9}{'error %':>9}{'BDF took s':>12}")
    found = slump_times([case for _, case in named])
    errors, spans = [], []
    for (name, case), seconds in zip(named, found, strict=True):
        begin = time.perf_counter()
        tight = BdfBody(case).solve()[1]
        spans.append(time.perf_counter() - begin)
        errors.append(seconds / tight - 1)
        print(f"{name:<66}{tight:>9.1f}{seconds:>9.1f}{100 * errors[-1]:>9.2f}{spans[-1]:>12.2f}")
    gain = float(np.median(spans)) / per_scoop
    print(f"largest error {100 * max(map(abs, errors)):.2f} %; at 60 scoops {1000 * per_scoop:.2f} ms a scoop,")
    print(f"{gain:,.0f} times faster than BDF's median {np.median(spans):.2f} s")
    return max(map(abs, errors)) <= ALLOWED_ERROR and gain >= WANTED_GAIN


def growth(few: list[Case]) -> bool:
    """Print time against count; return whether it grows at most linearly."""
    print(f"\n{'scoops':>7}{'ms':>9}{'ms a scoop':>12}")
    each = []
    for count in COUNTS:
        many = [few[i % len(few)] for i in range(count)]
        span = best(lambda many=many: slump_times(many), 5)
        each.append(span / count)
        print(f"{count:>7}{1000 * span:>9.1f}{1000 * span / count:>12.3f}")
    return all(later <= 1.1 * sooner for sooner, later in pairwise(each))


def forecasts() -> None:
    """Forecast 60 scoops of three flavours on set, with their edge clocks made anew."""
    edge_clock.cache_clear()
    wanted = [mixes()[name] for name in ("superpremium", "premium", "regular")]
    changes_of([Scoop(wanted[i % 3], -18.0 + i % 7, PLACES["LED 2,000 lx, 22 °C"]) for i in range(60)])


def one_clock() -> None:
    """Make one edge clock anew."""
    edge_clock.cache_clear()
    edge_clock(mixes()["regular"], PLACES["dry ice, air 6 °C"])


if __name__ == "__main__":
    sys.exit(main())
