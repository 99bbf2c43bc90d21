"""Scenes of what is typed, amended, and pressed twice."""

import pytest

from tests.scenes.listed import scene
from tests.scenes.plans import one_hero, plan


def written(text):
    """Return the keys that type a text."""
    return [{" ": "space", ":": "colon"}.get(letter, letter) for letter in text]


@scene("a typed value makes no calls, and a foot switch still cues")
def typed(stage):
    with stage.prepare(plan([one_hero()])) as before:
        before.begin(locked=False)
    stage.open()
    stage.leap(2.0)
    stage.press("r", *["Tab"] * 5)
    stage.sees("will be logged: room")
    stage.leap(5.0)
    stage.press(*written("68 degrees f"))
    stage.sees("will be logged: ", lambda words: "20" in words)
    stage.picture("68 degrees f and what will be logged")
    assert stage.kinds[-1] == "opened", "letters make no calls"
    stage.press("Next")
    cued = stage.logged(lambda entries: entries[-1].kind == "lock")[-1]
    read = stage.pressed("Return", "reading")
    assert (read.what, read.value) == ("room_c", pytest.approx(20.0))
    assert cued.tick - read.tick > 4.0, "its time is that of the key that opened the strip"
    stage.press("r", *["Tab"] * 5, *written("68"))
    stage.sees("will be logged: ", lambda words: "°F" in words)
    stage.picture("68 out of range asks for its unit")
    stage.press("Escape")
    assert stage.kinds[-1] == "reading"


@scene("amend does nothing until something changed, and takes a time of day and earlier")
def amended(stage):
    with stage.prepare(plan([one_hero()])) as before:
        before.begin()
    stage.open()
    pulled = stage.pressed("p", "pull")
    stage.leap(60.0)
    before = len(stage.entries)
    stage.press("a", "Return")
    stage.sees("message: ", lambda words: "chang" in words)
    assert len(stage.entries) == before
    stage.picture("amend with nothing changed")
    stage.press(*written("15 s earlier"))
    stage.sees("will be logged: ")
    stage.picture("amend to fifteen seconds earlier")
    amend = stage.pressed("Return", "amend")
    assert amend.change["tick"] == pytest.approx(pulled.tick - 15.0, abs=1.0)


@scene("two presses at once are one, and a moment later two")
def bounced(stage):
    with stage.prepare(plan([one_hero()])) as before:
        before.begin()
    stage.open()
    stage.leap(1.0)
    stage.twice("p")
    stage.sees("message: ", lambda words: words.startswith("Counted once"))
    stage.picture("a second press at once is counted once")
    stage.leap(0.45)
    stage.press("p")
    entries = stage.logged(lambda entries: entries[-1].kind == "pull" and entries[-1].scoop == 2)
    assert [entry.kind for entry in entries].count("pull") == 2
    stage.sees("scoop 2, ")
    stage.picture("half a second later it is another scoop")
