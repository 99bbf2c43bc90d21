"""The log of hops: each hop of a call and of a forecast stands in it with one number, and its own disk harms nobody."""

import errno
import os
import re
import subprocess
import sys
import threading
import time

import pytest
from PySide6.QtCore import Qt

from studiotimer import hop_file, hops
from studiotimer.errors import NoWindowError
from studiotimer.places import where_kept
from studiotimer.prep.plan import parse_plan
from studiotimer.session.forecast import Forecaster
from studiotimer.session.live import new_session, open_session
from studiotimer.session.peer import send_call
from studiotimer.window.forecasts import Forecasts, _AtWork
from tests.hung import hung_folder  # noqa: F401
from tests.window.conftest import PLAN
from tests.window.test_call_socket import in_thread
from tests.window.test_set_page import forecast_after, make

LINE = re.compile(r"(?P<ms>\d+\.\d{3}) (?P<category>calls|forecast|disk) (?P<hop>.+)")
PATIENCE_S = 30.0


def folder():
    return where_kept()[2]


def written():
    """Return the lines of the file so far: (steady milliseconds, category, hop)."""
    path = folder() / hop_file.FILE
    text = path.read_text(encoding="utf-8") if path.exists() else ""
    found = [LINE.fullmatch(line) for line in text.splitlines()]
    assert None not in found, text
    return [(float(one["ms"]), one["category"], one["hop"]) for one in found]


def of(category, number):
    """Return the hops that name one entry or forecast, in the order they were written."""
    name = f"{number}" if category == "forecast" else f"entry {number}"
    return [hop for _, kind, hop in written() if kind == category and re.search(rf"^{name}\b", hop)]


def in_order(hops_of, *wanted):
    """Hold hops to be there one after another, whatever stands between them."""
    left = iter(hops_of)
    for one in wanted:
        assert any(one in hop for hop in left), f"{one!r} does not come in its place in {hops_of}"


@pytest.fixture(autouse=True)
def over():
    yield
    workers = [lines.worker for lines in hop_file._kept]
    hop_file.end()
    for worker in workers:
        worker.thread.join(PATIENCE_S)


@pytest.fixture
def kept(home):
    return hop_file.keep(hops.CATEGORIES)


def test_a_key_is_followed_from_press_to_shown_as_on_disk(qtbot, kept, shoot, press):
    make(shoot, "shot")
    press(shoot, Qt.Key.Key_P)
    entry = shoot.running.session.ledger.entries[-1]
    assert entry.kind == "pull"
    qtbot.waitUntil(lambda: f"entry {entry.n} shown as on disk" in of("calls", entry.n))
    found = of("calls", entry.n)
    in_order(found, f"entry {entry.n} asked by a key: pull", "made", "written", "synced", "shown as on disk")
    in_order(found, "made", "shown", "answered in the window")
    assert len(found) == len(set(found)) == 7
    steady = [ms for ms, _, hop in written() if hop.startswith(f"entry {entry.n} ")]
    assert (steady[0], steady[-1]) == (min(steady), max(steady)), "between them are hops of two threads"
    assert abs(steady[-1] / 1000 - time.monotonic()) < PATIENCE_S


def test_a_button_and_the_session_itself_are_told_from_a_key(qtbot, kept, shoot):
    shoot.page.bar.called.emit("pull")
    entry = shoot.running.session.ledger.entries[-1]
    qtbot.waitUntil(lambda: of("calls", 1) != [] and of("calls", entry.n) != [])
    assert of("calls", 1)[0] == "entry 1 asked by the session itself: opened"
    assert of("calls", entry.n)[0] == f"entry {entry.n} asked by a button or the page: pull"


def test_a_program_is_answered_once_its_call_is_on_disk(qtbot, kept, shoot):
    number = in_thread(qtbot, lambda: send_call("note", {"text": "of a script"}))["n"]
    qtbot.waitUntil(lambda: any("answered" in hop for hop in of("calls", number)))
    in_order(of("calls", number), "asked by another program: note", "made", "written", "synced", "answered to another")
    assert "of a script" not in kept.read_text(encoding="utf-8")


def test_a_call_that_was_refused_has_no_number_and_takes_none(qtbot, kept, shoot):
    number = len(shoot.running.session.ledger.entries) + 1
    assert shoot.running.call("hero_in", {"scoop": "x"}).refused
    make(shoot, "shot")
    qtbot.waitUntil(lambda: any("made" in hop for hop in of("calls", number)))
    assert sum("asked" in hop for hop in of("calls", number)) == 1
    assert "hero_in not made: refused" in [hop for _, _, hop in written()]


def test_a_forecast_is_followed_from_why_to_shown(qtbot, kept, shoot, press):
    make(shoot, "shot")
    forecast_after(qtbot, shoot)
    shoot.running._refresh.stop()  # one that is asked for in between would take its place
    qtbot.waitUntil(lambda: not shoot.running._forecasts._at_work.busy)
    press(shoot, Qt.Key.Key_P)
    entry = shoot.running.session.ledger.entries[-1].n
    asked = re.compile(rf"(\d+) asked: entry {entry}$")
    qtbot.waitUntil(lambda: any(asked.match(hop) for _, _, hop in written()))
    number = next(int(found[1]) for _, _, hop in written() if (found := asked.match(hop)))
    qtbot.waitUntil(lambda: any("shown" in hop for hop in of("forecast", number)))
    in_order(of("forecast", number), "asked: entry", "begun", "done in ", "shown")


def test_a_forecast_that_another_overtakes_is_dropped_in_words(qtbot, kept, shoot, monkeypatch):
    """By forecasts of their own, which nobody else asks for; their numbers are no others'."""
    goes_on, worked_out = threading.Event(), Forecaster.forecast

    def held(*given):
        assert goes_on.wait(PATIENCE_S)
        return worked_out(*given)

    monkeypatch.setattr(Forecaster, "forecast", held)
    monkeypatch.setattr(_AtWork, "work_out_feet", lambda *_: None)
    session = shoot.running.session
    forecasts = Forecasts(session.plan, lambda _: None)
    forecasts._asked = forecasts._begun = 1000
    forecasts.want(session.state, session.time(), "a test")
    qtbot.waitUntil(lambda: forecasts._begun == 1001)
    forecasts.want(session.state, session.time(), "a test")
    forecasts.want(session.state, session.time(), "a test")
    goes_on.set()
    qtbot.waitUntil(lambda: any("shown" in hop for hop in of("forecast", 1003)))
    forecasts.end()
    in_order(of("forecast", 1001), "asked: a test", "begun", "done", "shown; 1003 is asked for")
    last = "1002 dropped: 1003 took its place before it was begun"
    assert of("forecast", 1002) == ["1002 asked: a test", last]


def test_the_disk_says_what_it_did(kept, tmp_path, monkeypatch):
    path = tmp_path / "shoot.setlog"
    new_session(path, parse_plan(PLAN)).close()
    session = open_session(path)
    before, refuses = os.fsync, [True]

    def full(handle):
        if refuses.pop() if refuses else False:
            raise OSError(errno.ENOSPC, "No space left on device")
        before(handle)

    assert session._writer.flush(PATIENCE_S)
    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", full)
        session.call("note", {"text": "kept"})
        end = time.monotonic() + PATIENCE_S
        while session.waiting:
            assert time.monotonic() < end
            time.sleep(0.02)
    assert session.close()
    hop_file.end()
    end = time.monotonic() + PATIENCE_S
    while sum("closed, its lock released" in hop for _, _, hop in written()) < 2:
        assert time.monotonic() < end
        time.sleep(0.02)
    disk = [hop for _, category, hop in written() if category == "disk"]
    in_order(disk, "shoot.setlog made, ", "shoot.setlog closed", "shoot.setlog opened, ", "refused: No space left on device",
             " written in ", "shoot.setlog closed, its lock released")  # fmt: skip
    assert re.search(r"^\d+ bytes to entry \d+ written in \d+\.\d\d ms, synced in \d+\.\d\d ms$", "\n".join(disk), re.M)


def test_only_what_was_asked_for_is_written(qtbot, home, shoot):
    hop_file.keep(("disk",))
    make(shoot, "shot", "pull")
    qtbot.waitUntil(lambda: any(" written in " in hop for _, _, hop in written()))
    assert {category for _, category, _ in written()} == {"disk"}


def test_nothing_is_written_unless_it_is_asked_for(qtbot, shoot):
    make(shoot, "shot", "pull")
    forecast_after(qtbot, shoot)
    qtbot.waitUntil(lambda: shoot.running.session.waiting == 0)
    assert not hops.on()
    assert not (folder() / hop_file.FILE).exists()
    for log in hops.LOGS.values():
        assert (log.disabled, log.propagate) == (True, False)
        assert not [one for one in log.handlers if isinstance(one, hop_file._Lines)]


def test_the_file_is_bounded(kept, monkeypatch):
    monkeypatch.setattr(hop_file, "LARGEST_BYTES", 2_000)
    for number in range(400):
        hops.note("calls", "entry %d a hop of a test", number)
    hop_file.end()
    end = time.monotonic() + PATIENCE_S
    while not written() or written()[-1][2] != "entry 399 a hop of a test":
        assert time.monotonic() < end
        time.sleep(0.02)
    files = [one for one in folder().iterdir() if one.name.startswith(hop_file.FILE)]
    assert len(files) == 2
    assert all(one.stat().st_size <= 2_000 for one in files)


def test_a_note_is_one_line_and_of_many_entries_there_is_one(kept):
    hops.note("disk", "%s opened", "a\nb\x1b[2J")
    hops.each(range(1, 1000), "written")
    end = time.monotonic() + PATIENCE_S
    while not any("written" in hop for _, _, hop in written()):
        assert time.monotonic() < end
        time.sleep(0.02)
    assert [hop for _, _, hop in written()][-2:] == ["a b [2J opened", "entries 1 to 999 written"]


@pytest.mark.fault("no folder for the log of hops")
def test_a_folder_that_cannot_be_written_is_said_once_and_calls_go_on(qtbot, tmp_path, monkeypatch, shoot, capfd):
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "file"))
    hop_file.keep(hops.CATEGORIES)
    said = ""
    for number in range(3):
        entry = shoot.running.call("note", {"text": f"note {number}"}).entry
        qtbot.waitUntil(lambda: shoot.running.session.on_disk >= entry.n)  # noqa: B023
        qtbot.waitUntil(lambda: not hop_file._kept[0].worker.busy)
        said += capfd.readouterr().err
    assert said.count("\n") == 1
    assert re.fullmatch(
        r"studiotimer: .*hops\.log cannot be written \(.+\); the window goes on without that log\.\n", said
    )


@pytest.mark.fault("the folder for the log of hops hangs")
def test_a_folder_that_hangs_holds_up_no_call(qtbot, hung_folder, monkeypatch, shoot):  # noqa: F811
    monkeypatch.setenv("XDG_STATE_HOME", str(hung_folder.folder))
    monkeypatch.setattr(hop_file, "MOST_WAITING", 5)
    hop_file.keep(hops.CATEGORIES)
    lines = hop_file._kept[0]
    qtbot.waitUntil(lambda: hung_folder.asked.is_set() and lines.worker.under_way_s > 0)
    for number in range(10):
        assert shoot.running.call("note", {"text": f"note {number}"}).entry is not None
    last = shoot.running.session.ledger.entries[-1].n
    qtbot.waitUntil(lambda: shoot.running.session.on_disk == last)
    assert lines._lost > 0
    assert lines.worker.under_way_s > 0
    hop_file.end()
    hung_folder.let_go()
    lines.worker.thread.join(PATIENCE_S)
    assert not lines.worker.thread.is_alive()


def test_the_real_program_writes_what_its_command_asks_for(tmp_path):
    path = tmp_path / "shoot.setlog"
    new_session(path, parse_plan(PLAN)).close()
    command = [sys.executable, "-m", "studiotimer", "--log", "calls,disk", str(path)]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    try:
        end, number = time.monotonic() + 2 * PATIENCE_S, None
        while number is None:
            assert time.monotonic() < end
            assert process.poll() is None, process.stderr.read()
            try:
                number = send_call("note", {"text": "of a script"})["n"]
            except NoWindowError:
                time.sleep(0.1)
        process.terminate()
        out, err = process.communicate(timeout=PATIENCE_S)
    finally:
        process.kill()
        process.wait(10)
    assert (process.returncode, err) == (0, "")
    assert out == f"studiotimer: hops of calls, disk are written to {folder() / hop_file.FILE}\n"
    in_order(of("calls", number), "asked by another program: note", "made", "synced", "answered to another program")
    assert "shoot.setlog closed, its lock released" in [hop for _, _, hop in written()]
    assert {category for _, category, _ in written()} == {"calls", "disk"}
