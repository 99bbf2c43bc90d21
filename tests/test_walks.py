"""The functions that DEVELOPERS.md walks by are there, under those names."""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
STEP = re.compile(r"^\d+\. `(?P<path>[\w/]+\.py)`: (?P<words>.*(?:\n {2,}\S.*)*)", re.MULTILINE)
NAME = re.compile(r"`([A-Za-z_][\w.]*)`")


def walks():
    """Return the walks by title, each its steps in order: (module, functions)."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    _, *parts = text.split("## Where to begin")[1].split("\n## ")[0].split("\n### ")
    return {
        part.splitlines()[0]: [(found["path"], NAME.findall(found["words"])) for found in STEP.finditer(part)]
        for part in parts
    }


def functions(path):
    """Return the names of a module's functions, those of a class with its name before them."""
    found = set()
    for node in ast.parse((ROOT / "studiotimer" / path).read_text(encoding="utf-8")).body:
        if isinstance(node, ast.FunctionDef):
            found.add(node.name)
        elif isinstance(node, ast.ClassDef):
            found |= {f"{node.name}.{one.name}" for one in node.body if isinstance(one, ast.FunctionDef)}
    return found


def test_there_are_three_walks():
    assert [len(steps) for steps in walks().values()] == [12, 14, 15]


@pytest.mark.parametrize(("path", "named"), [step for steps in walks().values() for step in steps])
def test_each_function_of_a_walk_is_there(path, named):
    assert named
    assert set(named) <= functions(path)


def test_each_module_that_the_house_is_told_by_is_there():
    """What stands in code marks in that chapter, of small letters alone, is a module, a room, or one of two functions."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    told = set(NAME.findall(text.split("## The house")[1].split("## Where to begin")[0]))
    package = ROOT / "studiotimer"
    there = {path.stem for path in package.rglob("*.py")} | {path.name for path in package.rglob("*") if path.is_dir()}
    named = {name for name in told if re.fullmatch(r"[a-z_]+", name)}
    assert named - there == {"parse", "understood"}


def test_each_place_where_something_is_looked_for_is_there():
    rows = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").split("## Looking for something")[1].split("\n## ")[0]
    places = re.findall(r"`((?:studiotimer|resources|tests)/[\w./]+)`", rows)
    assert len(places) > 20
    assert [place for place in places if not (ROOT / place).exists()] == []
