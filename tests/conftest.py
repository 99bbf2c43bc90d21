"""Every test has a home of its own, and no screen unless it makes one."""

import os
import sys

import pytest

if sys.platform == "linux":
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
os.environ.setdefault("QT_LOGGING_RULES", "qt.multimedia*=false")

HOMES = ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_RUNTIME_DIR", "XDG_DOCUMENTS_DIR", "HOME")


@pytest.fixture(autouse=True)
def home(tmp_path_factory, monkeypatch):
    """Return the folder that stands for the user's own."""
    folder = tmp_path_factory.mktemp("home")
    for name in HOMES:
        (folder / name).mkdir(mode=0o700)
        monkeypatch.setenv(name, str(folder / name))
    return folder
