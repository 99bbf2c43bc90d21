"""`studiotimer life` against importing numpy, in process time: `python -m tests.speed.life`.

Both are run in turn, many times, and the medians are compared: other work on the machine meets both alike.
"""

import os
import resource
import statistics
import subprocess
import sys

RUNS = 25
WANTED = 2.5
NUMPY = ["-c", "import numpy"]
LIFE = ["-m", "studiotimer", "life", "--mix", "premium", "--from=-16C", "--room", "22C", "--light", "LED 2000 lx"]


def seconds(arguments):
    """Return the seconds of the processor, user and system, that Python takes with these arguments."""
    environment = {**os.environ}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)  # on a person's machine the program is compiled once
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, *arguments], env=environment, check=True, stdout=subprocess.DEVNULL)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime


def main():
    runs = [(seconds(NUMPY), seconds(LIFE)) for _ in range(RUNS + 1)][1:]  # the first compiles
    numpy, life = (statistics.median(column) for column in zip(*runs, strict=True))
    print(f"import numpy {numpy:.3f} s, life {life:.3f} s: {life / numpy:.2f} times (wanted: at most {WANTED:g})")


if __name__ == "__main__":
    main()
