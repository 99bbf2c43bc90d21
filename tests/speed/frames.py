"""Time and memory to import frames: `python -m tests.speed.frames [COUNT]` draws that many pictures and wraps them.

It prints each part's time, the most memory the process took over what it had before, and how long the program would
have been deaf at most between two reports of progress.
"""

from __future__ import annotations

import os
import resource
import shutil
import sys
import tempfile
import time
from datetime import timedelta
from pathlib import Path

from studiotimer.places import demo_sessions


def pictures(folder: Path, count: int) -> None:
    """Write `count` JPEGs of a camera's kind over the demo's time: different times, the same 1.5-megapixel picture."""
    from PIL import Image

    from studiotimer.wrap.recorded import load

    session = load(demo_sessions() / "hot_tungsten" / "hot_tungsten.setlog")
    folder.mkdir()
    noise = Image.effect_noise((1500, 1000), 40).convert("RGB")
    exif = Image.Exif()
    inner = exif.get_ifd(0x8769)
    inner[0x9003], inner[0x9291], inner[0x9011] = "2026:06:18 10:50:00", "00", "+00:00"
    noise.save(folder / "first.jpg", quality=70, exif=exif)
    data = (folder / "first.jpg").read_bytes()
    (folder / "first.jpg").unlink()
    for number in range(count):
        at = session.ledger.wall_time(session.begin) + timedelta(seconds=(session.end - session.begin) * number / count)
        taken = f"{at:%Y:%m:%d %H:%M:%S}".encode()
        (folder / f"F{number:05d}.jpg").write_bytes(data.replace(b"2026:06:18 10:50:00", taken, 1))


def peak_mib() -> float:
    """Return the most memory this process ever took [MiB]."""
    unit = 1 if sys.platform == "darwin" else 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit / 2**20


def main(count: int) -> None:
    """Draw the pictures, wrap them, and print what it took."""
    folder = Path(tempfile.mkdtemp(prefix="frames-"))
    try:
        if os.fork() == 0:  # so that drawing them leaves no trace in this process's memory
            pictures(folder / "frames", count)
            os._exit(0)
        os.wait()
        names = sorted(path.name for path in (folder / "frames").iterdir())
        (folder / "selects.csv").write_text("\n".join(names[:: max(count // 240, 1)]))
        size = sum(path.stat().st_size for path in (folder / "frames").iterdir())
        print(f"{count} pictures, {size / 2**20:.0f} MiB")
        _measure(folder)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _measure(folder: Path) -> None:
    from studiotimer.wrap.export import Asked, frames_of, shown_of
    from studiotimer.wrap.recorded import load
    from studiotimer.wrap.report import Gaps
    from studiotimer.wrap.review import review_of
    from studiotimer.wrap.tables import frames_csv
    from studiotimer.wrap.timeline import timeline_of

    review = review_of(load(demo_sessions() / "hot_tungsten" / "hot_tungsten.setlog"))
    before, gaps = peak_mib(), Gaps()
    longest, last = 0.0, time.perf_counter()

    def progress(done: int, total: int) -> bool:
        nonlocal longest, last
        now = time.perf_counter()
        longest, last = max(longest, now - last), now
        return True

    began = time.perf_counter()
    frames = frames_of(review, Asked(frames=(folder / "frames",), selects=folder / "selects.csv"), gaps, progress)
    read = time.perf_counter()
    last = read
    shown = shown_of(frames, gaps, progress)
    small = time.perf_counter()
    table = frames_csv(review, frames)
    timeline = timeline_of(review, frames)
    done = time.perf_counter()
    print(f"times read and frames aged: {read - began:.2f} s ({(read - began) / len(frames) * 1000:.2f} ms a frame)")
    print(f"{len(shown)} thumbnails: {small - read:.2f} s")
    print(
        f"frames.csv ({len(table) / 2**20:.1f} MiB) and the timeline ({len(timeline.frames)} frames): {done - small:.2f} s"
    )
    print(f"memory: {peak_mib() - before:.0f} MiB over {before:.0f} MiB")
    print(f"longest between two reports of progress: {longest * 1000:.0f} ms; left out: {gaps.sentences}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5000)
