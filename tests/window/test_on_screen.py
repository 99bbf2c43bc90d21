"""The real program on a virtual screen, driven with real key presses and with `studiotimer call`."""

import random
import signal
import time

import pytest

from studiotimer.prep.plan import parse_plan
from studiotimer.session.live import new_session, open_read_only
from studiotimer.session.reading import read
from studiotimer.session.verifying import verify
from tests.screens import HOMES, PATIENCE_S, needs_screen, program, screen
from tests.window.conftest import PLAN

pytestmark = needs_screen


@pytest.fixture
def begun(tmp_path):
    """A session file that was begun and closed."""
    path = tmp_path / "screen.setlog"
    new_session(path, parse_plan(PLAN)).close()
    return path


def wait_for(path, test, seconds=PATIENCE_S):
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        entries = read(path).entries
        if test(entries):
            return entries
        time.sleep(0.05)
    raise AssertionError(f"never came: {[entry.kind for entry in read(path).entries]}")


def test_a_small_shoot_with_real_keys(begun):
    with screen() as display, program(display, begun) as running:
        window = running.window()
        wait_for(begun, lambda entries: entries[-1].kind == "opened")
        running.press("k", "p")
        running.press("p", "p", "p", wait=0.8)
        running.press("j", "m", "1", "2", "3", "h", "d")
        wait_for(begun, lambda entries: entries[-1].kind == "top_up")
        time.sleep(1.0)
        running.press("s", "l")
        running.press("a", "Down", "Down", "Down", "Down", "Return", "Escape")
        wait_for(begun, lambda entries: entries[-1].kind in ("amend", "look"))
        running.press("BackSpace", "g", "o")
        entries = wait_for(begun, lambda entries: entries[-1].kind == "out")
        assert running.do("getwindowname", window).startswith("screen")
        assert running.end() == 0
    kinds = [entry.kind for entry in entries]
    for kind in ("shot", "pull", "judge", "move", "lock", "hero_in", "top_up", "swap", "look", "take_back", "got_it"):
        assert kind in kinds
    assert kinds.count("pull") == 4
    assert len(next(entry for entry in entries if entry.kind == "hero_in").scoops) == 3
    assert read(begun).entries[-1].kind == "closed"
    assert verify(begun).state == "whole"
    assert open_read_only(begun).state.contradictions == ()


def test_values_are_typed_with_real_keys_and_foot_switches_still_call(begun):
    with screen() as display, program(display, begun) as running:
        running.window()
        wait_for(begun, lambda entries: entries[-1].kind == "opened")
        running.press("k")
        wait_for(begun, lambda entries: entries[-1].kind == "shot")
        running.press("r", *["Tab"] * 7)
        running.press(*"68", "space", *"degrees", "space", "f", "p", "g", wait=0.05)
        running.press("Next", wait=0.5)
        cued = wait_for(begun, lambda entries: entries[-1].kind == "lock")
        running.press("Return")
        read_in = wait_for(begun, lambda entries: entries[-1].kind == "reading")
        assert [entry.kind for entry in read_in[len(cued) :]] == ["reading"]
        assert (read_in[-1].what, read_in[-1].value) == ("room_c", pytest.approx(20.0))
        assert read_in[-1].tick < cued[-1].tick, "its time is that of the key that opened the strip"
        running.press("n", *"pale", "space", *"spoon", "Return", wait=0.05)
        assert wait_for(begun, lambda entries: entries[-1].kind == "note")[-1].text == "pale spoon"
        running.press("a", "Return", wait=0.3)
        running.press(*"2", "space", "s", "space", *"earlier", "Return", wait=0.05)
        entries = wait_for(begun, lambda entries: entries[-1].kind == "amend")
        assert entries[-1].change["tick"] == pytest.approx(entries[-2].tick - 2.0, abs=0.01)
        assert running.end() == 0


def test_a_key_or_pedal_that_is_held_makes_one_call(begun):
    """The screen repeats a held key, and now and then its repeats look like presses."""
    with screen() as display, program(display, begun) as running:
        running.window()
        wait_for(begun, lambda entries: entries[-1].kind == "opened")
        running.press("k", "1", "2", "3")
        wait_for(begun, lambda entries: sum(entry.kind == "lock" for entry in entries) == 3)
        for key, kind in (("p", "pull"), ("space", "pull"), ("p", "pull")):
            before = len(read(begun).entries)
            running.do("keydown", key)
            time.sleep(2.5)
            running.do("keyup", key)
            entries = wait_for(begun, lambda entries, before=before: len(entries) > before)
            time.sleep(0.3)
            assert [entry.kind for entry in read(begun).entries[before:]] == [kind], key
            assert entries[before].kind == kind


def test_every_kind_can_be_called_from_outside(begun):
    calls = [
        ("shot",), ("lock", "--which", "light", "--on", "yes"), ("pull", "--to", "tray"), ("pull",), ("pull",),
        ("judge", "--as", "hero"), ("move", "--to", "box"), ("stand-in", "--prop", "foam scoop"),
        ("hero-in", "--scoop", "7", "--assume"), ("hero-in", "--scoops", "1", "2"),
        ("swap", "--out", "7", "--in", "9", "--assume"),
        ("look", "--seen", "edges"), ("hold", "--why", "break"), ("resume",), ("top-up", "--mass-kg", "0.5"),
        ("ice-cleared",), ("lamp", "--on", "no"), ("tub-out",), ("tub-back",), ("reading", "--what", "box_c", "--value=-41"),
        ("frame", "--name", "A_0001.JPG"), ("note", "--text", "from a script"),
        ("amend", "--change", '{"text": "mended"}'), ("take-back",), ("got-it",), ("out", "--why", "got it"),
    ]  # fmt: skip
    with screen() as display, program(display, begun) as running:
        running.window()
        wait_for(begun, lambda entries: entries[-1].kind == "opened")
        for arguments in calls:
            done = running.call(*arguments)
            assert done.returncode == 0, (arguments, done.stderr)
            assert "is on disk" in done.stdout
            kind = arguments[0].replace("-", "_")
            assert read(begun).entries[-1].kind == kind
        refused = running.call("top-up", "--mass-kg=-1")
        assert refused.returncode == 2
        assert "mass" in refused.stderr
        assert read(begun).entries[-1].kind == "out"
    assert verify(begun).state == "whole"


def test_with_no_window_a_call_says_so(tmp_path, capsys):
    from studiotimer.cli import main

    assert main(["call", "note", "--text", "nobody"]) == 1
    assert "no studiotimer window" in capsys.readouterr().err


def test_killed_between_any_two_calls_nothing_acknowledged_is_lost(begun):
    chance = random.Random(4)
    said = []
    with screen() as display:
        for life in range(4):
            with program(display, begun) as running:
                running.window()
                for number in range(chance.randint(1, 4)):
                    done = running.call("note", "--text", f"life {life} note {number}", "--json")
                    assert done.returncode == 0, done.stderr
                    said.append(f"life {life} note {number}")
                running.process.send_signal(signal.SIGKILL)
                running.process.wait(10)
    held = read(begun)
    assert held.condition in ("whole", "torn")
    assert [entry.text for entry in held.entries if entry.kind == "note"] == said


def test_a_signal_to_end_closes_a_window_whose_plan_is_not_saved_and_keeps_the_plan(tmp_path):
    homes = {name: str(tmp_path) for name in HOMES}
    with screen() as display, program(display, "window", **homes) as running:
        running.window()
        running.rest()
        running.press("F2")
        running.rest()
        running.do("type", "--delay", "60", "Orchard")
        running.rest()
        running.process.send_signal(signal.SIGTERM)
        assert running.process.wait(PATIENCE_S) == 0
    (kept,) = tmp_path.rglob("unsaved-plan.json")
    assert "Orchard" in kept.read_text(encoding="utf-8")
