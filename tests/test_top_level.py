"""What lies at the top of the repository: what a newcomer expects, and nothing that a tool left behind."""

import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
EXPECTED = {
    "README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "studiotimer", "resources", "tests", "demo_sessions",
}  # fmt: skip


def test_nothing_else_is_kept_at_the_top():
    if not (ROOT / ".git").exists():
        pytest.skip("not a clone: what is kept cannot be told from what lies about")
    kept = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    top = {name.split("/", 1)[0] for name in kept.splitlines()}
    assert {name for name in top if not name.startswith(".")} == EXPECTED
