"""Scenes of what is asked before it is logged, and of what heroes count as."""

from tests.scenes.listed import scene
from tests.scenes.plans import one_hero, plan, two_heroes


@scene("a key with nothing to act on asks before it logs a scoop that was never pulled")
def nothing_there(stage):
    with stage.prepare(plan([one_hero()])) as before:
        before.begin()
    stage.open()
    before = len(stage.entries)
    for key, why in (("s", "no hero is on set"), ("o", "nothing is on set")):
        stage.press(key)
        stage.sees("message: ", lambda words, why=why: why in words)
    stage.leap(1.0)
    stage.press("h")
    stage.sees("message: Not logged yet: ", lambda words: "Enter logs it so" in words)
    stage.picture("hero in with an empty line asks first")
    assert len(stage.entries) == before, "nothing is logged unasked"
    stage.leap(8.0)
    placed = stage.pressed("Return", "hero_in")
    assert placed.assumed_pull_s
    stage.leap(1.0)
    told = stage.call("note", "--text", "later")
    assert told.returncode == 0, told.stderr
    assert stage.entries[-1].tick - placed.tick > 9.0, "it is logged at the time of its key"
    stage.picture("the assumed pull is logged at the time of its key")
    refused = {
        ("reading", "--what", "room_c"): "--value",
        ("swap", "--out", "31", "--in", "32"): "--assume",
        ("hero-in", "--scoop", "33"): "--assume",
        ("pull", "--flavour", "mango"): "vanilla, lemon",
    }
    before = len(stage.entries)
    for arguments, helped in refused.items():
        done = stage.call(*arguments)
        assert (done.returncode, helped in done.stderr) == (2, True), (arguments, done.stderr)
    assert len(stage.entries) == before


@scene("a hero that fell is no take, out asks which, and after got it takes all")
def fallen(stage):
    with stage.prepare(plan([two_heroes(frames=3)])) as before:
        before.begin()
        for _ in range(6):
            before.call("pull")
        before.until(10)
        before.call("hero_in")
    stage.open()
    stage.press("o")
    stage.sees("scoops 1")
    stage.picture("out asks which of the heroes")
    assert stage.kinds[-1] == "opened"
    stage.press("o", "Down", "Right", "Right")
    stage.sees("why: dropped")
    out = stage.pressed("Return", "out")
    assert (out.scoops, out.why) == ((2,), "dropped"), "the oldest was offered first, its key once more is the next"
    stage.cue(lambda words: words.startswith("Hero in"))
    stage.picture("after a hero fell the next is wanted")
    stage.pressed("h", "hero_in")
    stage.pressed("g", "got_it")
    stage.cue(lambda words: words.startswith("Out "))
    gone = stage.pressed("o", "out")
    assert (len(gone.scoops), gone.why) == (2, "got it")


@scene("a stand-in leaves when the heroes come, or by its key, and shows while it stands")
def stand_in(stage):
    with stage.prepare(plan([one_hero(light="tungsten 6000 lx")])) as before:
        before.begin()
        for _ in range(3):
            before.call("pull")
    stage.open()
    assert stage.pressed("b", "stand_in").on
    stage.beside("cue: ", lambda said: "stand-in" in said)
    stage.picture("a stand-in under the hot lamp")
    stage.leap(90.0)
    stage.pressed("h", "hero_in")
    assert not stage.state.stand_ins(), "the heroes have its place"
    stage.pressed("o", "out")
    assert [stage.pressed("b", "stand_in").on for _ in range(2)] == [True, False]
    stage.beside("cue: ", lambda said: "stand-in" not in said)
    stage.pressed("g", "got_it")
    stage.leap(70.0)
    stage.cue(lambda words: words.startswith("Lamp off"))
    stage.picture("no stand-in and no hero under the hot lamp")


@scene("a finished shot comes back for another take and stays got; finished shots are offered last")
def finished(stage):
    cone = one_hero(name="cone", heroes=[{"flavour": "lemon", "spot": "top"}])
    with stage.prepare(plan([one_hero(), cone, cone | {"name": "bowl"}])) as before:
        before.begin()
        before.call("frame")
        before.call("got_it")
        before.call("shot")
    stage.open()
    stage.press("shift+k")
    stage.sees("shot cup")
    stage.picture("the photographer asks for the earlier shot")
    back = stage.pressed("Return", "shot")
    assert back.name == "cup"
    assert "cup" in stage.state.got, "it keeps what it had"
    stage.sees("crisp look", lambda words: "got, for another take" in words)
    stage.picture("the finished shot for another take")
    following = stage.pressed("k", "shot")
    assert following.name == "cone", "a shot that is not got comes before those that are"
