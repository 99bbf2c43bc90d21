"""`python -m tests.scenes OUT [--only N]`: play the scenes, each with its pictures in the folder OUT."""

import argparse
import sys
import tempfile
import time
from pathlib import Path

from tests.scenes.house import house, lacking
from tests.scenes.listed import SCENES
from tests.scenes.played import load, play


def main(argv):
    """Play the scenes that are asked for; return how many failed."""
    load()
    parser = argparse.ArgumentParser(prog="python -m tests.scenes", description=__doc__)
    parser.add_argument("out", type=Path, help="the folder for the pictures")
    parser.add_argument("--only", type=int, metavar="N", choices=range(1, len(SCENES) + 1), help="play scene N alone")
    options = parser.parse_args(argv)
    if (why := lacking()) is not None:
        print(f"skipped: {why}")
        return 0
    options.out.mkdir(parents=True, exist_ok=True)
    failed = 0
    with tempfile.TemporaryDirectory() as folder, house(Path(folder)) as opened:
        for number, one in enumerate(SCENES, 1):
            if options.only in (None, number):
                began = time.monotonic()
                wrong = play(one, opened, options.out)
                failed += wrong is not None
                print(f"{number:2} {one.shows} ({time.monotonic() - began:.1f} s)" + (f": {wrong}" if wrong else ""))
    return failed


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
