"""The system clock set back and forward, time zones, midnight, a changed hour and a nap: countdowns and ages stay right."""

import json
import os
import subprocess
import sys
import time
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path

import pytest

from studiotimer.errors import NoWindowError
from studiotimer.prep.plan import parse_plan
from studiotimer.session.live import new_session, open_session
from studiotimer.session.peer import send_call
from studiotimer.session.reading import read
from studiotimer.units import duration
from tests.screens import PATIENCE_S
from tests.session.clocks import HandClock
from tests.window.conftest import PLAN

NEAR_S = 0.050
FAKETIME = next(Path("/usr/lib").glob("*/faketime/libfaketime.so.1"), None) if sys.platform == "linux" else None


@pytest.fixture
def zone(monkeypatch):
    """Set the machine's time zone."""

    def set_zone(name):
        monkeypatch.setenv("TZ", name)
        time.tzset()

    yield set_zone
    monkeypatch.undo()
    time.tzset()


@pytest.fixture
def hero(qtbot, shoot, clock):
    """Three heroes on set, and the forecast of their window."""
    for kind, given in [("shot", {}), ("pull", {}), ("pull", {}), ("pull", {}), ("hero_in", {"scoops": [1, 2, 3]})]:
        clock.advance(20.0)
        assert shoot.running.call(kind, given).refused is None
    fresh(qtbot, shoot)
    assert shoot.running.forecast.window is not None
    return shoot


def fresh(qtbot, window):
    """Wait for a forecast of now."""
    now = window.running.session.time()
    window.running.ask_forecast()
    known = lambda: window.running.forecast is not None and window.running.forecast.at >= now  # noqa: E731
    qtbot.waitUntil(known, timeout=20_000)


def left(window):
    """Return the seconds of working time left that the page counts down, and the words it shows."""
    window.page.tick()
    return window.running.forecast.window.end.likely - window.page.now(), window.page.clock.words


def times(window):
    return [row.time for row in reversed(window.page.log.rows)]


class TestHandMoved:
    @pytest.mark.fault("the clock set back an hour during a countdown")
    def test_ten_minutes_of_countdown_while_the_clock_is_set_back_an_hour(self, hero, clock):
        began, _ = left(hero)
        for second in range(600):
            clock.advance(1.0)
            if second == 200:
                clock.set_wall(-3600.0)
            if second == 400:
                clock.set_wall(7200.0)
            seconds, words = left(hero)
            assert abs(began - (second + 1.0) - seconds) < NEAR_S
            assert words in {
                duration(max(seconds, 0.0)),
                duration(max(seconds + NEAR_S, 0.0)),
                duration(max(seconds - NEAR_S, 0.0)),
            }

    @pytest.mark.fault("the machine asleep for ten minutes")
    def test_a_nap_of_ten_minutes(self, qtbot, hero, clock):
        before, _ = left(hero)
        age = hero.page.now() - hero.running.state.scoops[1].pulled
        clock.advance(600.0)
        assert left(hero)[0] == pytest.approx(before - 600.0, abs=NEAR_S)
        fresh(qtbot, hero)
        assert hero.page.now() - hero.running.state.scoops[1].pulled == pytest.approx(age + 600.0)
        assert hero.running.call("note", {"text": "awake"}).entry.tick == pytest.approx(clock.tick())

    def test_the_clock_set_back_does_not_bend_what_is_written(self, hero, clock, session_path):
        clock.set_wall(-3600.0)
        clock.advance(30.0)
        assert hero.running.call("out", {"scoops": [1, 2, 3]}).refused is None
        stays = {number: scoop.stays for number, scoop in hero.running.state.scoops.items()}
        assert hero.close_session()
        again = open_session(session_path, clock)
        assert {number: scoop.stays for number, scoop in again.state.scoops.items()} == stays
        assert again.time() >= stays[1][-1].since
        again.close()


class TestLogTimes:
    def begin(self, window, plan, path, start, zone_name, zone):
        zone(zone_name)
        clock = HandClock(start)
        window._run(new_session(path, plan, clock))
        return clock

    def note(self, window, clock, seconds):
        clock.advance(seconds)
        window.running.call("note", {"text": f"after {clock.seconds:g} s"})

    def test_over_midnight(self, window, plan, tmp_path, zone):
        start = datetime(2026, 6, 14, 23, 59, 50, tzinfo=UTC)
        clock = self.begin(window, plan, tmp_path / "night.setlog", start, "UTC", zone)
        self.note(window, clock, 9)
        self.note(window, clock, 2)
        assert times(window) == ["23:59:50", "23:59:59", "00:00:01"]
        assert window.page.now() == 11.0

    @pytest.mark.parametrize(
        ("start", "shown"),
        [
            (datetime(2026, 10, 25, 0, 59, 50, tzinfo=UTC), ["02:59:50", "02:59:59", "02:00:01"]),
            (datetime(2026, 3, 29, 0, 59, 50, tzinfo=UTC), ["01:59:50", "01:59:59", "03:00:01"]),
        ],
        ids=["back", "forward"],
    )
    def test_over_a_changed_hour(self, window, plan, tmp_path, zone, start, shown):
        clock = self.begin(window, plan, tmp_path / "hour.setlog", start, "Europe/Berlin", zone)
        self.note(window, clock, 9)
        self.note(window, clock, 2)
        assert times(window) == shown
        notes = [entry for entry in window.running.session.ledger.entries if entry.kind == "note"]
        assert (notes[1].at - notes[0].at).total_seconds() == 2.0
        assert window.page.now() == 11.0

    def test_another_time_zone_on_the_way(self, window, plan, tmp_path, zone):
        start = datetime(2026, 6, 14, 10, 0, tzinfo=UTC)
        clock = self.begin(window, plan, tmp_path / "zone.setlog", start, "Europe/Berlin", zone)
        self.note(window, clock, 60)
        assert times(window) == ["12:00:00", "12:01:00"]
        zone("America/New_York")
        self.note(window, clock, 60)
        assert times(window) == ["06:00:00", "06:01:00", "06:02:00"]
        assert window.page.now() == 120.0


WATCHED = """
import json, sys, time
from pathlib import Path
from PySide6.QtCore import QTimer
from studiotimer.session.forecast import Forecaster
from studiotimer.window import app, main, running

class Here:
    def __init__(self, plan, done):
        self.forecaster, self.done, self.hung = Forecaster(plan), done, False

    def look(self):
        pass

    def want(self, state, at, why):
        self.done(self.forecaster.forecast(state, at))

    def end(self):
        pass

running.Forecasts = Here

def write():
    window = next(one for one in app.application().topLevelWidgets() if isinstance(one, main.MainWindow))
    if window.running is None or window.running.forecast is None or window.running.forecast.window is None:
        return
    steady = time.clock_gettime(time.CLOCK_BOOTTIME)
    second = window.page.now()
    window.page.tick()
    if time.clock_gettime(time.CLOCK_BOOTTIME) - steady > 0.02:
        return
    line = {"steady": steady, "wall": time.time(), "second": second, "words": window.page.clock.words,
            "end": window.running.forecast.window.end.likely, "at": window.running.forecast.at}
    with open(sys.argv[2], "a") as file:
        file.write(json.dumps(line) + "\\n")

app.LOOK_S = 600.0  # a busy machine is no disk that does not answer: the start page is not shown meanwhile
app.application()
often = QTimer()
often.timeout.connect(write)
often.start(100)
raise SystemExit(app.run(Path(sys.argv[1])))
"""


def lines_of(seen):
    return [json.loads(line) for line in seen.read_text().splitlines()] if seen.exists() else []


def wait_for_lines(seen, process, count):
    """Wait until so many lines more are of the newest forecast."""
    end, before = time.monotonic() + PATIENCE_S, len(lines_of(seen))
    while True:
        found = lines_of(seen)
        if len([one for one in found[before:] if one["at"] == found[-1]["at"]]) >= count:
            return
        assert process.poll() is None, process.stderr.read()
        assert time.monotonic() < end, len(found)
        time.sleep(0.05)


@pytest.mark.fault("the system's clock set under the real program")
@pytest.mark.skipif(FAKETIME is None, reason="needs libfaketime: apt-get install faketime")
def test_the_real_program_while_the_systems_clock_is_set(tmp_path):
    """The wall clock is bent by libfaketime; told not to fake the monotonic clocks it leaves CLOCK_BOOTTIME alone.

    It also makes a thread wait long for another that works, so here forecasts are worked out in the window's own.
    """
    path, seen, offset = tmp_path / "shoot.setlog", tmp_path / "seen", tmp_path / "offset"
    session = new_session(path, parse_plan(PLAN))
    for kind, given in (("shot", {}), ("hero_in", {"scoops": [1, 2, 3]})):
        assert session.call(kind, given).refused is None
    assert session.close()

    def set_clock(by):
        offset.with_suffix(".new").write_text(f"{by}\n")
        offset.with_suffix(".new").replace(offset)

    def call(kind, **fields):
        end = time.monotonic() + PATIENCE_S
        while True:
            try:
                return send_call(kind, fields)["n"]
            except NoWindowError:
                assert time.monotonic() < end
                assert process.poll() is None, process.stderr.read()
                time.sleep(0.05)

    set_clock("+0s")
    environment = {
        **os.environ, "LD_PRELOAD": str(FAKETIME), "FAKETIME_TIMESTAMP_FILE": str(offset), "FAKETIME_NO_CACHE": "1",
        "FAKETIME_DONT_FAKE_MONOTONIC": "1", "DONT_FAKE_MONOTONIC": "1",
    }  # fmt: skip
    process = subprocess.Popen(
        [sys.executable, "-c", WATCHED, str(path), str(seen)], env=environment, stderr=subprocess.PIPE, text=True
    )
    try:
        wait_for_lines(seen, process, 1)
        for by in ("+0s", "-3600s", "+7200s"):
            set_clock(by)
            wait_for_lines(seen, process, 11)
            call("note", text=by)
        process.terminate()
        assert process.wait(PATIENCE_S) == 0
    finally:
        process.kill()
        process.wait(PATIENCE_S)
        process.stderr.close()
    found = lines_of(seen)
    assert max(one["wall"] for one in found) - min(one["wall"] for one in found) > 3 * 3600 - 600
    offsets = [one["second"] - one["steady"] for one in found]
    assert max(offsets) - min(offsets) < NEAR_S
    ends = {one["at"]: [each for each in found if each["at"] == one["at"]] for one in found}
    same = max(ends.values(), key=len)
    assert len(same) > 10
    for one in same:
        left = one["end"] - one["second"]
        assert one["words"] in {duration(max(left + late, 0.0)) for late in (-NEAR_S, 0.0, NEAR_S)}
    notes = [entry for entry in read(path).entries if entry.kind == "note"]
    ticked = [b.tick - a.tick for a, b in pairwise(notes)]
    assert all(0.5 < each < 600.0 for each in ticked)
    walls = [(b.at - a.at).total_seconds() for a, b in pairwise(notes)]
    assert walls == [pytest.approx(by + each, abs=60) for by, each in zip((-3600, 10_800), ticked, strict=True)]
