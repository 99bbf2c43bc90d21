"""Scenes of what sounds, what asks quietly, and what is said once."""

import time
from contextlib import contextmanager

import numpy as np

from tests.machine import heard
from tests.scenes import battery
from tests.scenes.house import SPEAKER
from tests.scenes.listed import scene
from tests.scenes.plans import one_hero, plan

VOLUME = 0.6
ALIKE = 0.2
"""What was heard differs from the sound by less than this share of it."""


@contextmanager
def ears(stage):
    """Give what counts how often a sound was heard so far."""
    with stage.server.recording(SPEAKER):
        file = stage.server.folder / f"{SPEAKER}.raw"

        def times(name):
            samples = np.fromfile(file, "<i2") / 32768.0
            return sum(heard.same(piece, name, VOLUME) < ALIKE for piece in heard.parts(samples, 0.25))

        yield times


@scene("the pull cue sounds when it is due and three times at most, and seen ends it")
def sounds(stage):
    with stage.prepare(plan([one_hero()])) as before:
        before.until(20)
        before.begin(locked=False)
        before.call("lock", which="light", on=True)
    stage.open()
    with ears(stage) as times:
        stage.until(lambda: stage.press("s") or times("refused"), lambda: "no sound")
        stage.pressed("2", "lock")
        stage.until(lambda: times("pull") == 1, lambda: times("pull"))
        stage.picture("a pull is due and sounds")
        for count in (2, 3):
            stage.leap(20.5)
            stage.until(lambda count=count: times("pull") == count, lambda: times("pull"))
        for _ in range(3):
            stage.leap(20.5)
            time.sleep(0.6)
        assert times("pull") == 3, "three times at most"
        stage.pressed("p", "pull")
        stage.until(lambda: times("pull") == 4, lambda: times("pull"))
        stage.press("y")
        stage.sees("message: Seen.")
        stage.picture("seen ends the sound of the cue")
        stage.leap(20.5)
        time.sleep(0.9)
        assert times("pull") == 4, "seen ends it"


@scene("a hero is kept one minute more without a word in the log")
def kept(stage):
    with stage.prepare(plan([one_hero(takes=4)])) as before:
        before.begin()
        for _ in range(3):
            before.call("pull")
        before.until(240)
        before.call("hero_in")
    stage.open()
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
    with stage.prepare(plan([one_hero(takes=4)])) as before:
        before.begin()
        for _ in range(3):
            before.call("pull")
        before.until(30)
        before.call("hero_in")
    stage.open()
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
    stage.open(battery=25)
    stage.sees("message: ", lambda words: words == "Battery 25 %: plug the charger in soon.")
    stage.picture("the battery is low")
    stage.pressed("p", "pull")
    assert stage.kinds[-2:] == ["opened", "pull"]
