"""What a call costs the window in memory: `python -m tests.speed.growth [CALLS]`.

Makes calls by program in the real window, the event loop running, pulls, heroes, frames and looks in turn, on a clock
moved by hand; after as many to warm up, it prints what one call adds: to the process, to what Python and the C library
have in use, and to what the entries alone are.
"""

import argparse
import ctypes
import gc
import os
import re
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from tests.speed.still import still_window

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

WARM, CALLS = 500, 1500
CYCLE = (("pull", {}),) * 3 + (("hero_in", {}), ("frame", {}), ("frame", {}), ("look", {"seen": "sheen"}), ("out", {}),
                               ("out", {}))  # fmt: skip
SIZES = ("arena", "ordblks", "smblks", "hblks", "hblkhd", "usmblks", "fsmblks", "uordblks", "fordblks", "keepcost")


class MallInfo(ctypes.Structure):
    """What glibc says of its heap, in bytes."""

    _fields_ = [(name, ctypes.c_size_t) for name in SIZES]


def python_bytes():
    """Return the bytes of small objects that Python has in use."""
    read, write = os.pipe()
    kept = os.dup(2)
    os.dup2(write, 2)
    os.close(write)
    sys._debugmallocstats()
    os.dup2(kept, 2)
    os.close(kept)
    with os.fdopen(read) as told:
        found = re.search(r"# bytes in allocated blocks +=\s+([\d,]+)", told.read())
    return int(found[1].replace(",", ""))


def sizes():
    """Return the bytes in use: by the process, by Python's small objects, by the C library; and the objects by type."""
    gc.collect()
    libc = ctypes.CDLL("libc.so.6")
    libc.malloc_trim(0)
    libc.mallinfo2.restype = MallInfo
    status = Path("/proc/self/status").read_text(encoding="ascii")
    resident = int(re.search(r"VmRSS:\s+(\d+)", status)[1]) * 1024
    heap = libc.mallinfo2()
    return (
        resident,
        python_bytes(),
        heap.uordblks + heap.hblkhd,
        Counter(type(one).__name__ for one in gc.get_objects()),
    )


def own_bytes(entries):
    """Return what entries are by themselves, each with what only it holds."""
    seen, total, rest = set(), 0, [part for one in entries for part in (one, one.__dict__, one.model_fields_set)]
    while rest:
        one = rest.pop()
        if id(one) in seen:
            continue
        seen.add(id(one))
        total += sys.getsizeof(one)
        if isinstance(one, dict):
            rest += one.values()
        elif isinstance(one, list | tuple):
            rest += one
    return total


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("calls", nargs="?", type=int, default=CALLS)
    calls = parser.parse_args().calls
    app, window, clock = still_window()
    from studiotimer.session.live import new_session
    from tests.window.conftest import PLAN, parse_plan

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "growth.setlog"
        window._run(new_session(path, parse_plan(PLAN), clock))
        entries = window.running.session.ledger.entries
        window.running.call("shot")

        def go_on(until):
            while len(entries) < until:
                for kind, values in CYCLE:
                    clock.advance(8.0)
                    window.running.call(kind, values)
                    app.processEvents()
            end = time.monotonic() + 1.5
            while time.monotonic() < end:
                app.processEvents()
                time.sleep(0.01)

        go_on(WARM)
        first, before, process = len(entries), sizes(), time.process_time()
        go_on(WARM + calls)
        made, after = len(entries) - first, sizes()
        process = time.process_time() - process
        resident, python, heap = ((late - soon) / made / 1024 for soon, late in zip(before[:3], after[:3], strict=True))
        print(f"{made} calls, {process / made * 1000:.0f} ms of the processor each: {resident:.1f} kB each in the process, "
              f"of which {python:.1f} kB Python's small objects, {heap:.1f} kB from the C library; "
              f"its entry is {own_bytes(entries[first:]) / made / 1024:.1f} kB, "
              f"{path.stat().st_size / len(entries) / 1024:.2f} kB in the file")  # fmt: skip
        print(
            "objects a call:",
            ", ".join(f"{name} {count / made:.2f}" for name, count in (after[3] - before[3]).most_common(16)),
        )
        window.close_session()
        window.close()


if __name__ == "__main__":
    main()
