"""The version is one number, and the list of changes has it."""

import re
import tomllib
from pathlib import Path

from studiotimer import __version__
from studiotimer.prep.plan import VERSION as PLANS
from studiotimer.session.first_lines import VERSION as SESSIONS

ROOT = Path(__file__).parents[1]


def test_the_version_is_said_the_same_everywhere():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    assert project["version"] == __version__
    changes = re.findall(
        r"^- \*\*(\d+\.\d+\.\d+):\*\* ((?:.|\n  )*)", (ROOT / "DEVELOPERS.md").read_text("utf-8"), re.M
    )
    newest, words = changes[0]
    assert newest == __version__
    assert f"plans of version {PLANS}" in " ".join(words.split())
    assert f"sessions of version {SESSIONS}" in " ".join(words.split())
