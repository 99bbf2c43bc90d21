"""Changes the code in small wrong ways, one at a time, and counts how many of them the tests notice.

    python -m tests.mutants                        # the named ones: each was once missed by the tests
    python -m tests.mutants --sample 30 --seed 1   # so many a module, drawn, besides
    python -m tests.mutants --only session.cues --sample 60

A copy of the package is changed, never the package. A mutant counts as noticed when a test of its module fails, or when
they do not come to an end. What is left is printed, to be read and judged.
"""

import argparse
import ast
import copy
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[1]
LONGEST_S = 240
TESTED_BY = {
    "session.state": "tests/session/test_state.py tests/session/test_calls.py tests/session/test_mending.py tests/session/test_live.py",
    "session.mending": "tests/session/test_mending.py tests/session/test_live.py tests/session/test_state.py",
    "session.journal": "tests/session/test_journal.py tests/session/test_writer.py tests/session/test_reading.py",
    "session.reading": "tests/session/test_reading.py tests/session/test_lines.py tests/session/test_journal.py",
    "session.cues": "tests/session/test_cues.py tests/session/test_packs.py tests/session/test_freezers.py",
    "session.forecast": "tests/session/test_forecast.py tests/session/test_slumps.py tests/session/test_packs.py",
    "session.learning": "tests/session/test_learning.py tests/session/test_memory.py",
    "trial.days": "tests/trial",
    "trial.truth": "tests/trial",
    "trial.luck": "tests/trial",
    "thermal.air": "tests/thermal/test_check_values.py tests/outside/test_air.py",
    "thermal.dryice": "tests/thermal/test_dryice.py tests/outside/test_dryice.py tests/thermal/test_check_values.py",
    "thermal.edge": "tests/thermal/test_edge.py tests/thermal/test_check_values.py",
    "thermal.foot": "tests/thermal/test_foot.py tests/thermal/test_check_values.py",
    "thermal.depression": "tests/thermal/test_check_values.py tests/outside/test_freezing.py tests/thermal/test_properties_hold.py",
    "thermal.freezing": "tests/thermal/test_check_values.py tests/outside/test_freezing.py tests/thermal/test_properties_hold.py",
    "thermal.learn": "tests/thermal/test_learn.py",
}  # fmt: skip
NAMED = (
    ("a change seen is ignored", "session/forecast.py", "        if name in seen:\n", "        if name in ():\n"),
    ("the slump of waiting scoops is divided by the pace", "session/forecast.py", "row * life.origin.slowing[1]", "row / life.origin.slowing[1]"),
    ("of a look after several stretches on set only the last counts", "session/learning.py", "        passed += one.seconds\n", "        passed = one.seconds\n"),
    ("a top-up is cued while the window runs", "session/cues.py", "shooting_until if math.isfinite(shooting_until) else desk.at, again", "desk.at, again"),
    ("the last resort is the farthest cue", "session/cues.py", "later = min(found", "later = max(found"),
    ("a hero counts before it is dressed", "session/forecast.py", "    ready = scoop.since + looked.dressing_s\n", "    ready = scoop.since\n"),
    ("pellets have the area of a slab", "thermal/dryice.py", '"pellets": 12.0', '"pellets": 6.0'),
)  # fmt: skip
SWAPS = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.Add: ast.Sub, ast.Sub: ast.Add,
    ast.Mult: ast.Div, ast.Div: ast.Mult, ast.And: ast.Or, ast.Or: ast.And,
}  # fmt: skip


@dataclass(frozen=True)
class Mutant:
    """A module, what was done to it, and its text then."""

    module: str
    words: str
    text: str


def path_of(module):
    return Path("studiotimer", *module.split(".")).with_suffix(".py")


def places(tree) -> Iterator[tuple[ast.AST, str]]:
    """Yield each node that can be changed, with how; what stands in annotations and docstrings is not run."""
    still = set()
    for node in ast.walk(tree):
        notes = [getattr(node, "annotation", None), getattr(node, "returns", None)]
        still |= {id(one) for note in notes if note is not None for one in ast.walk(note)}
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


def drawn(module, count, dice):
    """Return so many mutants of a module, or as many as it has."""
    text = (ROOT / path_of(module)).read_text(encoding="utf-8")
    tree = ast.parse(text)
    every = list(places(tree))
    for index in sorted(dice.sample(range(len(every)), min(count, len(every)))):
        other = copy.deepcopy(tree)
        node, how = list(places(other))[index]
        line, before = node.lineno, ast.unparse(node).split("\n")[0]
        changed(node, how)
        after = ast.unparse(node).split("\n")[0]
        yield Mutant(
            module, f"line {line}, {how}: {before}  ->  {after}", ast.unparse(ast.fix_missing_locations(other))
        )


def named():
    """Return the mutants that have a name; each stands in the code as it is written here."""
    for words, path, before, after in NAMED:
        text = (ROOT / "studiotimer" / path).read_text(encoding="utf-8")
        assert before in text, f"{path} no longer has {before!r}: name that mutant anew"
        module = path.removesuffix(".py").replace("/", ".")
        yield Mutant(module, words, text.replace(before, after))


def noticed(mutant):
    """Return whether the tests of a mutant's module fail with it."""
    with tempfile.TemporaryDirectory(prefix="mutant-") as folder:
        for name in ("studiotimer", "tests", "resources", "demo_sessions", "pyproject.toml"):
            if name in ("studiotimer", "tests"):
                shutil.copytree(ROOT / name, Path(folder, name), ignore=shutil.ignore_patterns("__pycache__"))
            else:
                Path(folder, name).symlink_to(ROOT / name)
        (Path(folder) / path_of(mutant.module)).write_text(mutant.text, encoding="utf-8")
        tests = TESTED_BY[mutant.module].split()
        command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *tests]
        environment = {
            **os.environ,
            "PYTHONPATH": folder,
            "QT_QPA_PLATFORM": "offscreen",
            "PYTHONDONTWRITEBYTECODE": "1",
        }
        try:
            done = subprocess.run(
                command, cwd=folder, env=environment, capture_output=True, timeout=LONGEST_S, check=False
            )
        except subprocess.TimeoutExpired:
            return True
        return done.returncode != 0


def main():
    asked = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    asked.add_argument("--sample", type=int, default=0, help="how many drawn mutants a module; example: 30")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--only", default="", help="only modules whose name begins so; example: session.")
    asked.add_argument("--at-once", type=int, default=os.cpu_count())
    given = asked.parse_args()
    dice = random.Random(given.seed)
    mutants = [one for one in named() if one.module.startswith(given.only)]
    for module in TESTED_BY:
        if module.startswith(given.only):
            mutants += drawn(module, given.sample, dice)
    left, count = Counter(), Counter()
    with ThreadPoolExecutor(given.at_once) as hands:
        for mutant, seen in zip(mutants, hands.map(noticed, mutants), strict=True):
            count[mutant.module] += 1
            left[mutant.module] += not seen
            if not seen:
                print(f"missed  {mutant.module}: {mutant.words}", flush=True)
    for module, every in sorted(count.items()):
        print(f"{module:20} {every - left[module]:4} of {every:4} noticed, {100 * (1 - left[module] / every):5.1f} %")
    every = count.total()
    print(
        f"{'all':20} {every - left.total():4} of {every:4} noticed, {100 * (1 - left.total() / max(every, 1)):5.1f} %"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
