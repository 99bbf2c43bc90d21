"""What of the program each test runs, and how long that takes, recorded a test file at a time: for `tests.mutants`."""

import functools
import hashlib
import json
import multiprocessing
import multiprocessing.connection
import os
import resource
import signal
import sys
import tempfile
import time
from collections import Counter, defaultdict
from pathlib import Path

import coverage
import pytest

ROOT = Path(__file__).parents[1]
KEPT = Path(tempfile.gettempdir(), f"studiotimer-mutants-{hashlib.sha256(str(ROOT).encode()).hexdigest()[:8]}")
RECORDING_S, PATIENCE_S = 600, 900
"""How much of a processor a recording may take, and how long any work that waits for something."""
BROKEN = 70
OPTIONS = ("-q", "-p", "no:cacheprovider", "-W", "ignore:Module already imported:pytest.PytestAssertRewriteWarning")
FORK = multiprocessing.get_context("fork")
TESTS = ("tests/session", "tests/thermal", "tests/trial", "tests/outside", "tests/test_mixes.py")


def named(fixture):
    """Return the name of a fixture that no other has, nor a test."""
    return f"{fixture.baseid}::fixture {fixture.argname}"


def forget():
    """Empty what the program's functions keep of their answers, so that a test runs itself all that it rests on."""
    for name, module in list(sys.modules.items()):
        if name.partition(".")[0] == "studiotimer":
            for one in vars(module).values():
                if isinstance(one, functools._lru_cache_wrapper):
                    one.cache_clear()


def path_of(module):
    return Path("studiotimer", *module.split(".")).with_suffix(".py")


class Quick:
    """A plugin of pytest that has hypothesis stop where something fails, and remember nothing of it."""

    def pytest_configure(self):
        from hypothesis import Phase, settings

        settings.register_profile("mutants", database=None, phases=(Phase.explicit, Phase.generate))
        settings.load_profile("mutants")


class Recorded(Quick):
    """A plugin of pytest that records how long each test takes and which lines it runs."""

    def __init__(self):
        self.seen = coverage.Coverage(source=[str(ROOT / "studiotimer")], data_file=None, config_file=False)
        self.seconds, self.passed = Counter(), set()
        self.users: defaultdict[str, set[str]] = defaultdict(set)
        """Which tests have a fixture that several share: what it runs as it is made, each of them runs."""

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef, request):
        if fixturedef.scope == "function":
            return (yield)
        self.seen.switch_context(named(fixturedef))
        try:
            return (yield)
        finally:
            self.seen.switch_context(request._pyfuncitem.nodeid)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item):
        for found in item._fixtureinfo.name2fixturedefs.values():
            self.users[named(found[-1])].add(item.nodeid)
        forget()
        self.seen.switch_context(item.nodeid)
        began = time.process_time()
        yield
        self.seconds[item.nodeid] = time.process_time() - began
        self.seen.switch_context("")
        return True

    def pytest_runtest_logreport(self, report):
        if report.when == "call" and report.passed:
            self.passed.add(report.nodeid)

    def lines(self, modules):
        """Return by module and line the tests that run it."""
        data, found = self.seen.get_data(), {}
        for module in modules:
            by_line = data.contexts_by_lineno(str(ROOT / path_of(module)))
            ran = {line: set(who).union(*(self.users.get(one, ()) for one in who)) for line, who in by_line.items()}
            tests = {line: sorted(self.passed & who) for line, who in ran.items()}
            if any(tests.values()):
                found[module] = tests
        return found


def alone(work, given, most_cpu_s):
    """Begin `work` in a process of its own that says nothing; its tests keep nothing of it either."""

    def begun():
        os.setsid()
        resource.setrlimit(resource.RLIMIT_CPU, (most_cpu_s, most_cpu_s))
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, 1)
        os.dup2(nowhere, 2)
        code = BROKEN
        try:
            with tempfile.TemporaryDirectory(prefix="mutant-") as folder:
                code = work(*given, [*OPTIONS, f"--basetemp={folder}/tests"])
        finally:
            os._exit(code)

    process = FORK.Process(target=begun)
    process.start()
    return process


def many(works, at_once):
    """Do each (work, given, seconds of processor) in a process of its own; yield the number of each and its exit code."""
    left, running = list(enumerate(works))[::-1], {}
    while left or running:
        while left and len(running) < at_once:
            number, one = left.pop()
            running[number] = alone(*one), time.monotonic() + PATIENCE_S
        multiprocessing.connection.wait([process.sentinel for process, _ in running.values()], timeout=1.0)
        for number, (process, until) in list(running.items()):
            if process.is_alive() and time.monotonic() < until:
                continue
            if process.is_alive():
                os.killpg(process.pid, signal.SIGKILL)
            process.join()
            del running[number]
            yield number, process.exitcode


def digest(path):
    return hashlib.sha256((ROOT / path).read_bytes()).hexdigest()


def record(path, modules, kept, options):
    """Run a test file and keep what its tests run."""
    plugin = Recorded()
    plugin.seen.start()
    code = pytest.main([*options, str(path)], plugins=[plugin])
    plugin.seen.stop()
    lines = plugin.lines(modules)
    of = {str(one): digest(one) for one in (path, *map(path_of, lines))}
    kept.write_text(json.dumps({"of": of, "seconds": plugin.seconds, "lines": lines}), "utf-8")
    return int(code)


def known(modules, at_once):
    """Return what is recorded of every test file, recorded anew where it or what it runs has changed."""
    files = sorted(one.relative_to(ROOT) for path in TESTS for one in [ROOT / path, *(ROOT / path).glob("test_*.py")])
    files = [path for path in files if path.suffix == ".py"]
    KEPT.mkdir(exist_ok=True)
    kept = {path: KEPT / f"{'-'.join(path.with_suffix('').parts)}.json" for path in files}
    stale = []
    for path, one in kept.items():
        try:
            good = all(digest(of) == was for of, was in json.loads(one.read_text("utf-8"))["of"].items())
        except (OSError, ValueError):
            good = False
        if not good:
            stale.append(path)
    for number, code in many([(record, (path, modules, kept[path]), RECORDING_S) for path in stale], at_once):
        print(f"recorded {stale[number]}{' (not all of it passes)' * bool(code)}", flush=True)
    return [json.loads(one.read_text("utf-8")) for one in kept.values() if one.exists()]
