"""One invented shoot from its plan to its report, by keys and clicks alone."""

import datetime as dt
import json

from tests.scenes.listed import scene
from tests.scenes.plans import placed
from tests.wrap.shoots import picture


def planned(stage):
    """Type a plan of two shots on Prep, save it, and begin its shoot."""
    stage.press("F2")
    for begins, text in (("title", "Spoon and cone"), ("shot 1, shot", "spoon")):
        stage.fill(begins, text)
    stage.reach("add a shot", over="shot 1, shot")
    stage.click("add a shot")
    stage.reach("shot 2, shot", over="add a shot")
    stage.fill("shot 2, shot", "cone")
    stage.press("Tab")
    stage.sees("what is planned: Spoon and cone")
    stage.picture("shoot: the plan typed on Prep")
    stage.click("save the plan")
    stage.sees("Save the plan as")
    stage.press("Return")
    saved = stage.made("plan", "spoon-and-cone.json")
    assert [shot["name"] for shot in json.loads(saved.read_text())["shots"]] == ["spoon", "cone"]
    stage.click("Begin the shoot")
    stage.path = stage.made("session", "*.setlog")
    stage.cue(lambda words: words == "Lock light")
    stage.picture("shoot: begun from its plan")


def taken(stage, frames):
    """Log frames, some seconds apart."""
    for _ in range(frames):
        stage.pressed("f", "frame")
        stage.leap(5.0)


def first_shot(stage):
    """Lock, pull, place, swap when it is cued, and get it."""
    for which in ("light", "set", "camera"):
        stage.cue(lambda words, which=which: words == f"Lock {which}")
        stage.pressed("space", "lock")
    stage.picture("shoot: all locked, a pull is wanted")
    for _ in range(3):
        stage.leap(20.0)
        stage.pressed("p", "pull")
    stage.picture("shoot: three scoops wait")
    stage.leap(240.0)
    stage.cue(lambda words: words.startswith("Hero in") and " in " not in words[7:])
    placed = stage.pressed("space", "hero_in")
    assert len(placed.scoops) == 1
    stage.sees("life left: ")
    stage.picture("shoot: the first hero stands")
    stage.leap(40.0)
    taken(stage, 3)
    swap = stage.pressed("s", "swap")
    assert swap.out == placed.scoops[0]
    stage.sees("life left: ")
    stage.picture("shoot: swapped")
    taken(stage, 3)
    stage.pressed("g", "got_it")
    stage.cue(lambda words: words.startswith("Out"))
    stage.picture("shoot: got it, the hero may go")
    assert stage.pressed("space", "out").why == "got it"


def second_shot(stage):
    """A hero falls, another comes in its place."""
    stage.cue(lambda words: words == "Begin cone")
    stage.pressed("space", "shot")
    for key in "123":
        stage.pressed(key, "lock")
    stage.leap(20.0)
    stage.pressed("p", "pull")
    first = stage.pressed("h", "hero_in")
    stage.leap(15.0)
    stage.press("shift+o")
    stage.press("Right", "Right")
    stage.sees("why: dropped")
    stage.picture("shoot: the hero fell")
    fell = stage.pressed("Return", "out")
    assert (fell.scoops, fell.why) == (first.scoops, "dropped")
    stage.cue(lambda words: words.startswith("Hero in"))
    stage.picture("shoot: the next hero is wanted at once")
    stage.pressed("h", "hero_in")
    stage.leap(40.0)
    taken(stage, 2)
    stage.pressed("g", "got_it")
    stage.pressed("o", "out")
    stage.cue(lambda words: words == "Every shot is got")
    stage.sees("crisp look, take 1 of 1, got it")
    stage.picture("shoot: every shot is got")


def wrapped(stage):
    """Read the day on Wrap, and write its report."""
    stage.press("F4")
    stage.sees("pulls were good: 4 of 4")
    stage.sees("8 frames")
    stage.picture("shoot: the day on Wrap")
    stage.click("Write report")
    stage.sees("Report into")
    stage.press("Return")
    report = stage.made("report", "report.html").read_text()
    assert all(word in report for word in ("spoon", "cone", "dropped"))
    stage.made("report on paper", "report.pdf")
    stage.picture("shoot: the report is written")


@scene("one shoot from its plan to its report")
def whole(stage):
    stage.begin()
    planned(stage)
    first_shot(stage)
    second_shot(stage)
    wrapped(stage)


@scene("pictures come as they are taken, and Wrap has them at their ages without a question")
def pictured(stage):
    """The camera is two seconds ahead and names no offset from UTC: what was logged with its pictures dates them."""
    placed(stage, 300.0)
    card = stage.folder / "card"
    card.mkdir()
    stage.press("v")
    stage.sees("capture folder")
    stage.write(str(card))
    for _ in range(2):
        stage.click("camera is more")
    stage.press("Return")
    stage.sees("no frame for")
    for number in range(3):
        stage.leap(6.0)
        taken = dt.datetime.now() + dt.timedelta(seconds=stage.ahead_s + 2.0)
        picture(card / f"A_{number}.JPG", f"{taken:%Y:%m:%d %H:%M:%S}", f"{taken:%f}", size=(480, 320))
        stage.logged(lambda entries, so_far=number: sum(one.kind == "frame" for one in entries) > so_far)
    stage.press("F4")
    stage.sees("3 frames called, no pictures yet")
    called = [name for name in stage.shown("A_") if ".JPG: " in name]
    stage.click("Add frames")
    stage.sees("Frames: a folder")
    stage.press("Return")
    stage.sees("take the frames of ")
    stage.no_longer("progress")
    stage.until(lambda: [name for name in stage.shown("A_") if ".JPG: " in name] == called, stage.shown)
    assert not stage.shown("message: A_0.JPG says")
    stage.picture("shoot: the pictures at their ages")
