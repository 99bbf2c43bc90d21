"""Scenes of the cue key: what it makes, and what it never does."""

from tests.scenes.listed import scene
from tests.scenes.plans import one_hero, placed, plan

NEVER = ("judge", "out")


def minutes(words):
    """Return the seconds of a time such as "3:08"."""
    whole, _, rest = words.partition(":")
    return 60 * int(whole) + int(rest)


@scene("a one-second-old scoop is never rejected by the cue key")
def young(stage):
    with stage.prepare(plan([one_hero(dressing="20 s")])) as before:
        before.begin()
        before.call("pull")
        before.until(20)
        before.call("hero_in")
    stage.open()
    scoop = stage.pressed("p", "pull").scoop
    stage.sees(f"scoop {scoop}, ")
    stage.picture("a scoop just pulled beside its cue")
    stage.cue(lambda words: words.startswith("Swap"))
    said = ""
    for _ in range(3):
        stage.press("space")
        said = stage.sees("message: ", lambda words, said=said: words != said and "Press once more" in words)
        stage.leap(8.0)
    assert not set(NEVER) & set(stage.kinds), "the cue key throws nothing away"
    cue = stage.cue()
    assert not any(word in cue for word in ("Reject", "Out ")), cue
    stage.leap(60.0)
    left = stage.sees(f"scoop {scoop}, ", lambda words: "to shoot" in words).split(", ")[2]
    assert minutes(left.split()[0]) > 60, left
    stage.picture("the same scoop later with minutes to shoot")


@scene("hero in asks whether the frames fit, and says what would help")
def fits(stage):
    slow = one_hero(name="slow", dressing="5 min", frames=20)
    quicker = one_hero(name="quicker", dressing="3 min", frames=20, nothing_moves=True)
    with stage.prepare(plan([slow, quicker])) as before:
        before.begin()
        for _ in range(4):
            before.call("pull")
    stage.open()
    stage.cue(lambda words: words == "No frame fits")
    stage.beside("cue: ", lambda said: "would help" in said)
    stage.picture("no frame fits and what would help")
    before = len(stage.entries)
    stage.press("space")
    stage.sees("message: ", lambda words: "nothing for this key to make" in words)
    assert len(stage.entries) == before
    stage.pressed("k", "shot")
    stage.cue(lambda words: words.startswith("Hero in"))
    stage.beside("cue: ", lambda said: " of 20 frames fit" in said)
    stage.picture("a hero for whom not all frames fit")


@scene("a new shot begins unlocked")
def unlocked(stage):
    cone = one_hero(name="cone", heroes=[{"flavour": "lemon", "spot": "top"}])
    steady = cone | {"name": "cone from above", "nothing_moves": True}
    with stage.prepare(plan([one_hero(), cone, steady])) as before:
        before.begin()
        before.call("got_it")
    stage.open()
    stage.pressed("k", "shot")
    stage.cue(lambda words: words == "Lock light")
    stage.picture("a new shot with nothing locked")
    for which in ("light", "set", "camera"):
        stage.cue(lambda words, which=which: words == f"Lock {which}")
        lock = stage.pressed("space", "lock")
        assert (lock.which, lock.on) == (which, True)
    stage.pressed("g", "got_it")
    stage.pressed("k", "shot")
    stage.sees("camera locked")
    assert not stage.cue().startswith("Lock")
    stage.picture("a shot for which nothing moves stays locked")


@scene("right after a swap no cue names the scoop just taken out")
def swapped(stage):
    placed(stage, after_s=60)
    stage.leap(180.0)
    stage.cue(lambda words: words.startswith("Swap centre"))
    stage.picture("a swap that is due")
    swap = stage.pressed("s", "swap")
    stage.leap(0.5)
    before = stage.shown("message: ")
    stage.press("space")
    stage.until(lambda: stage.shown("message: ") != before or stage.kinds[-1] != "swap", stage.shown)
    stage.leap(0.5)
    cue = stage.cue()
    assert f"for {swap.out}" not in cue, cue
    stage.picture("right after the swap")
    after = stage.entries[stage.kinds.index("swap") + 1 :]
    assert all(swap.out not in (getattr(one, "out", None), getattr(one, "scoop", None)) for one in after), after


@scene("a swap is due so early that the next hero is there in time, and the words say when")
def carried(stage):
    with stage.prepare(plan([one_hero(takes=4)], carry="45 s")) as before:
        before.begin()
        for _ in range(3):
            before.call("pull")
        before.until(60)
        before.call("hero_in")
    stage.open()
    words = stage.cue(lambda words: " in " in words and words.startswith("Swap"))
    stage.picture("a swap and in how long it is due")
    stage.leap(minutes(words.rpartition(" in ")[2]) + 1.0)
    stage.cue(lambda words: words.startswith("Swap centre") and " in " not in words)
    left = stage.sees("life left: ").partition(",")[0]
    stage.picture("the swap is due while the hero still has the time of the carry")
    assert 45 <= minutes(left) <= 150, left
