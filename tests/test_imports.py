"""Imports run one way: window -> wrap -> session -> prep -> tables -> thermal -> units, and the commands on top."""

import ast
import functools
import os
import re
import subprocess
import sys
from collections import Counter
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

from studiotimer.places import demo_sessions

PACKAGE = Path(__file__).parents[1] / "studiotimer"
LAYERS = {
    "errors": -1, "files": 0, "working": 0, "apart": 0, "places": 1, "hops": 1, "hop_file": 2, "desktop": 2, "units": 0, "plain": 0, "thermal": 1, "mix_table": 1.5, "mixes": 2, "lamps": 2, "plates": 2, "forms": 2, "prep": 3,
    "session": 4, "wrap": 5, "trial": 5, "phones": 5,
    "window": 6, "cli": 7, "__main__": 8,
}  # fmt: skip
SAME = {"phones", "units", "trial", "prep", "session", "wrap", "window", "thermal", "cli"}


@functools.cache
def modules():
    return sorted(PACKAGE.rglob("*.py"))


@functools.cache
def text(path):
    return path.read_text(encoding="utf-8")


@functools.cache
def tree(path):
    return ast.parse(text(path))


@functools.cache
def nodes(path):
    return list(ast.walk(tree(path)))


@pytest.fixture(scope="module", autouse=True)
def let_go():
    """The trees of all modules are many small things, which later tests would have the collector look at."""
    yield
    nodes.cache_clear()
    tree.cache_clear()


def inside(path):
    return path.relative_to(PACKAGE).as_posix()


def none(offenders, why):
    """Hold that there is no offender; all that there are are named."""
    offenders = list(offenders)
    assert not offenders, "\n".join([why, *offenders])


def layer(parts):
    return parts[0] if len(parts) > 1 else Path(parts[0]).stem


def imported(path):
    for node in nodes(path):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            assert node.level == 0, f"{path} imports by a relative name"
            yield node.module
            if node.module == "studiotimer":
                yield from (f"studiotimer.{alias.name}" for alias in node.names)


def upwards(path):
    """Return what a module imports of ours that is not below it."""
    here = layer(path.relative_to(PACKAGE).parts)
    if here == "__init__":
        return
    for name in imported(path):
        parts = name.split(".")
        if parts[0] == "studiotimer" and len(parts) > 1 and parts[1] not in ("__version__",):
            there = parts[1]
            if not (LAYERS[there] < LAYERS[here] or (there == here and here in SAME)):
                yield name


def test_all_modules_are_looked_at():
    assert len(modules()) > 400


def test_imports_run_one_way():
    none((f"{inside(path)} imports {name}" for path in modules() for name in upwards(path)), "against the layers")


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

    walk(tree(path))
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


def test_qt_stays_in_the_window():
    with_qt = {path for path in modules() if any(name.split(".")[0] == "PySide6" for name in imported(path))}
    assert len(with_qt) > 100, "imports of Qt are found"
    none((inside(path) for path in sorted(with_qt) if path.relative_to(PACKAGE).parts[0] != "window"), "they import Qt")


def test_a_module_says_what_it_is_and_is_small():
    none((inside(path) for path in modules() if not ast.get_docstring(tree(path))), "they do not say what they are")
    none((inside(path) for path in modules() if len(text(path).splitlines()) > 400), "they are too big")


def test_no_function_is_over_fifty_lines():
    functions = [
        (path, node)
        for path in modules()
        for node in nodes(path)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    ]
    assert len(functions) > 1000
    long = [(path, node.name) for path, node in functions if node.end_lineno - node.lineno >= 50]
    none((f"{inside(path)}: {name}" for path, name in long), "they are over 50 lines")


def test_thermal_opens_no_file_and_needs_only_numpy():
    files = {"io", "os", "pathlib", "json", "csv", "tempfile", "shutil"}
    for path in (PACKAGE / "thermal").glob("*.py"):
        outside = {name.split(".")[0] for name in imported(path)} - {"studiotimer"}
        assert not outside & files, path
        assert outside - sys.stdlib_module_names <= {"numpy"}, path


def test_models_have_their_fields_as_types_and_not_as_words():
    """Pydantic reads words anew for each model, those of what it inherits from too."""
    models = re.compile(r"^class \w+\((BaseModel|Entry|Sheet|_Row|_OfSession)\)", re.M)
    with_models = [path for path in modules() if models.search(text(path))]
    assert len(with_models) > 20
    none((inside(path) for path in with_models if "import annotations" in text(path)), "their annotations are words")


WRITING = {"write_text", "write_bytes", "mkdir", "umask", "mkstemp", "NamedTemporaryFile", "fsync", "rename"}


def test_what_is_written_goes_through_files():
    """The session's own file is appended to by its journal, and held by its lock; everything else is written whole."""
    used = {inside(path): {node.attr for node in nodes(path) if isinstance(node, ast.Attribute)} for path in modules()}
    writing = {path: names & WRITING for path, names in used.items() if names & WRITING}
    assert writing.pop("files.py")
    assert writing.pop("session/journal.py")
    none((f"{path}: {names}" for path, names in writing.items()), "they write by themselves")


THREADS = {
    "Thread", "Timer", "start_new_thread", "ThreadPoolExecutor", "ProcessPoolExecutor", "to_thread", "run_in_executor",
    "ThreadPool", "QThread", "QThreadPool", "QRunnable",
}  # fmt: skip
MODULES_OF_THREADS = {"threading", "_thread", "concurrent", "asyncio", "multiprocessing", "QtCore", "QtConcurrent"}


def threads_begun(path):
    """Return what in a module begins a thread, by whatever name it has there."""
    for node in nodes(path):
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


def test_all_work_aside_is_done_by_a_worker():
    """The player of sounds is a script that imports nothing of ours; what it hears comes by a thread of its own."""
    begun = {inside(path): set(threads_begun(path)) for path in modules()}
    begun = {path: names for path, names in begun.items() if names}
    assert begun.pop("working.py") == {"Thread"}
    assert begun.pop("window/player.py") == {"Thread"}
    none((f"{path}: {names}" for path, names in begun.items()), "they begin threads of their own; ask a Worker")
    player = imported(PACKAGE / "window" / "player.py")
    assert not any(name.split(".")[0] == "studiotimer" for name in player)


def test_the_window_is_imported_without_what_it_opens_without():
    """Physics, servers and papers come when they are wanted: the window is there before."""
    code = (
        "import sys; from studiotimer.cli import shoot; from studiotimer.window.app import application, opened; "
        "print(sorted({'numpy', 'scipy', 'aiohttp', 'icalendar', 'PIL', 'jinja2'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=300)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("what", ["the start page", "a demo"])
def test_the_window_is_drawn_without_what_it_opens_without(what, tmp_path):
    """What is only foretold may come after the first picture: numbers, the physics, before a session its models too."""
    demo = next(iter(sorted(demo_sessions().glob("hot*/*.setlog"))))
    copy = tmp_path / demo.name
    copy.write_bytes(demo.read_bytes())
    code = (
        "import sys; from pathlib import Path; from studiotimer.window import app as opening; "
        "from studiotimer.window.app import application, opened; opening.LOOK_S = 600.0; "
        "app = application(); window = opened(*map(Path, sys.argv[1:])); window.grab(); "
        "print(window.page is None, sorted({'numpy', 'scipy', 'aiohttp', 'icalendar', 'PIL', 'jinja2', "
        "'studiotimer.mixes', 'studiotimer.thermal.body', *LATER} & set(sys.modules)), flush=True); "
        "window.close(); app.processEvents()"
    )
    later = ("pydantic", "studiotimer.session.live", "studiotimer.window.set.page") if what == "the start page" else ()
    code = f"LATER = {later}; {code}"
    opened = [str(copy)] if what == "a demo" else []
    home = dict.fromkeys(("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_RUNTIME_DIR"), str(tmp_path))
    done = subprocess.run(
        [sys.executable, "-c", code, *opened],
        env={**os.environ, **home, "QT_QPA_PLATFORM": "offscreen"}, capture_output=True, text=True, check=True,
        timeout=300,
    )  # fmt: skip
    assert done.stdout.strip() == f"{what == 'the start page'} []"


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
    lines = [line for path in modules() for line in text(path).splitlines()]
    assert sum(bool(re.search(r"\bAny\b", line)) for line in lines) < 80


def test_no_layout_hands_out_its_items():
    """Qt for Python keeps an item that Qt has deleted and takes what comes to lie in its place for it.

    A widget's style was a layout's item then, and the error of that, while the window was drawn, ended the program.
    """
    asks = {"itemAt", "itemAtPosition"}
    asking = [(path, node) for path in modules() for node in nodes(path) if isinstance(node, ast.Attribute)]
    none((inside(path) for path, node in asking if node.attr in asks), "they ask a layout for its items")
    assert len(asking) > 1000
