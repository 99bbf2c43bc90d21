"""Imports run one way: window -> wrap -> session -> prep -> tables -> thermal -> units, and the commands on top."""

import ast
import re
import subprocess
import sys
from collections import Counter
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "studiotimer"
LAYERS = {
    "errors": -1, "files": 0, "working": 0, "apart": 0, "places": 1, "hops": 1, "hop_file": 2, "desktop": 2, "units": 0, "plain": 0, "thermal": 1, "mixes": 2, "lamps": 2, "plates": 2, "forms": 2, "prep": 3,
    "session": 4, "wrap": 5, "trial": 5, "phones": 5,
    "window": 6, "cli": 7, "__main__": 8,
}  # fmt: skip
SAME = {"phones", "units", "trial", "prep", "session", "wrap", "window", "thermal", "cli"}


def modules():
    return sorted(PACKAGE.rglob("*.py"))


def layer(parts):
    return parts[0] if len(parts) > 1 else Path(parts[0]).stem


def imported(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            assert node.level == 0, f"{path} imports by a relative name"
            yield node.module
            if node.module == "studiotimer":
                yield from (f"studiotimer.{alias.name}" for alias in node.names)


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_imports_run_one_way(path):
    here = layer(path.relative_to(PACKAGE).parts)
    if here == "__init__":
        return
    for name in imported(path):
        parts = name.split(".")
        if parts[0] == "studiotimer" and len(parts) > 1 and parts[1] not in ("__version__",):
            there = parts[1]
            assert LAYERS[there] < LAYERS[here] or (there == here and here in SAME), f"{path} imports {name}"


def imports_of(path, names):
    """Return the modules of ours that a module imports, in its functions too; what only types want apart."""
    found = set()

    def walk(node):
        for child in ast.iter_child_nodes(node):
            if isinstance(child, ast.If) and ast.unparse(child.test) == "TYPE_CHECKING":
                continue
            if isinstance(child, ast.Import):
                found.update(alias.name for alias in child.names)
            elif isinstance(child, ast.ImportFrom):
                within = {f"{child.module}.{alias.name}" for alias in child.names}
                found.update(within & names or {child.module})
            walk(child)

    walk(ast.parse(path.read_text(encoding="utf-8")))
    return found & names


def test_no_module_imports_itself_by_way_of_others():
    """Nor by an import within a function, which would only hide it."""
    paths = {
        ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts).removesuffix(".__init__"): path
        for path in modules()
    }
    graph = {name: imports_of(path, paths.keys()) - {name} for name, path in paths.items()}
    assert sum(map(len, graph.values())) > 1000, "imports are found"
    TopologicalSorter(graph).prepare()


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_qt_stays_in_the_window(path):
    if path.relative_to(PACKAGE).parts[0] != "window":
        assert not any(name.split(".")[0] == "PySide6" for name in imported(path))


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_a_module_says_what_it_is_and_is_small(path):
    text = path.read_text(encoding="utf-8")
    assert ast.get_docstring(ast.parse(text)), f"{path} does not say what it is"
    assert len(text.splitlines()) <= 400, f"{path} is too big"


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_no_function_is_over_fifty_lines(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            assert node.end_lineno - node.lineno < 50, f"{path}: {node.name} is over 50 lines"


def test_thermal_opens_no_file_and_needs_only_numpy():
    files = {"io", "os", "pathlib", "json", "csv", "tempfile", "shutil"}
    for path in (PACKAGE / "thermal").glob("*.py"):
        outside = {name.split(".")[0] for name in imported(path)} - {"studiotimer"}
        assert not outside & files, path
        assert outside - sys.stdlib_module_names <= {"numpy"}, path


WRITING = {"write_text", "write_bytes", "mkdir", "umask", "mkstemp", "NamedTemporaryFile", "fsync", "rename"}


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_what_is_written_goes_through_files(path):
    """The session's own file is appended to by its journal, and held by its lock; everything else is written whole."""
    if path.relative_to(PACKAGE).as_posix() in ("files.py", "session/journal.py"):
        return
    tree = ast.parse(path.read_text(encoding="utf-8"))
    used = {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)}
    assert not used & WRITING, f"{path} writes by itself"


THREADS = {
    "Thread", "Timer", "start_new_thread", "ThreadPoolExecutor", "ProcessPoolExecutor", "to_thread", "run_in_executor",
    "ThreadPool", "QThread", "QThreadPool", "QRunnable",
}  # fmt: skip
MODULES_OF_THREADS = {"threading", "_thread", "concurrent", "asyncio", "multiprocessing", "QtCore", "QtConcurrent"}


def threads_begun(tree):
    """Return what in a module begins a thread, by whatever name it has there."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and set((node.module or "").split(".")) & MODULES_OF_THREADS:
            yield from {alias.name for alias in node.names} & THREADS
        elif (
            isinstance(node, ast.Attribute)
            and node.attr in THREADS
            and isinstance(node.value, ast.Name | ast.Attribute)
        ):
            owner = node.value.id if isinstance(node.value, ast.Name) else node.value.attr
            if node.attr != "Timer" or owner in MODULES_OF_THREADS:
                yield node.attr


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_all_work_aside_is_done_by_a_worker(path):
    """The player of sounds is a script that imports nothing of ours; what it hears comes by a thread of its own."""
    begun = set(threads_begun(ast.parse(path.read_text(encoding="utf-8"))))
    here = path.relative_to(PACKAGE).as_posix()
    if here == "working.py":
        assert begun == {"Thread"}
    elif here == "window/player.py":
        assert begun == {"Thread"}
        assert not any(name.split(".")[0] == "studiotimer" for name in imported(path))
    else:
        assert not begun, f"{path} begins a thread of its own; ask a Worker"


def test_the_window_is_imported_without_what_it_opens_without():
    """Physics, servers and papers come when they are wanted: the window is there before."""
    code = (
        "import sys; from studiotimer.cli import shoot; from studiotimer.window.app import application, opened; "
        "print(sorted({'numpy', 'scipy', 'aiohttp', 'icalendar', 'PIL', 'pyqtgraph', 'jinja2'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=300)
    assert done.stdout.strip() == "[]"


NAMED_TWICE = {
    "__init__": "what a folder is",
    "__main__": "what `python -m` runs of a folder",
    "page": "each room of the window has its page, and the wrap report its own",
}


def test_no_two_modules_have_one_name():
    """A name read in a traceback or looked for says which module it is."""
    names = Counter(path.stem for path in modules())
    assert {name for name, count in names.items() if count > 1} == NAMED_TWICE.keys()


def test_what_any_value_may_be_is_rarely_left_open():
    """`object` where a value is only passed on, a name where its shape is known: Any checks nothing."""
    lines = [line for path in modules() for line in path.read_text(encoding="utf-8").splitlines()]
    assert sum(bool(re.search(r"\bAny\b", line)) for line in lines) < 80
