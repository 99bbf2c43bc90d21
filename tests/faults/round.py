"""Every fault that is tried, one line each: `python -m tests.faults.round`.

A fault is a test marked `@pytest.mark.fault("what goes wrong, in plain words")`, wherever under tests/ it stands; each
case of a parametrised one counts, and the words may name its parameters: `fault("the disk says {number}")`. What needs
root, FUSE or a program that is not installed says so where it is skipped.
"""

import argparse
import contextlib
import io
import sys
from collections import Counter
from pathlib import Path

import pytest

TESTS = Path(__file__).parents[1]
SURVIVED, NOT, SKIPPED = "survived", "NOT SURVIVED", "skipped"


class Round:
    """What became of each fault, told as soon as it is known; a plugin of pytest."""

    def __init__(self, tell):
        self._tell = tell
        self._words = {}
        self._outcome = {}
        self.why = {}
        """What a fault that was not survived did, by its words."""

    @property
    def counts(self):
        return Counter(self._outcome.values())

    @property
    def totals(self):
        count = self.counts
        tried = count[SURVIVED] + count[NOT]
        return f"{tried} faults tried: {count[SURVIVED]} survived, {count[NOT]} not; {count[SKIPPED]} skipped"

    def pytest_collection_finish(self, session):
        for item in session.items:
            self._words[item.nodeid] = _words(item)

    def pytest_runtest_logreport(self, report):
        words, before = self._words[report.nodeid], self._outcome.get(report.nodeid, SURVIVED)
        if report.failed:
            self._outcome[report.nodeid] = NOT
            self.why[words] = report.longreprtext
        elif report.skipped and before == SURVIVED:
            self._outcome[report.nodeid] = SKIPPED
            words = self._words[report.nodeid] = f"{words}: {_reason(report)}"
        else:
            self._outcome[report.nodeid] = before
        if report.when == "teardown":
            self._tell(f"{self._outcome[report.nodeid]:12}  {words}")


def _words(item):
    """Return what a fault is called, its case told apart."""
    words = item.get_closest_marker("fault").args[0]
    if not hasattr(item, "callspec"):
        return words
    return words.format(**item.callspec.params) if "{" in words else f"{words} ({item.callspec.id})"


def _reason(report):
    return report.longrepr[2].removeprefix("Skipped: ") if isinstance(report.longrepr, tuple) else "expected to fail"


def run(tell, where=TESTS):
    """Try every fault under `where` and return the round."""
    found = Round(tell)
    quiet = io.StringIO()
    with contextlib.redirect_stdout(quiet):
        status = pytest.main(["-m", "fault", "-q", "-p", "no:cacheprovider", str(where)], plugins=[found])
    if status not in (pytest.ExitCode.OK, pytest.ExitCode.TESTS_FAILED):
        sys.exit(f"the faults could not be tried: {quiet.getvalue()}")
    return found


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("where", nargs="?", default=TESTS, help="only the faults below this path")
    out = sys.stdout
    found = run(lambda words: print(words, file=out, flush=True), parser.parse_args().where)
    for words, why in found.why.items():
        print(f"\n{words}:\n{why}")
    print(found.totals)
    return 1 if found.why else 0


if __name__ == "__main__":
    sys.exit(main())
