"""The physics can be read alone: each public function says what it reckons, in which units, and after whom."""

import ast
import re
from pathlib import Path

import pytest

THERMAL = Path(__file__).parents[2] / "studiotimer" / "thermal"
NUMBERS = re.compile(r"(float|int|Floats|ArrayLike|Number|Sequence\[float\])\b")
UNIT = r"\[(?!\d+\])[^\]]+\]"
GROUNDS = re.compile(
    r"own rule|definition|numerics|common practice|heat balance|\(memory\)|for (its|the equation and its) source|"
    r"see there for",
    re.IGNORECASE,
)


def public(tree, within=""):
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            yield within + node.name, node
            if isinstance(node, ast.ClassDef):
                yield from public(node, f"{node.name}.")


def documented():
    found = []
    for path in sorted(THERMAL.glob("*.py")):
        for name, node in public(ast.parse(path.read_text(encoding="utf-8"))):
            found.append(pytest.param(node, id=f"{path.stem}.{name}"))
    return found


def numbers_of(node):
    """Return the names of the numbers that go into a function, or that a class holds."""
    if isinstance(node, ast.FunctionDef):
        arguments = [*node.args.args, *node.args.kwonlyargs]
        return [one.arg for one in arguments if one.annotation and NUMBERS.match(ast.unparse(one.annotation))]
    return [
        one.target.id
        for one in node.body
        if isinstance(one, ast.AnnAssign) and isinstance(one.target, ast.Name)
        and NUMBERS.match(ast.unparse(one.annotation))
    ]  # fmt: skip


def gives_number(node):
    return (
        isinstance(node, ast.FunctionDef)
        and node.returns is not None
        and re.match(r"(float|Floats|NDArray|Number|list\[Floats\])", ast.unparse(node.returns))
    )


@pytest.mark.parametrize("node", documented())
def test_units_of_what_goes_in_and_out_are_told(node):
    told = ast.get_docstring(node)
    assert told, "it does not say what it is"
    for name in numbers_of(node):
        beside = rf"`{name}`[^.\[]*{UNIT}"
        assert re.search(beside, told), f"the unit of {name} is not told beside its name"
    if gives_number(node):
        assert re.search(UNIT, told.split("\n\n")[0]), "the unit of what comes out is not told in the first lines"


@pytest.mark.parametrize("node", documented())
def test_each_function_names_its_source_or_says_that_it_is_an_own_rule(node):
    told = ast.get_docstring(node)
    text, _, references = told.partition("References\n----------\n")
    cited = {int(number) for number in re.findall(r"\[(\d+)\]", text)}
    listed = [int(number) for number in re.findall(r"^\.\. \[(\d+)\] ", references, re.MULTILINE)]
    assert listed == list(range(1, len(listed) + 1)), "sources are numbered from 1"
    assert set(listed) == cited, "each source is named in the text, and each one named there is listed"
    if isinstance(node, ast.FunctionDef):
        assert listed or GROUNDS.search(" ".join(text.split())) or gives_only_what_it_is_handed(node), (
            "neither a source nor an own rule"
        )


def gives_only_what_it_is_handed(node):
    """A member of a protocol has no body but its docstring."""
    return len(node.body) == 1
