"""The licence of every package that the program needs, as it is installed: `python -m tests.licences`.

Ends with 1 where a package is under the GPL and no other licence, does not say its licence, or where a module of Qt
that is GPL alone is used.
"""

import ast
import re
import sys
import tomllib
from importlib.metadata import PackageNotFoundError, metadata, requires
from pathlib import Path

from packaging.requirements import Requirement

import studiotimer

GPL_OF_QT = {
    "QtCharts", "QtDataVisualization", "QtGraphs", "QtHttpServer", "QtLottie", "QtNetworkAuth", "QtQuick3D",
    "QtQuickTimeline", "QtStateMachine", "QtVirtualKeyboard",
}  # fmt: skip
"""Modules of Qt for the GPL or money alone, by Qt's list of its modules' licences (memory)."""
_OWN = "License :: OSI Approved :: "


def own():
    """Return what this program needs itself."""
    text = (Path(__file__).parents[1] / "pyproject.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)["project"]["dependencies"]


def needed(lines, seen=None):
    """Return the licences of packages, on this system and without their extras, and of all that those need."""
    seen = {} if seen is None else seen
    for line in lines:
        wanted = Requirement(line)
        if wanted.name in seen or (wanted.marker and not wanted.marker.evaluate({"extra": ""})):
            continue
        try:
            seen[wanted.name] = licence_of(wanted.name)
        except PackageNotFoundError:
            continue
        needed(requires(wanted.name) or [], seen)
    return seen


def licence_of(name):
    """Return what a package says of its licence: its expression, else its classifiers, else the line it has for it."""
    about = metadata(name)
    if expression := about.get("License-Expression"):
        return expression
    told = [one.removeprefix(_OWN) for one in about.get_all("Classifier") or [] if one.startswith(_OWN)]
    if told:
        return " OR ".join(told)
    lines = (about.get("License") or "").strip().splitlines()
    return lines[0][:60] if lines else ""


def is_gpl_alone(licence):
    """Whether every licence that may be chosen is the GPL, or one like it."""
    return all(map(_is_gpl, re.split(r"\s+OR\s+", licence)))


def _is_gpl(licence):
    parts = re.split(r"\s+AND\s+", licence)
    return any(re.search("GPL|General Public", one) and not re.search("LGPL|Lesser|exception", one) for one in parts)


def used_of_qt():
    """Return the modules of Qt that the program imports."""
    found = set()
    for path in Path(studiotimer.__file__).parent.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("PySide6"):
                found |= {node.module.partition(".")[2]} if "." in node.module else {one.name for one in node.names}
    return found


def main():
    found = needed(own())
    for name, licence in sorted(found.items(), key=lambda one: one[0].lower()):
        print(f"{name:22} {licence or 'does not say'}")
    bad = [name for name, licence in found.items() if not licence or is_gpl_alone(licence)]
    bad += sorted(used_of_qt() & GPL_OF_QT)
    if bad:
        print(f"GPL alone, or without a word: {', '.join(bad)}", file=sys.stderr)
    return bool(bad)


if __name__ == "__main__":
    raise SystemExit(main())
