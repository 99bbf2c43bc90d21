"""Parts of the program in processes of their own: the command line of each, from an environment or from a bundle.

In a bundle there is no interpreter to be asked for a module: the program itself is begun again, and told which of its
parts it is.
"""

from __future__ import annotations

import ctypes
import os
import sys
from collections.abc import Sequence
from pathlib import Path

PART = "--part"
INSTEAD = "instead"
"""The folder of a bundle with libraries that a system usually has, and in a version that suits it better."""
_ALONE = ("-P", "-X", "utf8")
_HERE = Path(__file__).parent
_BEFORE = "_ORIG"
"""What a bundle's start puts after the name of a variable of which it has kept what was there."""
_ANEW = "PYINSTALLER_RESET_ENVIRONMENT"
"""Has a bundle that is begun by another take nothing over of where that one has its libraries."""
_LIBRARIES = ("LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH")


def bundled() -> bool:
    """Whether the program runs from a bundle that brings its own interpreter."""
    return bool(getattr(sys, "frozen", False))


def module_line(name: str, *arguments: str) -> list[str]:
    """Return the command line that runs the module `name` of this package; modules are not looked for where it runs."""
    return [sys.executable, *((PART,) if bundled() else (*_ALONE, "-m")), name, *arguments]


def script_line(script: str, *arguments: str) -> list[str]:
    """Return the command line that runs a file of this package alone, by its path from there, none of ours imported.

    The folder it lies in is not where it looks for modules.
    """
    if bundled():
        return [sys.executable, PART, script, *arguments]
    return [sys.executable, *_ALONE, str(_HERE / script), *arguments]


def unseen() -> int:
    """Return the flags with which `subprocess` shows no console of a part on Windows; 0 elsewhere."""
    if sys.platform == "win32":
        import subprocess

        return subprocess.CREATE_NO_WINDOW
    return 0


def is_part(arguments: Sequence[str]) -> bool:
    """Whether a bundle is begun as one of its parts."""
    return bundled() and len(arguments) > 1 and arguments[0] == PART


def run_part(arguments: Sequence[str]) -> None:
    """Be the part that the arguments name, as its own main program; raises ValueError for one that is none of ours."""
    import runpy

    _, part, *rest = arguments
    fill_in()
    sys.argv = [part, *rest]
    if part.endswith(".py"):
        script = (_HERE / part).resolve()
        if not script.is_relative_to(_HERE.resolve()):
            raise ValueError(f"{part} is no part of this program")
        runpy.run_path(str(script), run_name="__main__")
    elif part.startswith("studiotimer."):
        runpy.run_module(part, run_name="__main__", alter_sys=True)
    else:
        raise ValueError(f"{part} is no part of this program")


def fill_in() -> None:
    """Load the libraries that a bundle has beside it for a system that has none of its own; nothing else is changed.

    Which of them comes first does not matter: one that needs another is tried again after it.
    """
    ahead = sorted(Path(getattr(sys, "_MEIPASS", _HERE), INSTEAD).glob("*.so*")) if bundled() else []
    while ahead:
        left = [each for each in ahead if not (_loads(each.name) or _loads(str(each)))]
        if len(left) == len(ahead):
            return
        ahead = left


def _loads(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def leave_libraries_to_us() -> None:
    """Have the programs of the system that are begun from here find the system's libraries, not those of a bundle.

    A part of the bundle is begun as anew, and finds its own again.
    """
    if bundled():
        os.environ[_ANEW] = "1"
    for name in _LIBRARIES:
        before = os.environ.pop(name + _BEFORE, None)
        if before is not None:
            os.environ[name] = before
        elif bundled():
            os.environ.pop(name, None)
