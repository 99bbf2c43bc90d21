"""What the program raises on purpose is one tree, and DEVELOPERS draws it as it is."""

import ast
import functools
import re
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "studiotimer"
DEVELOPERS = PACKAGE.parent / "DEVELOPERS.md"
ERROR = re.compile(r"(Error|Exception|Warning|Interrupt|Exit)$")
WIDE = {
    "files.py": "what was half written goes, and it is raised on",
    "working.py": "whatever it was, the next piece of work is done, and the thread goes on",
    "cli/shoot.py": "nothing that happens before the window shows ends in a traceback",
    "session/live.py": "a session that cannot begin lets its file and lock go, and it is raised on",
    "session/locking.py": "a lock file is let go of, and it is raised on",
    "session/writer.py": "the thread outlives whatever a disk does",
    "window/aside.py": "what failed in the other thread is raised in the one that waits for it",
    "window/awake.py": "the connection is closed, and it is raised on",
    "window/faults.py": "it is what says faults",
    "window/forecasts.py": "it is noted in the log of hops, and raised on",
    "window/buses.py": "a bus that was half opened is closed, and it is raised on",
    "window/set/fresh.py": "a figure that cannot be drawn is covered, the rest of the page drawn",
    "window/set/page.py": "what was shown before it failed does not stand; it is raised on",
    "wrap/decoding.py": "of a broken picture the decoders let through whatever they ran into",
    "wrap/exif.py": "of a broken file it lets through whatever its own reading ran into",
    "wrap/heic_process.py": "whatever a broken picture made the decoder say",
}
"""Where everything is caught, and why."""


@pytest.fixture(scope="module", autouse=True)
def let_go():
    """The trees are many small things, which later tests would have the collector look at."""
    yield
    modules.cache_clear()


@functools.cache
def modules():
    return [(path, ast.parse(path.read_text(encoding="utf-8"))) for path in sorted(PACKAGE.rglob("*.py"))]


def bases():
    """Return the bases of each class of the package that is an error, by name."""
    found = {}
    for path, tree in modules():
        for node in ast.walk(tree):
            if isinstance(node, ast.ClassDef):
                names = [ast.unparse(base).rpartition(".")[2] for base in node.bases]
                if any(ERROR.search(name) for name in names):
                    assert node.name not in found, f"{path}: there is another {node.name}"
                    found[node.name] = names
    return found


def drawn():
    """Return what DEVELOPERS draws: each error with the one that it stands under."""
    block = re.search(r"```\n(StudioError\b.*?)```", DEVELOPERS.read_text(encoding="utf-8"), re.DOTALL)
    above, found = [], {}
    for line in block[1].splitlines():
        depth, name = (len(line) - len(line.lstrip())) // 2, line.split()[0]
        del above[depth:]
        found[name] = above[-1] if above else None
        above.append(name)
    return found


def test_every_error_hangs_in_the_tree():
    ours = bases()
    for name, names in ours.items():
        assert name == "StudioError" or any(base in ours for base in names), f"{name} hangs in no tree"
    assert ours["StudioError"] == ["Exception"]


def test_the_tree_is_drawn_as_it_is():
    ours = bases()
    hung = {name: next((base for base in names if base in ours), None) for name, names in ours.items()}
    assert drawn() == hung


def test_everything_is_caught_only_where_a_reason_is_known():
    wide = set()
    for path, tree in modules():
        for node in ast.walk(tree):
            if isinstance(node, ast.ExceptHandler):
                caught = {"BaseException"} if node.type is None else {
                    name.id for name in ast.walk(node.type) if isinstance(name, ast.Name)
                }  # fmt: skip
                if caught & {"Exception", "BaseException", "StudioError"}:
                    wide.add(path.relative_to(PACKAGE).as_posix())
    assert wide == WIDE.keys()
