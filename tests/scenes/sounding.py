"""Scenes of what sounds, what asks quietly, and what is said once."""

import time
from contextlib import contextmanager

import numpy as np

from studiotimer.window.settings.values import SOUNDS
from tests.machine import heard
from tests.scenes import battery
from tests.scenes.house import SPEAKER
from tests.scenes.listed import scene
from tests.scenes.plans import one_hero, placed, plan

VOLUME = 0.6
ALIKE = 0.8
"""What was heard differs from the sound by less than this share of it; others differ by more than all of it."""

LOOKED_S = 20.0
"""In so long the program has looked at battery and disk again."""
HEARD_S = 0.9
"""From a sound's moment to its end in the recording."""


def _nearest(piece):
    """Return which sound a piece of a recording is; a busy machine leaves gaps in it."""
    apart = {name: heard.same(piece, name, VOLUME) for name in SOUNDS}
    nearest = min(SOUNDS, key=apart.get)
    return nearest if apart[nearest] < ALIKE else None


def _soon(found, seconds=8.0):
    """Return whether something comes within so many seconds."""
    end = time.monotonic() + seconds
    while not (there := found()) and time.monotonic() < end:
        time.sleep(0.1)
    return there


class Ears:
    """Count what was heard so far. A busy machine leaves gaps in a sound, which is then like none."""

    def __init__(self, file):
        self._file = file

    def _names(self):
        samples = np.fromfile(self._file, "<i2") / 32768.0
        return [_nearest(piece) for piece in heard.parts(samples, 0.25)]

    def surely(self, name):
        """How often a sound was heard, and whole."""
        return self._names().count(name)

    def maybe(self, name):
        """How often it was, or something that is like none."""
        names = self._names()
        return names.count(name) + names.count(None)


@contextmanager
def ears(stage):
    """Give what counts what is heard of the program."""
    with stage.server.recording(SPEAKER):
        yield Ears(stage.server.folder / f"{SPEAKER}.raw")


@scene("the pull cue sounds when it is due and three times at most, and seen ends it")
def sounds(stage):
    with stage.prepare(plan([one_hero()])) as before:
        before.until(20)
        before.begin(locked=False)
        before.call("lock", which="light", on=True)
    stage.open()
    with ears(stage) as ear:
        stage.until(lambda: stage.press("s") or ear.maybe("refused"), lambda: "no sound")
        stage.pressed("2", "lock")
        stage.until(lambda: ear.maybe("pull"), lambda: "no pull")
        stage.picture("a pull is due and sounds")
        time.sleep(2 * HEARD_S)
        before = ear.maybe("pull")
        for leaps in range(5):
            so_far = ear.maybe("pull")
            stage.leap(20.5)
            _soon(lambda so_far=so_far: ear.maybe("pull") > so_far, 8.0 if leaps < 2 else HEARD_S)
        assert ear.maybe("pull") > before, "again while nobody answers"
        assert ear.surely("pull") <= 3, "three times at most"
        before = ear.maybe("pull")
        stage.pressed("p", "pull")
        for _ in range(3):
            if _soon(lambda: ear.maybe("pull") > before):
                break
            stage.leap(20.5)
        assert ear.maybe("pull") > before, "the next pull sounds"
        stage.press("y")
        stage.sees("message: Seen.")
        stage.picture("seen ends the sound of the cue")
        time.sleep(HEARD_S)
        before = ear.surely("pull")
        stage.leap(20.5)
        time.sleep(HEARD_S)
        assert ear.surely("pull") == before, "seen ends it"


@scene("a hero is kept one minute more without a word in the log")
def kept(stage):
    placed(stage, after_s=240)
    stage.cue(lambda words: words.startswith("Swap") and " in " not in words)
    before = len(stage.entries)
    stage.press("t")
    stage.cue(lambda words: " in 0:5" in words or not words.startswith("Swap"))
    stage.picture("a hero kept one minute more")
    assert len(stage.entries) == before
    stage.leap(61.0)
    stage.cue(lambda words: words.startswith("Swap") and " in " not in words)


@scene("when the early edge comes a quiet cue asks, and either answer teaches")
def asked(stage):
    placed(stage, after_s=30)
    stage.leap(100.0)
    stage.beside("cue: ", lambda said: "1: edges gone, or not yet?" in said)
    stage.picture("a quiet cue asks whether the edges are gone")
    stage.press("shift+l")
    stage.sees("is not yet")
    stage.picture("not yet is one key and enter")
    look = stage.pressed("Return", "look")
    assert (look.seen, look.not_yet) == ("edges", True)
    stage.beside("cue: ", lambda said: "edges gone" not in said)
    stage.leap(100.0)
    stage.beside("cue: ", lambda said: "1: edges gone, or not yet?" in said)
    look = stage.pressed("l", "look")
    assert (look.seen, look.not_yet) == ("edges", False)


@scene("a low battery with its charger out is said quietly, and nothing is logged", lacks=battery.lacking)
def charger(stage):
    with stage.prepare(plan([one_hero()])) as before:
        before.begin()
    stage.open(percent=25)
    stage.sees("message: ", lambda words: words == "Battery 25 %: plug the charger in soon.")
    stage.picture("the battery is low")
    stage.pressed("p", "pull")
    assert stage.kinds[-2:] == ["opened", "pull"]


@scene("the charger pulled out and a disk nearly full are each said once, quietly", lacks=battery.lacking)
def short_of(stage):
    with stage.prepare(plan([one_hero()])) as before:
        before.begin()
    stage.open(percent=60, plugged=True)
    assert not stage.shown("message: The charger"), "it is in"
    stage.unplug(60)
    stage.sees("message: ", lambda words: words == "The charger is out; battery 60 %.")
    stage.picture("the charger is out")
    stage.fill_disk(120_000_000)
    told = stage.sees("message: ", lambda words: words.startswith("The disk"))
    assert told == "The disk with the session is nearly full, 120 MB left; make room on it."
    stage.picture("the disk is nearly full")
    stage.no_longer("message: The disk")
    stage.pressed("p", "pull")
    time.sleep(LOOKED_S)
    assert not stage.shown("message: The"), "each once"
    assert stage.kinds[-2:] == ["opened", "pull"]
