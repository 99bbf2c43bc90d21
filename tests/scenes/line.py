"""Scenes of the line: holds, slots."""

import json

from tests.machine import monitors
from tests.scenes.listed import scene
from tests.scenes.plans import one_hero, plan, two_heroes

CREW = "no hero on set, "
"""How the crew screen's name begins."""


@scene("a long hold brings the line into the box, and after it is asked anew what fits")
def held(stage):
    with stage.prepare(plan([one_hero()])) as before:
        before.begin()
        before.until(40)
        before.call("pull", to="tray")
        before.call("pull", to="tray")
    stage.open()
    stage.pressed("w", "hold")
    stage.leap(301.0)
    stage.cue(lambda words: words.startswith("Move") and words.endswith("to the box"))
    stage.picture("a hold of five minutes brings the line into the box")
    first = stage.pressed("space", "move").scoop
    stage.cue(lambda words: words.startswith(f"Move {3 - first} ") and words.endswith("to the box"))
    assert {first, stage.pressed("space", "move").scoop} == {1, 2}
    stage.pressed("w", "resume")
    stage.cue(lambda words: words.startswith("Hero in 1 in "))
    stage.picture("after the hold it is asked anew what fits")


@scene(
    "each scoop has its slot on tiles, cues and the crew screen, and slots are printed",
    lacks=lambda: monitors.NEEDS if monitors.missing() else None,
)
def slots(stage):
    stage.on(monitors.monitors())
    planned = plan([two_heroes()])
    with stage.prepare(planned) as before:
        before.begin()
        before.call("pull")
        before.call("pull")
    stage.open()
    assert [stage.pressed("p", "pull").slot for _ in range(2)] == ["C1", "A2"]
    stage.sees("scoop 4, lemon, box A2")
    moved = stage.pressed("m", "move")
    assert (moved.scoop, moved.to, moved.slot) == (4, "tray", "A1")
    stage.sees("scoop 4, lemon, tray A1")
    stage.cue(lambda words: words == "Hero in 1, 4")
    stage.press("c")
    crew = stage.until(lambda: next(iter(stage.shown(CREW)), None), stage.shown)
    for route in ("1 vanilla, box A1 to left", "4 lemon, tray A1 to right"):
        assert route in crew, crew
    stage.picture("slots on tiles, cue and crew screen")
    came = stage.pressed("h", "hero_in")
    assert came.scoops == (1, 4), "the key means what the cue names"
    written = stage.folder / "plan.json"
    written.write_text(json.dumps(planned))
    done = stage.run("prep", written, "--out", stage.folder / "sheets")
    assert done.returncode == 0, done.stderr
    assert (stage.folder / "sheets" / "flags.pdf").read_bytes().startswith(b"%PDF")
