"""What goes into a bundle on every system, and what is left out. The three recipes (`*.spec`) have the rest.

Run by PyInstaller in an environment that holds the program installed, its dependencies and nothing else (`build.py`).
"""

from __future__ import annotations

import fnmatch
from pathlib import Path
from typing import Any

from PyInstaller.building.api import COLLECT, EXE, PYZ
from PyInstaller.building.build_main import Analysis
from PyInstaller.utils.hooks import collect_data_files, collect_submodules, copy_metadata

import studiotimer

HERE = Path(__file__).parent
NAME = "studiotimer"
VERSION = studiotimer.__version__
ICON = str(Path(studiotimer.__file__).parent / "resources/desktop/program/256.png")

NOT_OURS = [
    "tkinter", "_tkinter", "readline", "curses", "_curses", "_gdbm", "_dbm", "dbm.gnu", "idlelib", "lib2to3", "test",
    "pip", "setuptools", "wheel", "hatchling", "pydoc_data", "matplotlib", "scipy", "h5py", "cupy", "IPython", "pytest",
    "hypothesis", "numpy.f2py", "numpy.testing", "numpy.distutils", "PySide6.QtOpenGL", "PySide6.QtOpenGLWidgets",
    "PySide6.QtTest",
]  # fmt: skip
"""Modules that nothing here uses. readline and gdbm are GPL: they are named also where they are missing."""

QT_LEFT_OUT = (
    "*virtualkeyboard*",  # GPL
    "*Qt*Qml*", "*Qt*Quick*", "*Qt*Pdf*", "*qpdf*", "*Qt*OpenGLWidgets*", "*Qt*ShaderTools*", "*Qt*Test*",
    "*platforms/*eglfs*", "*platforms/*linuxfb*", "*platforms/*vkkhr*", "*platforms/*vnc*", "*platforms/*minimalegl*",
    "*egldeviceintegrations*", "*Eglfs*", "*EglFS*", "*EglFs*", "*platformthemes/*gtk3*",
    "*plugins/generic/*", "*plugins/tls/*", "*plugins/networkinformation/*", "*plugins/multimedia/*ffmpeg*",
    "*plugins/sqldrivers/*", "*plugins/position/*", "*plugins/designer/*", "*plugins/wayland-graphics*",
    "*avcodec*", "*avformat*", "*avutil*", "*swscale*", "*swresample*", "*ffmpeg*", "*FFmpegStub*",
    "*_avif*", "*libavif*",
    "*opengl32sw*", "*d3dcompiler*", "*PySide6/translations*", "*PySide6/Qt/translations*",
    "*PySide6/Qt/qml*", "*PySide6/qml*", "*PySide6/Qt/resources*",
)  # fmt: skip
"""What PyInstaller would take of Qt, and nothing here uses: films, GPUs, other keyboards, other languages, the net."""

DATA_LEFT_OUT = (
    "*resources/bundle/*",
    "*resources/pictures/*",
    "*/make_*.py",
    "*demo_sessions/*.py",
    "*.pyi",
    "*/py.typed",
)


def _left_out(name: str, patterns: tuple[str, ...]) -> bool:
    plain = name.replace("\\", "/")
    return any(fnmatch.fnmatchcase(plain, pattern) for pattern in patterns)


def analysis() -> Any:
    """Return what PyInstaller finds: the program's modules, all that it imports, its data, without what is left out."""
    if not (Path(studiotimer.__file__).parent / "resources").is_dir():
        raise SystemExit(f"{studiotimer.__file__} is a checkout: build from the program as it is installed (build.py)")
    own = collect_data_files(NAME) + collect_data_files("tzdata")  # not every system has a table of time zones
    own += [(str(Path(studiotimer.__file__).parent / "window/player.py"), "studiotimer/window")]
    found = Analysis(
        [str(HERE / "start.py")],
        datas=[each for each in own if not _left_out(each[0], DATA_LEFT_OUT)] + copy_metadata(NAME, recursive=True),
        hiddenimports=collect_submodules(NAME) + collect_submodules("tzdata"),
        excludes=NOT_OURS,
        noarchive=False,
        optimize=1,
    )
    for kind in ("binaries", "datas"):
        kept = [each for each in getattr(found, kind) if not _left_out(each[0], QT_LEFT_OUT)]
        setattr(found, kind, type(getattr(found, kind))(kept))
    return found


def program(found: Any, name: str, console: bool, **options: Any) -> Any:
    """Return an executable of what was found. Text is UTF-8 whatever the system's language."""
    return EXE(
        PYZ(found.pure), found.scripts, [("X utf8", None, "OPTION")], exclude_binaries=True, name=name,
        console=console, upx=False, strip=False, icon=ICON, **options,
    )  # fmt: skip


def folder(found: Any, *programs: Any) -> Any:
    """Return the folder that holds the executables and what they need."""
    return COLLECT(*programs, found.binaries, found.datas, name=NAME, upx=False, strip=False)
