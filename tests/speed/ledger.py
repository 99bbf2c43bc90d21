"""How long a session takes to open and an entry to take, at 1,000 to 20,000 entries: python -m tests.speed.ledger."""

import gc
import random
import statistics
import tempfile
import time
from datetime import timedelta
from pathlib import Path

import psutil

from studiotimer.session.calls.registry import made
from studiotimer.session.live import new_session, open_read_only, open_session
from studiotimer.session.mending import Ledger
from studiotimer.session.reading import read
from tests.session.clocks import HandClock
from tests.session.shoots import BEGAN, SHOT, file_bytes, plan

HOURS_S = 12 * 3600
SCOOPS = 300
ROUNDS = 5
SOME = 400


def twelve_hours(count):
    """Return `count` entries of a long day: 300 scoops pulled, placed and taken out, readings, frames, mends."""
    chance = random.Random(4)
    entries, waiting, on_set, pulled = [], [], [], 0

    def log(kind, tick, **fields):
        at = BEGAN + timedelta(seconds=tick)
        entries.append(made(kind, {"n": len(entries) + 1, "run": 1, "at": at, "tick": round(tick, 6), **fields}))

    log("opened", 0, version="0", machine="laptop")
    log("shot", 1, **SHOT)
    while len(entries) < count:
        tick = 2 + len(entries) * HOURS_S / count
        turn = len(entries) % 20
        if pulled < SCOOPS * len(entries) / count and turn % 4 == 0:
            pulled += 1
            waiting.append(pulled)
            log("pull", tick, scoop=pulled, flavour="vanilla", to="box")
        elif turn in (2, 7) and waiting:
            on_set.append(waiting.pop(0))
            log("hero_in", tick, scoops=[on_set[-1]], flavours=["vanilla"], spots=["centre"], shot="coupe")
        elif turn in (5, 12) and on_set:
            log("out", tick, scoops=[on_set.pop(0)], why="gone")
        elif turn in (3, 9, 15):
            log("reading", tick, what=chance.choice(["air_c", "humidity", "lux"]), value=chance.random())
        elif turn == 6:
            log("top_up", tick, mass_kg=0.5, form="slab", where="set")
        elif turn == 11:
            last = entries[-1]
            log("note", tick, text="good texture")
            log("amend", tick, entry=last.n if last.mendable else len(entries), change={"tick": tick - 1})
        elif turn == 17:
            log("lamp", tick, on=bool(chance.getrandbits(1)))
        else:
            log("frame", tick, name=f"IMG_{len(entries):05d}.CR3", shot="coupe")
    return entries


def best_of(work):
    """Return the shortest of a few rounds, in seconds."""
    times = []
    for _ in range(ROUNDS):
        gc.collect()
        began = time.perf_counter()
        work()
        times.append(time.perf_counter() - began)
    return min(times)


def cost_of_an_entry(session, kind, given):
    """Return the median and 99th percentile of a call, in milliseconds, without the disk."""
    times = []
    for number in range(SOME):
        session.clock.advance(1.0)
        began = time.perf_counter()
        outcome = session.call(kind, given(number))
        times.append((time.perf_counter() - began) * 1000)
        assert outcome.entry is not None, outcome.refused
    return statistics.median(times), statistics.quantiles(times, n=100)[98]


def cost_of_opening(path):
    """Return the seconds to read, to fold, and to do both and open, and the memory held [MiB]."""
    gc.collect()
    before = psutil.Process().memory_info().rss
    held = read(path)
    ledger = Ledger.of(held.entries)
    memory = (psutil.Process().memory_info().rss - before) / 2**20
    assert ledger.entries == list(held.entries)
    folding = best_of(lambda: Ledger.of(held.entries))
    return best_of(lambda: read(path)), folding, best_of(lambda: open_read_only(path)), memory


def measured(path, count):
    """Return the figures of a session of `count` entries, one row of the table."""
    clock = HandClock()
    if count:
        path.write_bytes(file_bytes(twelve_hours(count), plan=plan().snapshot()))
    else:
        assert new_session(path, plan(), clock).close()
    opening = cost_of_opening(path)
    clock.advance(HOURS_S)
    session = open_session(path, clock)
    call = cost_of_an_entry(session, "reading", lambda n: {"what": "lux", "value": float(n)})
    last = session.ledger.entries[-1].n
    amend = cost_of_an_entry(session, "amend", lambda n: {"entry": last - n, "change": {"value": n / SOME}})
    assert session.close(30)
    return [count, *opening, *call, *amend]


def main():
    """Print the table."""
    names = ["entries", "read s", "fold s", "open s", "MiB", "call ms", "p99", "amend ms", "p99"]
    print("".join(f"{name:>9}" for name in names))
    with tempfile.TemporaryDirectory() as folder:
        for count in (0, 1_000, 5_000, 20_000):
            figures = measured(Path(folder) / f"{count}.setlog", count)
            print(f"{figures[0]:>9}" + "".join(f"{figure:9.3f}" for figure in figures[1:]))


if __name__ == "__main__":
    main()
