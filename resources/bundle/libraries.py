"""Libraries of the system in the bundle for Linux: which are packed, and which only stand by.

PyInstaller takes the libraries of whatever plugin it finds; those that nothing packed needs any more are dropped here.
A few it leaves to the system (drawing drivers choose among them): these lie in the folder `instead`, and are loaded
only where the system has none (`studiotimer.apart.fill_in`).
"""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterable
from pathlib import Path

INSTEAD = "instead"
OF_THE_SYSTEM = re.compile(r"(ld-linux.*|lib(c|m|dl|pthread|rt|resolv|util|nsl|anl|BrokenLocale|mvec))\.so\..*")
"""Of the C library: older ones than it was built with have no use for the bundle, newer ones serve."""
_SHARED = re.compile(r"lib[^/]*\.so(\.[\w.]+)*$")
_STARTS = ("libpython",)
Packed = tuple[str, str, str]
"""Of PyInstaller: the place in the bundle, where it is taken from, of what kind it is."""


def needed_by(file: str | Path) -> tuple[str, ...]:
    """Return the names of the libraries that a file needs; raises OSError where it cannot be asked."""
    told = subprocess.run(["objdump", "-p", str(file)], capture_output=True, text=True, check=False).stdout
    return tuple(re.findall(r"^\s+NEEDED\s+(\S+)", told, re.MULTILINE))


def newest_symbols(files: Iterable[Path]) -> str:
    """Return the version of the C library that the files ask for, for example "2.34"."""
    found = {(2, 0)}
    for file in files:
        told = subprocess.run(["objdump", "-T", str(file)], capture_output=True, text=True, check=False).stdout
        found |= {(int(major), int(minor)) for major, minor in re.findall(r"GLIBC_(\d+)\.(\d+)", told)}
    return ".".join(map(str, max(found)))


def sorted_out(binaries: Iterable[Packed], links: Iterable[Packed]) -> tuple[list[Packed], list[Packed]]:
    """Return the binaries that something needs, with what stands by, and the links to those that are kept."""
    by_name: dict[str, Packed] = {}
    for each in binaries:
        by_name.setdefault(Path(each[0]).name, each)
    roots = [each for each in binaries if _is_root(each[0])]
    kept: dict[str, Packed] = {each[0]: each for each in roots}
    missing: set[str] = set()
    ahead = [each[1] for each in roots]
    while ahead:
        for name in needed_by(ahead.pop()):
            one = by_name.get(name)
            if one is None:
                missing |= {name} if not OF_THE_SYSTEM.fullmatch(name) else set()
            elif one[0] not in kept:
                kept[one[0]] = one
                ahead.append(one[1])
    places = {Path(place).name for place in kept}
    standing_by = [(f"{INSTEAD}/{name}", path, "BINARY") for name, path in _closed(missing, places).items()]
    return [*kept.values(), *standing_by], [each for each in links if Path(each[1]).name in places]


def _is_root(place: str) -> bool:
    name = Path(place).name
    return "/plugins/" in place or name.startswith(_STARTS) or not _SHARED.search(name)


def _closed(missing: set[str], places: set[str]) -> dict[str, str]:
    """Return where the system has the missing libraries, and what these need in turn; raises KeyError for none."""
    where = _system()
    found: dict[str, str] = {}
    ahead = sorted(missing)
    while ahead:
        name = ahead.pop()
        if name in found or name in places or OF_THE_SYSTEM.fullmatch(name):
            continue
        if name not in where:
            raise KeyError(f"{name} is needed, and this machine has none to put into the bundle")
        found[name] = str(Path(where[name]).resolve())
        ahead += needed_by(found[name])
    return found


def _system() -> dict[str, str]:
    told = subprocess.run(["/sbin/ldconfig", "-p"], capture_output=True, text=True, check=True).stdout
    lines = re.findall(r"^\s*(\S+) \(([^)]*)\) => (\S+)$", told, re.MULTILINE)
    return {name: path for name, kind, path in reversed(lines) if "x86-64" in kind or "AArch64" in kind}
