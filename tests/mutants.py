"""Changes the code in small wrong ways, one at a time, and counts how many of them the tests notice.

    python -m tests.mutants                        # the named ones: each was once missed by the tests
    python -m tests.mutants --sample 16 --seed 1   # so many of each part, drawn, besides
    python -m tests.mutants --only cues --sample 60

First it records, a test file at a time, which test runs which line (`tests.covered`; kept in the system's folder of
temporary files until a file changes). Then it reads all tests once, and tries each mutant in a fork of that: against the
tests that run its line, those of its own file and then of its own folder first, of these the quickest, no longer than
`LONGEST_S` of them. A function is changed where it lies; what runs on import has the program imported anew. A mutant
counts as noticed when a test fails, or does not come to an end. What fails is run once more at the end without any
mutant: it must pass. What is left is printed, to be read; what was read and changes nothing that can be seen is in
`tests/judged_mutants.py`, counted apart.
"""

import argparse
import ast
import copy
import functools
import gc
import importlib.machinery
import importlib.util
import inspect
import json
import os
import random
import sys
import tempfile
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from types import CodeType, FunctionType

import pytest

from tests.covered import OPTIONS, ROOT, TESTS, Quick, known, many, path_of
from tests.judged_mutants import JUDGED

LONGEST_S, MOST_S, SLOW_S = 20.0, 90, 1.0
"""How many seconds of tests a mutant is tried against, how many its process has, and how many a slow test takes."""
HOLDS = {"session": ("tests/session",), "trial": ("tests/trial",), "thermal": ("tests/thermal", "tests/outside")}
"""Which tests a room of the program is held by."""
PASSED, FAILED = (0, 5), (1, 2)
"""Exit codes of pytest: none failed, or none was left to run; some failed, or could not be imported."""
PARTS = {
    "state": "session.state",
    "mending": "session.mending",
    "journal": "session.journal",
    "reading": "session.reading session.first_lines session.titles",
    "cues": "session.cues session.placing session.lining session.pulling",
    "forecast": "session.forecast session.countdowns",
    "learning": "session.learning",
    "trial days": "trial.answer trial.days trial.figures trial.helps trial.luck trial.spans",
    "trial crew": "trial.crew trial.policies trial.rehearsed trial.rehearsing trial.tally trial.truth",
    "thermal air": "thermal.air thermal.charge thermal.co2 thermal.dryice thermal.light thermal.plate thermal.surroundings",
    "thermal mix": "thermal.depression thermal.firmness thermal.freezing thermal.label thermal.material thermal.mix "
    "thermal.properties thermal.structure thermal.stuff thermal.tub",
    "thermal scoop": "thermal.bands thermal.body thermal.criteria thermal.drain thermal.edge thermal.form thermal.grid "
    "thermal.horizon thermal.lookup thermal.ruffle thermal.scoop thermal.tridiagonal",
    "mixes": "mix_table mixes",
    "thermal set": "thermal.foot thermal.layer thermal.learn thermal.melting thermal.pack thermal.sauce",
}  # fmt: skip
MIXES = 'resource("mixes.json").read_text(encoding="utf-8")'
NAMED = (
    ("a change seen is ignored", "session/forecast.py", "        if name in seen:\n", "        if name in ():\n"),
    ("the slump of waiting scoops is divided by the pace", "session/forecast.py", "row * life.origin.slowing[1]", "row / life.origin.slowing[1]"),
    ("of a look after several stretches on set only the last counts", "session/learning.py", "        passed += one.seconds\n", "        passed = one.seconds\n"),
    ("a top-up is cued while the window runs", "session/cues.py", "shooting_until if math.isfinite(shooting_until) else desk.at, again", "desk.at, again"),
    ("the last resort is the farthest cue", "session/cues.py", "later = min(found", "later = max(found"),
    ("a hero counts before it is dressed", "session/forecast.py", "    ready = scoop.since + looked.dressing_s\n", "    ready = scoop.since\n"),
    ("a scoop moves to the tray as if nobody dressed it", "session/forecast.py", "(there, looked.dressing_s)", "(there, 0.0)"),
    ("low-fat counts as a mix without a network", "mix_table.py", MIXES, MIXES + """.replace('90,\\n     "network": 0.50', '90, "network": 0.0')"""),
    ("nonfat counts as strong as economy", "mix_table.py", MIXES, MIXES + """.replace('85,\\n     "network": 0.30', '85, "network": 0.8')"""),
    ("pellets have the area of a slab", "thermal/dryice.py", '"pellets": 12.0', '"pellets": 6.0'),
)  # fmt: skip
SWAPS = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.Add: ast.Sub, ast.Sub: ast.Add,
    ast.Mult: ast.Div, ast.Div: ast.Mult, ast.And: ast.Or, ast.Or: ast.And,
}  # fmt: skip
GUARDS = {"strict", "slots", "frozen", "maxsize", "stacklevel"}
"""Arguments that guard against a programmer's slip, or only cost or save time."""
ONLY_TIME = {"_thin", "_CHECKPOINT_EVERY"}
"""Functions and names of `session.mending` that only say which states are kept, so that less is folded again."""


@dataclass(frozen=True)
class Mutant:
    """A module, what was done to it on which line, and its code then."""

    module: str
    line: int
    words: str
    tree: ast.Module

    def __str__(self):
        return f"{self.module} line {self.line}: {self.words}"

    @property
    def judged(self):
        """Why it changes nothing that can be seen, where it was read and found so; None where it was not."""
        return JUDGED.get((self.module, source(self.module)[self.line - 1].strip(), self.words))


@functools.cache
def source(module):
    """Return the lines of a module."""
    return (ROOT / path_of(module)).read_text("utf-8").splitlines()


def unseen(tree) -> Iterator[ast.AST]:
    """Yield what is not run, or whose change nobody can see: annotations, guards, what only a type checker reads or saves time."""
    for node in ast.walk(tree):
        for what in ("annotation", "returns"):
            if getattr(node, what, None) is not None:
                yield getattr(node, what)
        if isinstance(node, ast.keyword) and node.arg in GUARDS:
            yield node
        if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
            yield node
        if isinstance(node, ast.FunctionDef) and node.name in ONLY_TIME:
            yield node
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) in ONLY_TIME:
            yield node


def places(tree) -> Iterator[tuple[ast.AST, str]]:
    """Yield each node that can be changed, with how."""
    still = {id(one) for node in unseen(tree) for one in ast.walk(node)}
    for node in ast.walk(tree):
        if id(node) in still:
            continue
        if isinstance(node, ast.Compare) and type(node.ops[0]) in SWAPS:
            yield node, "compare"
        elif isinstance(node, ast.BinOp | ast.AugAssign | ast.BoolOp) and type(node.op) in SWAPS:
            yield node, "operator"
        elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
            yield node, "sign"
        elif isinstance(node, ast.Constant) and type(node.value) in (int, float, bool):
            yield node, "constant"
        elif isinstance(node, ast.If | ast.IfExp | ast.While):
            yield node, "condition"


def changed(node, how):
    """Change a node in place."""
    if how == "compare":
        node.ops[0] = SWAPS[type(node.ops[0])]()
    elif how == "operator":
        node.op = SWAPS[type(node.op)]()
    elif how == "sign":
        node.op = ast.UAdd() if isinstance(node.op, ast.USub) else ast.Not()
        if isinstance(node.op, ast.Not):
            node.operand = ast.UnaryOp(ast.Not(), node.operand)
    elif how == "constant":
        node.value = (
            not node.value
            if isinstance(node.value, bool)
            else node.value * 1.5
            if isinstance(node.value, float) and node.value
            else node.value + 1
        )
    else:
        node.test = ast.UnaryOp(ast.Not(), node.test)


def drawn(part, count, dice):
    """Return so many mutants of a part, or as many as it has."""
    trees = {module: ast.parse((ROOT / path_of(module)).read_text("utf-8")) for module in PARTS[part].split()}
    every = [(module, index) for module, tree in trees.items() for index, _ in enumerate(places(tree))]
    for module, index in sorted(dice.sample(every, min(count, len(every)))):
        tree = copy.deepcopy(trees[module])
        node, how = list(places(tree))[index]
        line, before = node.lineno, ast.unparse(node).split("\n")[0]
        changed(node, how)
        after = ast.unparse(node).split("\n")[0]
        yield Mutant(module, line, f"{how}: {before}  ->  {after}", ast.fix_missing_locations(tree))


def named():
    """Return the mutants that have a name; each stands in the code as it is written here."""
    for words, path, before, after in NAMED:
        text = (ROOT / "studiotimer" / path).read_text("utf-8")
        assert before in text, f"{path} no longer has {before!r}: name that mutant anew"
        module = path.removesuffix(".py").replace("/", ".")
        line = text[: text.index(before)].count("\n") + 1
        yield Mutant(module, line, words, ast.parse(text.replace(before, after)))


class Changed(importlib.machinery.SourceFileLoader):
    """Loads a module as its mutant."""

    def __init__(self, mutant):
        super().__init__(f"studiotimer.{mutant.module}", str(ROOT / path_of(mutant.module)))
        self.tree = mutant.tree

    def get_code(self, fullname):
        """Return what is run for the module."""
        return compile(self.tree, self.path, "exec")

    def find_spec(self, name, *_):
        """Return how the module is found: here."""
        return importlib.util.spec_from_file_location(name, self.path, loader=self) if name == self.name else None


class Chosen(Quick):
    """A plugin of pytest that runs the tests with these names, in their order, and keeps the first that fails."""

    def __init__(self, names):
        self.place = {name: number for number, name in enumerate(names)}
        self.failed: list[str] = []

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items):
        items[:] = sorted((one for one in items if one.nodeid in self.place), key=lambda one: self.place[one.nodeid])

    def pytest_runtest_logreport(self, report):
        if report.failed:
            self.failed.append(report.nodeid)


def file_word(name):
    """Return what the file of a test is named for."""
    return Path(name.split("::")[0]).stem.removeprefix("test_")


def tests_of(mutant, records):
    """Return the names of the tests that run a mutant's line; where that runs on import, its module or what imports it.

    Those in the module's own file come first, the slow ones apart, then those of its own folders, of each the quickest.
    Of what runs on import the files of what imports it are its own too: a test of a constant runs no line.
    """
    seconds, here, anywhere = {}, set(), set()
    for one in records:
        seconds |= one["seconds"]
        lines = one["lines"].get(mutant.module, {})
        here.update(lines.get(str(mutant.line), ()))
        anywhere.update(*lines.values())
    room, _, word = mutant.module.rpartition(".")
    words = [word]
    if not here:
        asked = f"studiotimer.{mutant.module} import"
        users = [one for one in " ".join(PARTS.values()).split() if asked in "\n".join(source(one))]
        anywhere.update(*(who for one in records for user in users for who in one["lines"].get(user, {}).values()))
        words += [user.rpartition(".")[2] for user in users]
        anywhere.update(name for name in seconds if file_word(name) in words)
    names, passed = [], 0.0
    folders = HOLDS.get(room, ())

    def order(name):
        return file_word(name) not in words or seconds[name] > SLOW_S, not name.startswith(folders), seconds[name]

    for name in sorted(here or anywhere, key=order):
        passed += seconds[name]
        if passed > LONGEST_S and names:
            break
        names.append(name)
    return names


def bodies(code) -> Iterator[CodeType]:
    """Yield the code of a module's functions and methods, those within them not apart."""
    for one in code.co_consts:
        if isinstance(one, CodeType):
            if one.co_flags & inspect.CO_OPTIMIZED:
                yield one
            else:
                yield from bodies(one)


def changed_in_place(mutant):
    """Change the one function a mutant differs in, wherever it is known; return whether there is one."""
    path = str(ROOT / path_of(mutant.module))
    was, now = (bodies(compile(one, path, "exec")) for one in (Path(path).read_text("utf-8"), mutant.tree))
    other = [(old, new) for old, new in zip(was, now, strict=True) if old != new]
    if len(other) != 1:
        return False
    ((old, new),) = other
    every = gc.get_objects()
    found = [one for one in every if isinstance(one, FunctionType) and one.__code__ == old]
    for one in found:
        one.__code__ = new
    for one in every:
        if isinstance(one, functools._lru_cache_wrapper) and one.__module__.startswith("studiotimer"):
            one.cache_clear()
    return bool(found)


def tried(mutant, items, told, options):
    """Run tests with a mutant in the place of its module; without one where there is none. Return pytest's exit code."""
    plugin = Chosen([item.nodeid for item in items])
    if mutant is None or changed_in_place(mutant):
        plugins = items[0].config.pluginmanager
        plugins.unregister(name="terminalreporter")
        plugins.register(plugin)
        for item, following in zip(items, [*items[1:], None], strict=True):
            item.ihook.pytest_runtest_protocol(item=item, nextitem=following)
            if plugin.failed and mutant:
                break
        code = int(bool(plugin.failed))
    else:
        for name in list(sys.modules):
            if name.partition(".")[0] in ("studiotimer", "tests"):
                del sys.modules[name]
        sys.meta_path.insert(0, Changed(mutant))
        files = sorted({item.nodeid.split("::")[0] for item in items})
        try:
            code = int(pytest.main([*options, "-x", *files], plugins=[plugin]))
        except Warning:  # pytest raises at its very end what was left open
            code = 1
    told.write_text(json.dumps(plugin.failed), "utf-8")
    return code


class Trial(Quick):
    """A plugin of pytest that tries mutants in the place of running the tests it has read."""

    def __init__(self, mutants, records, at_once):
        self.mutants, self.records, self.at_once = mutants, records, at_once
        self.seen: dict[int, bool] = {}

    def pytest_runtestloop(self, session):
        session.config._tmp_path_factory.getbasetemp()
        by_name = {item.nodeid: item for item in session.items}
        choice = [[by_name[name] for name in tests_of(one, self.records) if name in by_name] for one in self.mutants]
        killers = set()
        with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
            told = [Path(folder, str(number)) for number in range(len(self.mutants) + 1)]
            works = [(tried, given, MOST_S) for given in zip(self.mutants, choice, told, strict=False) if given[1]]
            numbers = [number for number, items in enumerate(choice) if items]
            self.seen = dict.fromkeys(range(len(choice)), False)
            for number, items in enumerate(choice):
                if not items:
                    print(f"missed  {self.mutants[number]}  (no test runs it)", flush=True)
            for index, code in many(works, self.at_once):
                number = numbers[index]
                words = self.mutants[number].words
                assert code in (*PASSED, *FAILED) or code < 0, f"pytest itself failed ({code}) with {words}"
                self.seen[number] = code not in PASSED
                if not self.seen[number]:
                    print(f"missed  {self.mutants[number]}  {self.mutants[number].judged or ''}", flush=True)
                if told[number].exists():
                    killers.update(json.loads(told[number].read_text("utf-8")))
            control = (None, [by_name[name] for name in sorted(killers & by_name.keys())], told[-1])
            for _, code in many([(tried, control, 600)] if control[1] else [], 1):
                print(f"\nwithout any mutant fail, too: {told[-1].read_text('utf-8')}" if code else "", flush=True)
        return True


def main():
    asked = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    asked.add_argument("--sample", type=int, default=0, help="how many drawn mutants of each part; example: 16")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--only", default="", help="only parts whose names begin so, by commas; example: thermal,cues")
    asked.add_argument("--at-once", type=int, default=os.cpu_count())
    given = asked.parse_args()
    os.environ |= {"QT_QPA_PLATFORM": "offscreen", "OPENBLAS_NUM_THREADS": "1"}
    parts = [part for part in PARTS if part.startswith(tuple(given.only.split(",")))]
    of_part = {module: part for part in parts for module in PARTS[part].split()}
    mutants = [one for one in named() if one.module in of_part]
    for part in parts:
        mutants += drawn(part, given.sample, random.Random(f"{given.seed} {part}"))
    records = known(" ".join(PARTS.values()).split(), given.at_once)
    trial = Trial(mutants, records, given.at_once)
    os.chdir(ROOT)
    pytest.main([*OPTIONS, *TESTS], plugins=[trial])
    counts: defaultdict[str, Counter] = defaultdict(Counter)
    for number, seen in trial.seen.items():
        mutant = mutants[number]
        what = "noticed" if seen else "same" if mutant.judged else "missed"
        counts[of_part[mutant.module]][what] += 1
    counts["all"] = sum(counts.values(), Counter())
    for part, count in counts.items():
        every = count["noticed"] + count["missed"]
        share = 100 * count["noticed"] / max(every, 1)
        print(f"{part:14} {count['noticed']:4} of {every:4} noticed, {share:5.1f} %; judged the same: {count['same']}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
