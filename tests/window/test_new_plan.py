"""A whole plan written from an empty one with real keys and clicks, counted."""

import os
import subprocess
import sys

from tests.long import long
from tests.screens import needs_screen, screen

pytestmark = [needs_screen, long]


def test_the_third_demos_plan_is_written_with_few_keys_and_clicks(tmp_path):
    with screen("1920x1080x24") as display:
        done = subprocess.run(
            [sys.executable, "-m", "tests.new_plan", str(tmp_path)],
            env={**os.environ, "DISPLAY": display, "QT_QPA_PLATFORM": "xcb"},
            capture_output=True, text=True, timeout=1500,
        )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    assert "key strokes of 160" in done.stdout
    assert len(list(tmp_path.glob("*.png"))) > 10
