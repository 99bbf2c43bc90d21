"""A fault before the window shows ends in one line and exit 1."""

import os
import subprocess
import sys

import pytest

BREAKS = """
import sys
from studiotimer.cli import main
{how}
raise SystemExit(main([]))
"""
HOW = {
    "making the window": "from studiotimer.window.main import MainWindow\nMainWindow.__init__ = None",
    "reading the size that is kept": "from studiotimer.window import app\napp.size_kept = None",
    "loading the window's modules": "sys.modules['studiotimer.window.navigation'] = None",
    "the typeface": "from studiotimer.window import theme\ntheme.font = None",
}


@pytest.mark.fault("before the window shows, {what} fails")
@pytest.mark.parametrize("what", HOW)
@pytest.mark.parametrize("kept", [True, False], ids=["written down", "nothing can be written"])
def test_one_line_and_exit_1(tmp_path, what, kept):
    state = tmp_path / "state"
    state.mkdir() if kept else state.write_text("no folder")
    done = subprocess.run(
        [sys.executable, "-c", BREAKS.format(how=HOW[what])],
        env=os.environ | {"XDG_STATE_HOME": str(state)}, capture_output=True, text=True, check=False, timeout=120,
    )  # fmt: skip
    assert done.returncode == 1
    assert done.stderr.count("\n") == 1, done.stderr
    assert done.stderr.startswith("studiotimer: the window could not be opened; ")
    assert ("faults.log" in done.stderr) == kept
