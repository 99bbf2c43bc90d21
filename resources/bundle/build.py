"""Makes the bundle for people who have no Python: `python3 resources/bundle/build.py [OUT]`, on each system alike.

In OUT (usually `dist`) it makes a fresh environment, the folder `studiotimer`, or on macOS `Studiotimer.app`, and one
archive of it beside a file with its checksum. Needs Python 3.11 or later with its shared library (Debian and Ubuntu:
libpython3.11 or as the version is called) and, on Linux, binutils.
"""

from __future__ import annotations

import hashlib
import os
import platform
import shutil
import subprocess
import sys
import tarfile
import time
import tomllib
import venv
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
RECIPES = {"linux": "linux.spec", "win32": "windows.spec", "darwin": "macos.spec"}
LARGEST = 130 * 2**20
"""Bytes that the archive may have."""


def built(out: Path) -> Path:
    """Build the bundle and return its archive."""
    out.mkdir(parents=True, exist_ok=True)
    python = _environment(out / "environment")
    _run(
        python, "-m", "PyInstaller", "--noconfirm", "--log-level", "WARN", "--distpath", out,
        "--workpath", out / "work", HERE / RECIPES[sys.platform], cwd=out,
    )  # fmt: skip
    folder = out / ("Studiotimer.app" if sys.platform == "darwin" else "studiotimer")
    inside = folder / "Contents" if sys.platform == "darwin" else folder
    _run(python, HERE / "contents.py", inside)
    archive = _packed(folder, out / f"studiotimer-{_version()}-{_system()}")
    size = archive.stat().st_size
    print(f"{archive.name}: {size / 2**20:.1f} MiB, {_unpacked(folder) / 2**20:.0f} MiB unpacked")
    if size > LARGEST:
        sys.exit(f"{archive.name} is larger than {LARGEST / 2**20:.0f} MiB")
    checksum = hashlib.sha256(archive.read_bytes()).hexdigest()
    archive.with_name(archive.name + ".sha256").write_text(f"{checksum}  {archive.name}\n", encoding="ascii")
    return archive


def _environment(folder: Path) -> str:
    """Make an environment with the program as it is installed, and return its Python."""
    venv.create(folder, with_pip=True, clear=True)
    python = str(folder / ("Scripts/python.exe" if sys.platform == "win32" else "bin/python"))
    _run(python, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", f"{ROOT}[bundle]")
    return python


def _packed(folder: Path, name: Path) -> Path:
    """Pack a folder so that a double click unpacks it with what it is allowed to do."""
    if sys.platform == "win32":
        return Path(shutil.make_archive(str(name), "zip", folder.parent, folder.name))
    if sys.platform == "darwin":
        archive = name.with_name(name.name + ".zip")
        _run("ditto", "-c", "-k", "--sequesterRsrc", "--keepParent", folder, archive)
        return archive
    archive = name.with_name(name.name + ".tar.xz")
    if shutil.which("tar") and shutil.which("xz"):  # on all cores
        _run("tar", "-C", folder.parent, "-I", "xz -6 -T0", "-cf", archive, folder.name)
        return archive
    with tarfile.open(archive, "w:xz", preset=6) as packed:
        packed.add(folder, folder.name)
    return archive


def _unpacked(folder: Path) -> int:
    return sum(file.lstat().st_size for file in folder.rglob("*") if file.is_file() and not file.is_symlink())


def _version() -> str:
    return str(tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["version"])


def _system() -> str:
    name = {"win32": "windows", "darwin": "macos"}.get(sys.platform, sys.platform)
    return f"{name}-{platform.machine().lower()}"


def _run(*command: str | Path, cwd: Path | None = None) -> None:
    done = subprocess.run([*map(str, command)], check=False, cwd=cwd, env={**os.environ, "PYTHONNOUSERSITE": "1"})
    if done.returncode:
        sys.exit(done.returncode)


if __name__ == "__main__":
    began = time.monotonic()
    print(built(Path(sys.argv[1] if len(sys.argv) > 1 else ROOT / "dist").resolve()))
    print(f"built in {time.monotonic() - began:.0f} s")
