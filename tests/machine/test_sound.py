"""Sound on a real sound server: one at a time, as loud as it should be, on the device that is there."""

import itertools
import subprocess
import sys
import time

import numpy as np
import pytest
from PySide6.QtCore import QTimer

from studiotimer.prep.plan import parse_plan
from studiotimer.session.live import new_session
from studiotimer.window import engine
from studiotimer.window.engine import BACK, Engine
from studiotimer.window.settings.values import SOUNDS, Settings
from studiotimer.window.sounds import ALARMS, Sounds
from tests.machine import heard
from tests.machine.sound import needs_sound_server, sound_server
from tests.screens import needs_screen, program, screen
from tests.window.conftest import PLAN
from tests.window.test_on_screen import wait_for

VOLUME = 0.8
PAIRS = 100


@pytest.fixture
def server(tmp_path, monkeypatch):
    with sound_server(tmp_path, "first") as started:
        monkeypatch.setenv("PULSE_SERVER", started.address)
        yield started


@pytest.fixture
def sounds(qapp):
    made = Sounds(Settings(volume=VOLUME))
    yield made
    made.end()


def wait_for_device(qtbot, sounds):
    qtbot.waitUntil(lambda: sounds.engine.ready, timeout=60_000)


def play(qtbot, sounds, name):
    """Play a sound and wait until it is over."""
    sounds.play(name)
    qtbot.wait(round(1000 * len(heard.sound(name)) / heard.RATE) + 700)


def heard_whole(name, play_it, apart=0.02, tries=5):
    """Return what is recorded once a sound is in it as it is: a busy machine may leave a gap, in it or in the recording."""
    unlike = []
    for _ in range(tries):
        recorded = play_it()
        unlike.append(heard.same(recorded, name, VOLUME))
        if unlike[-1] < apart:
            return recorded
    pytest.fail(f"{name} is never heard as it is: {unlike}")


def played(qtbot, server, sounds, name, device="first"):
    """Return what is heard on a device of a sound played there, whole."""

    def once():
        with server.recording(device) as recorded:
            play(qtbot, sounds, name)
        return recorded[0]

    return heard_whole(name, once)


@needs_sound_server
def test_sounds_are_heard_as_they_are_and_alarms_are_louder_and_unlike(qtbot, server, sounds):
    sounds.load()
    wait_for_device(qtbot, sounds)
    pieces = {}
    for name in SOUNDS:
        (pieces[name],) = heard.parts(played(qtbot, server, sounds, name))
    levels = {name: heard.level(piece) for name, piece in pieces.items()}
    for name in ALARMS:
        assert levels[name] - levels["accepted"] >= 6.0, levels
    for one, other in itertools.combinations(SOUNDS, 2):
        assert heard.alike(pieces[one], pieces[other]) < 0.5, (one, other)


@needs_sound_server
def test_sounds_that_overlap_are_heard_one_after_the_other_and_the_window_goes_on(qtbot, server, sounds):
    """An alarm and a key's answer, and an answer and a refusal: what froze the window for good."""
    sounds.load()
    wait_for_device(qtbot, sounds)
    beats = [time.monotonic()]
    beat = QTimer()
    beat.timeout.connect(lambda: beats.append(time.monotonic()))
    beat.start(10)
    with server.recording("first") as recorded:
        for pair in range(PAIRS):
            former, latter = ("swap", "accepted") if pair % 2 else ("accepted", "refused")
            sounds.play(former)
            qtbot.wait(50)
            sounds.play(latter)
            qtbot.wait(110)
        qtbot.wait(1500)
    beat.stop()
    assert sounds.trouble is None
    assert np.diff(beats).max() < 2.0
    present = heard.present(recorded[0], ("accepted", "refused", "swap"), VOLUME)
    for one, other in itertools.combinations(present.values(), 2):
        both = heard.runs(one & other)
        assert heard.seconds(both.max(initial=0)) <= 0.06, "no two are heard together for longer than a frame is"
    assert len(heard.runs(present["accepted"])) >= PAIRS * 0.95
    assert len(heard.runs(present["refused"])) >= PAIRS / 2 * 0.95
    assert len(heard.runs(present["swap"])) >= PAIRS / 2 * 0.95


@needs_sound_server
@needs_screen
def test_a_bouncing_pedal_is_heard_taken_and_refused_and_the_window_goes_on(server, tmp_path):
    path = tmp_path / "pedal.setlog"
    new_session(path, parse_plan(PLAN)).close()
    with screen("1280x800x24", "-noreset") as display, program(display, path) as running:
        running.window()
        wait_for(path, lambda entries: entries[-1].kind == "opened")
        time.sleep(4.0)
        with server.recording("first") as recorded:
            running.press("k", wait=0.3)
            for _ in range(10):
                running.press("h", "p", "h", wait=0.03)
            running.press("e", wait=1.0)
            wait_for(path, lambda entries: entries[-1].kind == "lamp")
            time.sleep(1.0)
        assert running.end() == 0
    present = heard.present(recorded[0], ("accepted", "refused"), Settings().volume)
    assert present["accepted"].any()
    assert present["refused"].any()
    assert heard.seconds(heard.runs(present["accepted"] & present["refused"]).max(initial=0)) <= 0.06


@needs_sound_server
def test_an_alarm_that_a_key_cuts_short_is_heard_again(qtbot, server, sounds):
    sounds.load()
    wait_for_device(qtbot, sounds)

    def cut_short():
        with server.recording("first") as recorded:
            sounds.play("swap")
            qtbot.wait(100)
            sounds.play("accepted")
            qtbot.wait(1600)
        return recorded[0]

    assert heard.present(heard_whole("swap", cut_short, 0.05), ("accepted",), VOLUME)["accepted"].any()


@needs_sound_server
def test_a_device_that_comes_later_is_found(qtbot, tmp_path, monkeypatch, sounds):
    with sound_server(tmp_path) as server:
        monkeypatch.setenv("PULSE_SERVER", server.address)
        monkeypatch.setattr(engine, "AGAIN_S", (0.5,))
        said = []
        sounds.engine.said.connect(said.append)
        server.stop()
        sounds.load()
        qtbot.waitUntil(lambda: bool(said), timeout=60_000)
        assert said == [sounds.trouble]
        assert said[0].startswith("No sound: this machine has no audio device")
        server.start("late")
        wait_for_device(qtbot, sounds)
        assert said[1:] == [BACK]
        assert sounds.trouble is None
        played(qtbot, server, sounds, "pull", "late")


@needs_sound_server
def test_an_alarm_is_heard_when_its_device_was_lost_and_returned(qtbot, server, sounds, monkeypatch):
    monkeypatch.setattr(engine, "AGAIN_S", (0.5,))
    sounds.load()
    wait_for_device(qtbot, sounds)

    def lost_and_returned():
        play(qtbot, sounds, "accepted")
        server.stop()
        sounds.play("swap")
        qtbot.waitUntil(lambda: not sounds.engine.ready, timeout=20_000)
        server.start("first")
        sounds.play("thirty")
        with server.recording("first") as recorded:
            wait_for_device(qtbot, sounds)
            qtbot.wait(1500)
        return recorded[0]

    heard_whole("thirty", lost_and_returned)
    assert sounds.trouble is None


@needs_sound_server
def test_a_device_unplugged_and_plugged_in_again_is_played_on(qtbot, server, sounds, monkeypatch):
    monkeypatch.setattr(engine, "AGAIN_S", (0.5,))
    server.take(server.do("list", "short", "modules").split()[0])
    other = server.add("plugged")
    sounds.load()
    wait_for_device(qtbot, sounds)
    for _ in range(2):
        played(qtbot, server, sounds, "pull", "plugged")
        server.take(other)
        sounds.play("swap")
        qtbot.waitUntil(lambda: not sounds.engine.ready, timeout=20_000)
        other = server.add("plugged")
        wait_for_device(qtbot, sounds)
        qtbot.wait(1500)


@needs_sound_server
def test_sounds_go_to_the_default_device_also_when_that_changes(qtbot, server, sounds):
    server.add("second")
    sounds.load()
    wait_for_device(qtbot, sounds)
    for device in ("first", "second", "first"):
        server.do("set-default-sink", device)
        qtbot.wait(700)
        played(qtbot, server, sounds, "pull", device)


@needs_sound_server
def test_a_device_is_let_go_when_nothing_sounds(qtbot, server, sounds):
    sounds.load()
    wait_for_device(qtbot, sounds)
    sounds.play("pull")
    qtbot.waitUntil(lambda: server.streams() == 1, timeout=20_000)
    qtbot.waitUntil(lambda: server.streams() == 0, timeout=20_000)


@needs_sound_server
def test_a_player_that_hangs_in_its_library_ends_also_without_a_window(server, tmp_path):
    (tmp_path / "sitecustomize.py").write_text(
        "import ctypes\n"
        "from PySide6.QtMultimedia import QAudioSink\n"
        "QAudioSink.start = lambda *_: ctypes.PyDLL(None).pause()\n"  # holds the interpreter's lock, too
    )
    environment = {**server.environment, "PYTHONPATH": str(tmp_path)}
    player = subprocess.Popen(
        engine.command(), env=environment, text=True,
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    with player:
        assert player.stdout.readline().startswith("device")
        player.stdin.write("1 play swap 1 alarm\n")
        player.stdin.flush()
        time.sleep(1.0)
        player.stdin.close()
        assert player.wait(60) != 0


def stands_in(source):
    """Return the command line of a player that does something else."""
    return [sys.executable, "-c", f"import sys, time\nsay = lambda words: print(words, flush=True)\n{source}"]


BAD = {
    "hangs": ("say('device x')\ntime.sleep(600)", "what plays it does not answer"),
    "floods": ("say('device x')\nwhile True: print('nonsense ' * 100)", "what plays it went wild"),
    "floods after a sound": (
        "say('device x')\nsys.stdin.readline()\nwhile True: say('1\\nplayed')",
        "what plays it went wild",
    ),
    "babbles": (
        "say('device x')\nsys.stdin.readline()\nwhile True: say('1\\nplayed'); time.sleep(0.001)",
        "what plays it went wild",
    ),
    "ends": ("sys.exit(1)", "what plays it ended by itself"),
    "loses its device": (
        "say('device x')\nsys.stdin.readline()\nsay('stalled')",
        "what plays it has a device that takes nothing",
    ),
}


@pytest.mark.parametrize("how", BAD)
def test_a_player_that_is_of_no_use_is_given_up_with_a_word_and_tried_again(qtbot, monkeypatch, how):
    monkeypatch.setattr(engine, "AGAIN_S", (0.05,))
    monkeypatch.setattr(engine, "ANSWER_MS", 300)
    source, words = BAD[how]
    made = Engine(line=stands_in(source))
    said = []
    made.said.connect(said.append)
    beats = [time.monotonic()]
    sounding = QTimer()
    sounding.timeout.connect(lambda: (beats.append(time.monotonic()), made.play("swap", 0.5, True)))
    sounding.start(20)
    made.start()
    qtbot.waitUntil(lambda: bool(said), timeout=60_000)
    assert said == [f"No sound: {words}; it is tried again each half minute. Everything else works."]
    assert np.diff(beats).max() < 2.0
    made._line = stands_in(
        "say('device x')\nfor line in sys.stdin: say(line.split()[0] + '\\nplayed ' + line.split()[2])"
    )
    qtbot.waitUntil(lambda: len(said) > 1, timeout=60_000)
    assert said[1:] == [BACK]
    sounding.stop()
    made.end()


def test_a_player_that_cannot_be_started_is_said(qtbot, monkeypatch, tmp_path):
    monkeypatch.setattr(engine, "AGAIN_S", (0.05,))
    made = Engine(line=[str(tmp_path / "nothing")])
    with qtbot.waitSignal(made.said, timeout=20_000) as told:
        made.start()
    assert "what plays it cannot be started" in told.args[0]
    made.end()


def test_without_the_sound_library_it_is_said_once(qtbot, monkeypatch, tmp_path):
    (tmp_path / "sitecustomize.py").write_text("import sys\nsys.modules['PySide6.QtMultimedia'] = None\n")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    made = Engine()
    with qtbot.waitSignal(made.said, timeout=60_000) as told:
        made.start()
    assert "apt-get install libpulse0" in told.args[0]
    made.play("swap", 0.5, True)
    made.end()
