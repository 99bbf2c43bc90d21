"""One word for one thing: what people read nowhere has a word that was put aside for a better one."""

import ast
import re
from pathlib import Path

import pytest

HOME = Path(__file__).parent.parent
PUT_ASIDE = {
    r"\breckon": "forecast, expected or counted on",
    r"\bthe book\b": "forecast",
    r"(?<!frame )\bone every\b": "one frame every",
    r"\bK per watt\b|, K per W\b": "(K per W)",
    r"\bgood ones\b": "good pulls",
    r"\bhow sure$": "certainty",
    r"\bwaits in it$|^in the box, min": "time in the box",
    r"^box loss$|\bbox loses$": "box loss a day",
    r"^before use$": "picked up before use",
    r"\bcut in\b": "pieces a tub",
    r"\blight to lock\b": "time to lock",
    r"^freezer at$": "freezer set to",
    r"\bas the shoot's\b": "same as the shoot",
    r"\bwhat follows$": "results",
    r"\bstands twice\b": "is used twice",
    r"(?<!what )\b(time|light|that) cannot be\b(?! \w)|\bcannot be; ": "is not possible; give",
    r"\blooks? seen\b|\blooks called\b|\bits looks of\b": "changes seen",
    r"\bshows edges\b": "edges gone",
    r"\bfor the fog\b": "let the fog clear",
    r"\b(light|set|camera) free\b": "not locked",
    r"% (slower|quicker|faster)\b": "longer or shorter",
    r"\bheed the\b|\bair the room\b": "ventilate",
    r"\bset air\b|\bair on set\b|\bair over the set\b|\blocal air\b|\bkeeps over the set\b": "air at the set",
    r"\bholding box\b": "dry-ice box",
    r"\bmended\b": "amended",
    r"\bleave it$|\bnot now$|\blet go\b|\bback to the plan\b": "cancel",
    r"\b\d+ F\b": "°F",
    r"(?-i:\bCO2\b).* |.* (?-i:CO2\b)": "CO₂",
    r"[0-9}]%(?!;)": "a space before %",
    r"\bstack of\b": "series of",
    r"\bpassed unheeded\b": "missed",
    r"\bno later: ": "latest time",
    r"\bgoes where air\b": "put leftover dry ice where",
    r"\bspare it\b": "avoid this",
    r"\bcould not be worked out; why\b": "this could not be worked out. Details are in",
    r"\bmake believe\b": "pretend",
    r"\bif \S+ was placed\b": "were placed",
    r"\bclick this window\b": "click this screen",
    r"\bhumidity as a fraction\b": "45 %",
}  # fmt: skip
OF_TABLES = {"window/prep/sheet.py", "window/wrap/report_drawn.py", "window/prep/results_view.py"}
"""Modules with `%` in what no person reads: the widths of tables."""


def strings(path):
    """Yield each text of a module that is no docstring, with its line, an f-string's holes empty."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    aside = {
        id(line.value)
        for node in ast.walk(tree)
        for line in (getattr(node, "body", None) if isinstance(getattr(node, "body", None), list) else [])
        if isinstance(line, ast.Expr)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            aside.update(id(part) for part in node.values)
            yield node.lineno, "".join(part.value if isinstance(part, ast.Constant) else "{}" for part in node.values)
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in aside:
            yield node.lineno, node.value


def texts():
    """Yield every text that people may read, each with where it stands."""
    for path in sorted((HOME / "studiotimer").rglob("*.py")):
        name = path.relative_to(HOME / "studiotimer").as_posix()
        for line, text in strings(path):
            yield name, f"{name}:{line}", text
    for path in [HOME / "README.md", *sorted((HOME / "resources/help").glob("*.md"))]:
        for line, text in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            yield path.name, f"{path.name}:{line}", text
    checklist = HOME / "resources/checklist.json"
    yield checklist.name, checklist.name, checklist.read_text(encoding="utf-8")


def found_in(text):
    return [better for words, better in PUT_ASIDE.items() if re.search(words, text, re.IGNORECASE)]


def test_no_text_has_a_word_that_was_put_aside():
    bad = [
        f"{where}: {text[:90]!r} -> {better}"
        for name, where, text in texts()
        for better in found_in(text)
        if name not in OF_TABLES or better != "a space before %"
    ]
    assert not bad, "\n".join(bad)


@pytest.mark.parametrize(
    ("text", "better"),
    [
        ("one every", "one frame every"),
        ("2 takes, one every {} s", "one frame every"),
        ("bought over what is reckoned: 15 %", "forecast, expected or counted on"),
        ("cooling, K per W", "(K per W)"),
        ("its EXIF time cannot be", "is not possible; give"),
        ("“200C” cannot be; it must be at least", "is not possible; give"),
        ("runs 21 % slower", "longer or shorter"),
        ("{}% good", "a space before %"),
        ("5 of 8 CO2 readings", "CO₂"),
    ],
)
def test_a_word_that_was_put_aside_is_found(text, better):
    assert better in found_in(text)
