"""Power lost after any system call of a real run: everything that was said to be on disk is there, at every cut."""

import json
import os
import shutil
import subprocess
import sys
import zlib
from pathlib import Path

import pytest

from studiotimer.session.first_lines import SessionFileError
from studiotimer.session.reading import parse
from tests.faults.power import Disk, command, replay
from tests.faults.test_disk import ROOT

RUN = """
import json, sys, zlib
from datetime import date
from pathlib import Path
from studiotimer import files
from studiotimer.places import keep_sessions_in
from studiotimer.prep.plan import save_plan
from studiotimer.session.elsewhere import go_on_elsewhere
from studiotimer.session.live import new_session, open_session
from studiotimer.session.memory import Memory, change_memory, memory_file
from studiotimer.wrap.marks import Marks, list_of
from tests.session.shoots import plan

root = Path(sys.argv[1])

def say(**what):
    sys.stdout.write(json.dumps(what, default=str) + "\\n")
    sys.stdout.flush()

def whole(path):
    say(path=path, sum=zlib.crc32(path.read_bytes()))

def said(session):
    assert session._writer.flush()
    say(path=session.path, n=session.on_disk)

keep_sessions_in(str(root / "sessions"))
session = new_session(root / "first" / "shoots" / "day.setlog", plan())
said(session)
for number in range(6):
    assert session.call("note", {"text": f"note {number}"}).refused is None
    said(session)

if "moved to another disk" in sys.argv:
    go_on_elsewhere(session)
if "its file emptied" in sys.argv:
    session.path.write_bytes(b"")
assert session.call("note", {"text": "later"}).refused is None
said(session)
assert session.close()
say(path=session.path, n=session.on_disk)
again = open_session(session.path)
said(again)
assert again.close()
say(path=again.path, n=again.on_disk)
for number in range(2):
    save_plan(plan(title=f"plan {number}"), root / "plans" / "new" / "plan.json")
    whole(root / "plans" / "new" / "plan.json")
    files.write_all(root / "out" / "files", {"shopping.csv": b"one", "sheet.pdf": b"%d" % number})
    whole(root / "out" / "files" / "shopping.csv")
    whole(root / "out" / "files" / "sheet.pdf")
    base = Memory()
    kept, trouble = change_memory(base, base.corrected(f"mix {number}", 1.1, date(2026, 6, 14)))
    assert trouble is None
    whole(memory_file())
    marks = Marks(again.path)
    marks.turn(f"frame {number}", True, [])
    marks.store()
    whole(list_of(again.path))
"""


@pytest.fixture
def traced(tmp_path, monkeypatch):
    """Return what makes a run and gives back the lines of its trace, and where it ran."""
    if shutil.which("strace") is None:
        pytest.skip("needs strace: apt-get install strace")
    root = tmp_path / "disk"
    root.mkdir()
    trace = tmp_path / "trace"

    def run(*given):
        environment = {**os.environ, "PYTHONPATH": str(ROOT), "XDG_DATA_HOME": str(root / "home" / "data")}
        program = [sys.executable, "-c", RUN, str(root), *given]
        done = subprocess.run(command(trace, program), env=environment, capture_output=True, text=True, check=False)
        if "ptrace" in done.stderr.lower():
            pytest.skip("this system lets nobody trace a program")
        assert done.returncode == 0, done.stderr
        return trace.read_text().splitlines(), root

    return run


def lost(lines, root):
    """Return what was said to be on disk and would not be there, at whatever system call the power went; and counts."""
    every = [json.loads(line) for line in _output(lines, root).splitlines()]
    missing, cuts = [], 0
    for disk in replay(lines, root):
        cuts += 1
        if not disk.changed:
            continue
        count = disk.output.count(b"\n")
        for place, said in enumerate(every[:count]):
            kept = disk.kept(said["path"])
            later = [one for one in every[place:] if one["path"] == said["path"]]
            if kept is None or not (
                zlib.crc32(kept) in [one["sum"] for one in later] if "sum" in said else _has(said, kept)
            ):
                missing.append((cuts, said))
    return missing, cuts, len(every)


def _has(said, kept):
    try:
        return len(parse(Path(said["path"]), kept).entries) >= said["n"]
    except SessionFileError:
        return False


def _output(lines, root):
    return [disk.output for disk in replay(lines, root)][-1].decode()


@pytest.mark.fault("the power lost after any system call of a day: {how}")
@pytest.mark.parametrize("how", ["as usual", "moved to another disk", "its file emptied"])
def test_at_every_cut_everything_acknowledged_is_there(traced, how):
    lines, root = traced(how)
    missing, cuts, count = lost(lines, root)
    print(f"{count} things acknowledged, {cuts} cuts")
    assert count >= 20
    assert cuts > 200
    assert missing == []


@pytest.mark.parametrize("left_out", ["files", "folders"])
def test_a_program_that_does_not_flush_would_be_caught(traced, left_out):
    lines, root = traced("as usual")
    kept, opened = [], {}
    for line in lines:
        if "openat(" in line and " = " in line and "O_" in line:
            opened[line.rpartition(" = ")[2].strip()] = "O_CREAT" not in line and "O_RDONLY" in line
        if "fsync(" in line:
            handle = line.partition("fsync(")[2].partition(")")[0]
            if opened.get(handle, False) == (left_out == "folders"):
                continue
        kept.append(line)
    assert lost(kept, root)[0]


def test_the_model_keeps_nothing_that_was_not_flushed():
    def hexed(text):
        return '"' + "".join(f"\\x{byte:02x}" for byte in text.encode()) + '"'

    disk = Disk("/d")
    steps = [
        ("mkdir", f"{hexed('/d/a')}, 0777", 0), ("openat", f"AT_FDCWD, {hexed('/d/a/f')}, O_RDWR|O_CREAT, 0666", 3),
        ("write", f"3, {hexed('one')}, 3", 3),
    ]  # fmt: skip
    for step in steps:
        disk.happened(*step)
    assert disk.kept("/d/a/f") is None
    disk.happened("fsync", "3", 0)
    assert disk.kept("/d/a/f") is None
    for handle, path in ((4, "/d/a"), (5, "/d")):
        disk.happened("openat", f"AT_FDCWD, {hexed(path)}, O_RDONLY", handle)
        disk.happened("fsync", str(handle), 0)
    assert disk.kept("/d/a/f") == b"one"
    disk.happened("write", f"3, {hexed('two')}, 3", 3)
    disk.happened("rename", f"{hexed('/d/a/f')}, {hexed('/d/a/g')}", 0)
    assert (disk.kept("/d/a/f"), disk.kept("/d/a/g")) == (b"one", None)
