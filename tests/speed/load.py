"""The real window under load: `python -m tests.speed.load`.

Opens sessions of 1,000 to 20,000 entries in the real program on a virtual screen and prints how long opening takes
and what a tick costs; then makes 50 calls a second for a minute through the call socket into the largest, and prints
whether every entry is there, how long the answers took, and how the memory went.
"""

import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import psutil

from studiotimer.session.peer import send_call
from studiotimer.session.reading import read
from studiotimer.session.verifying import verify
from tests.screens import screen
from tests.session.long_day import HOURS_S, long_day
from tests.session.shoots import file_bytes, plan

SIZES = (1_000, 5_000, 20_000)
PEERS = 16
A_SECOND, WANTED_OPEN_S, WANTED_GROWTH = 50, 0.5, 0.10

WATCHED = """
import json, sys, time
began = time.perf_counter()
from pathlib import Path
from PySide6.QtCore import QTimer
from studiotimer.window import app, main
from studiotimer.window.set.page import SetPage

ticks, refreshes, opened = [], [], []

def timed(method, times):
    def wrapped(self, *rest):
        began = time.perf_counter()
        result = method(self, *rest)
        times.append((time.perf_counter() - began) * 1000)
        return result
    return wrapped

SetPage.tick = timed(SetPage.tick, ticks)
SetPage.refresh = timed(SetPage.refresh, refreshes)
main.MainWindow.open_file = timed(main.MainWindow.open_file, opened)
def write():
    window = next(one for one in app.application().topLevelWidgets() if isinstance(one, main.MainWindow))
    ready = bool(window.running is not None and window.running.forecast is not None)
    figures = {"opened_ms": opened, "ticks": ticks[:], "refreshes": refreshes[:], "ready": ready}
    target = Path(sys.argv[2])
    target.with_suffix(".new").write_text(json.dumps(figures))
    target.with_suffix(".new").replace(target)

app.application()
often = QTimer()
often.timeout.connect(write)
often.start(500)
raise SystemExit(app.run(Path(sys.argv[1])))
"""


def write_day(path, count):
    """Write a session of `count` entries that ends a minute ago."""
    path.write_bytes(
        file_bytes(long_day(count, datetime.now(UTC) - timedelta(seconds=HOURS_S + 60)), plan=plan().snapshot())
    )


@contextmanager
def window(display, path, home):
    """Run the real program on a session, and give its process and what it measured so far."""
    names = ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_RUNTIME_DIR", "HOME")
    environment = {**os.environ, **dict.fromkeys(names, str(home)), "DISPLAY": display, "QT_QPA_PLATFORM": "xcb"}
    os.environ["XDG_RUNTIME_DIR"] = str(home)
    figures = Path(home) / "figures.json"
    figures.unlink(missing_ok=True)
    process = subprocess.Popen([sys.executable, "-c", WATCHED, str(path), str(figures)], env=environment)

    def measured():
        return json.loads(figures.read_text()) if figures.exists() else {"ready": False}

    end = time.monotonic() + 60
    while not measured()["ready"]:
        assert process.poll() is None
        assert time.monotonic() < end, "the window did not come to a forecast in a minute"
        time.sleep(0.1)
    try:
        yield process, measured
    finally:
        process.terminate()
        process.wait(60)


def percentile(values, share):
    ordered = sorted(values)
    return ordered[min(int(len(ordered) * share), len(ordered) - 1)]


def in_words(values):
    return f"median {statistics.median(values):6.2f} ms, 99 % {percentile(values, 0.99):6.2f} ms"


def opening(display, folder):
    """Print what opening and ticking cost, by number of entries."""
    for count in SIZES:
        path = folder / f"{count}.setlog"
        write_day(path, count)
        with window(display, path, folder) as (process, measured):
            before = len(measured()["ticks"])
            time.sleep(5.0)
            figures = measured()
            memory = psutil.Process(process.pid).memory_info().rss / 2**20
        print(
            f"{count:6} entries: opened in {figures['opened_ms'][0] / 1000:5.2f} s (wanted: {WANTED_OPEN_S} at 20,000); "
            f"tick {in_words(figures['ticks'][before:])}; refresh {in_words(figures['refreshes'])}; {memory:.0f} MiB",
            flush=True,
        )


def load(display, folder, seconds):
    """Make 50 calls a second for a while through the socket, and print what became of them."""
    path = folder / "load.setlog"
    write_day(path, SIZES[-1])
    before = len(read(path).entries)
    answers, times, lock = [], [], threading.Lock()

    def one(number):
        began = time.perf_counter()
        kind, fields = ("reading", {"what": "lux", "value": float(number)}) if number % 2 else (
            "note", {"text": f"load {number}"})  # fmt: skip
        answer = send_call(kind, fields)
        with lock:
            times.append((time.perf_counter() - began) * 1000)
            answers.append((answer.get("n"), number))

    with window(display, path, folder) as (process, measured), ThreadPoolExecutor(PEERS) as peers:
        held = psutil.Process(process.pid)
        ticked = len(measured()["ticks"])
        memory, calls = [], []
        began = time.perf_counter()
        used = held.cpu_times()
        for number in range(seconds * A_SECOND):
            time.sleep(max(began + number / A_SECOND - time.perf_counter(), 0.0))
            calls.append(peers.submit(one, number))
            if number % A_SECOND == 0:
                memory.append(held.memory_info().rss / 2**20)
        for call in calls:
            call.result()
        took = time.perf_counter() - began
        cpu = held.cpu_times()
        time.sleep(1.0)
        figures = measured()
    entries = read(path).entries
    logged = [one for one in entries[before:] if one.kind in ("note", "reading")]
    lost = len(answers) - len(logged)
    right = all(entries[n - 1].n == n for n, _ in answers)
    settled = memory[len(memory) // 6 :]
    growth = (max(settled) - min(settled)) / min(settled)
    print(f"{len(answers)} calls in {took:.1f} s: {lost} lost, numbers {'right' if right else 'WRONG'}, "
          f"file {verify(path).state}")  # fmt: skip
    print(f"answers: {in_words(times)}; ticks meanwhile {in_words(figures['ticks'][ticked:])}; "
          f"refresh {in_words(figures['refreshes'])}")  # fmt: skip
    print(f"processor: {100 * (cpu.user + cpu.system - used.user - used.system) / took:.0f} %")
    print(f"memory: {memory[0]:.0f} MiB at first, {settled[0]:.0f} after {len(memory) // 6} s, {memory[-1]:.0f} at the "
          f"end, {100 * growth:.1f} % between (wanted: at most {100 * WANTED_GROWTH:.0f} %)")  # fmt: skip
    return lost == 0 and right and growth <= WANTED_GROWTH


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--seconds", type=int, default=60, help="how long to make 50 calls a second")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder, screen() as display:
        opening(display, Path(folder))
        raise SystemExit(0 if load(display, Path(folder), options.seconds) else 1)


if __name__ == "__main__":
    main()
