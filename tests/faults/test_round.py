"""The round of faults counts what was survived, what was not and what was skipped."""

import subprocess
import sys

from tests.test_imports import PACKAGE

CASES = """
import pytest

@pytest.mark.fault("a disk that is well")
def test_well(): pass

@pytest.mark.fault("a disk that says {what}")
@pytest.mark.parametrize("what", ["no", "never"])
def test_not(what): assert what == "no"

@pytest.mark.fault("a disk nobody has")
def test_nobody(): pytest.skip("needs root")

@pytest.mark.fault("a disk that breaks afterwards")
def test_after(broken): pass

@pytest.fixture
def broken():
    yield
    raise OSError("gone")

def test_no_fault(): assert False
"""


def test_each_fault_has_a_line_and_all_are_counted(tmp_path):
    (tmp_path / "test_cases.py").write_text(CASES)
    (tmp_path / "pytest.ini").write_text("[pytest]\nmarkers = fault(words): a fault\n")
    command = [sys.executable, "-m", "tests.faults.round", str(tmp_path)]
    done = subprocess.run(command, cwd=PACKAGE.parent, capture_output=True, text=True, check=False)
    lines = done.stdout.splitlines()
    assert lines[:5] == [
        "survived      a disk that is well",
        "survived      a disk that says no",
        "NOT SURVIVED  a disk that says never",
        "skipped       a disk nobody has: needs root",
        "NOT SURVIVED  a disk that breaks afterwards",
    ]
    assert lines[-1] == "4 faults tried: 2 survived, 2 not; 1 skipped"
    assert done.returncode == 1
