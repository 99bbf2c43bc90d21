"""Scenes of what sounds, what asks quietly, and what is said once."""

import time

import numpy as np

from tests.machine import heard
from tests.scenes import battery
from tests.scenes.house import SPEAKER
from tests.scenes.listed import scene
from tests.scenes.plans import one_hero, placed, plan

LOOKED_S = 20.0
"""In so long the program has looked at battery and disk again."""
TICKS_S = 2.0
"""In so long the window has seen a leap of its clock, unless its machine is busy."""
AGAIN_S = 20.5
"""What nobody answered for so long sounds again."""


class Ear:
    """Hears whether anything sounds."""

    def __init__(self, file):
        self._file, self._from = file, 0

    def listen(self):
        """Listen from now on."""
        self._from = self._file.stat().st_size // 2

    def hears(self):
        """Whether anything was heard since."""
        return np.abs(np.fromfile(self._file, "<i2", offset=2 * self._from) / 32768.0).max(initial=0.0) > heard.QUIET


@scene("the pull cue sounds when it is due and three times at most, and seen ends it")
def sounds(stage):
    with stage.prepare(plan([one_hero()])) as before:
        before.until(2)
        before.begin(locked=False)
    stage.open()
    with stage.server.recording(SPEAKER):
        ear = Ear(stage.server.folder / f"{SPEAKER}.raw")
        ear.listen()
        stage.until(lambda: stage.press("s") or ear.hears(), lambda: "no sound")
        for key in ("1", "2"):
            assert "pull" not in stage.sounds, "it is not due before the second lock"
            stage.pressed(key, "lock")
        _until_told(stage, "pull", 1)
        stage.picture("a pull is due and sounds")
        time.sleep(TICKS_S)
        ear.listen()
        for times in (2, 3):
            stage.leap(AGAIN_S)
            _until_told(stage, "pull", times)
        stage.until(ear.hears, lambda: "silence, with a pull that was told")
        for _ in range(2):
            stage.leap(AGAIN_S)
            time.sleep(TICKS_S)
        assert stage.sounds.count("pull") == 3, "three times at most"
        stage.pressed("p", "pull")
        _until_told(stage, "pull", 4)
        stage.press("y")
        stage.sees("message: Seen.")
        stage.picture("seen ends the sound of the cue")
        stage.leap(AGAIN_S)
        time.sleep(TICKS_S)
        assert stage.sounds.count("pull") == 4, "seen ends it"


def _until_told(stage, name, times):
    """Wait until the program told its player so often to play a sound."""
    stage.until(lambda: stage.sounds.count(name) >= times, lambda: stage.sounds)


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
