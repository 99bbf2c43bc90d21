"""The timeline of 300 scoops and 5,000 frames against one of 30 and 500: `python -m tests.speed.timeline`."""

from __future__ import annotations

import os
import statistics
import time

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

REPAINTS = 40


def repaint_ms(scoops: int, frames: int) -> float:
    """Return the median time of a repaint while it is zoomed and moved [ms]."""
    from studiotimer.window.wrap.view import View
    from tests.window.test_timeline import picture
    from tests.window.timelines import large

    timeline = large(scoops, frames)
    view = View.whole(timeline)
    picture(timeline, view)
    took = []
    for step in range(REPAINTS):
        moved = view.zoomed(1 + step / 4, 20_000).moved(step * 15, step * 5)
        began = time.perf_counter()
        picture(timeline, moved, 1600, 900)
        took.append((time.perf_counter() - began) * 1000)
    return statistics.median(took)


def main() -> None:
    """Print both and their ratio."""
    from studiotimer.window.app import application

    application()
    small, large = repaint_ms(30, 500), repaint_ms(300, 5000)
    print(f"30 scoops, 500 frames {small:.1f} ms; 300 scoops, 5,000 frames {large:.1f} ms; {large / small:.2f} times")


if __name__ == "__main__":
    main()
