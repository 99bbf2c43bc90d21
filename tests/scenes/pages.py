"""Scenes of what is said before a shoot and after it."""

import json

from tests.scenes.listed import scene
from tests.scenes.plans import one_hero, plan

CLASSES = ("gelato", "superpremium", "premium", "economy", "sorbet", "sherbet")


@scene("the next plan counts as good what was used and not judged reject, of all pulled")
def counted(stage):
    with stage.prepare(plan([one_hero(takes=7)]), 3600.0) as before:
        before.begin()
        for _ in range(12):
            before.call("pull")
        before.call("hero_in", scoops=[1])
        for number in range(2, 8):
            before.call("swap", out=number - 1, **{"in": number})
        for number in (7, 8, 9):
            before.call("judge", scoop=number, **{"as": "reject"})
        before.call("got_it")
    stage.open()
    stage.press("F4")
    stage.sees("Wrap page")
    stage.picture("the day after with the next plan")
    done = stage.run("wrap", stage.path, "--out", stage.folder / "out", "--json")
    assert done.returncode == 0, done.stderr
    planned = json.loads((stage.folder / "out" / "next_plan.json").read_text())
    assert planned["good_share"] == "6 in 9", "7 used, one of them a reject; 2 more rejects; 3 wait unjudged"


@scene("prep changes light, cold and timing, never the client's product")
def product(stage):
    hard = one_hero(light="tungsten 20000 lx", takes=3, frames=20, dressing="2 min")
    planned = plan([hard], freezer="-12 °C", room={"air": "27 °C", "humidity": "60 %"})
    with stage.prepare(planned) as before:
        before.begin()
    stage.open()
    stage.press("F2")
    stage.sees("Prep page")
    stage.picture("prep of a shot that is hard to make")
    written = stage.folder / "plan.json"
    written.write_text(json.dumps(planned))
    done = stage.run("prep", written, "--out", stage.folder / "sheets", "--json")
    assert done.returncode == 0, done.stderr
    shot = json.loads(done.stdout)["shots"][0]
    assert not shot["works"]
    tried = [one["what"] for one in shot["tried"]]
    assert len(tried) > 4
    assert not [what for what in tried if any(one in what for one in CLASSES)], tried


@scene("prep proposes the split of the flavours over the freezers that costs least")
def shared(stage):
    flavours = [
        {"name": name, "mix": mix, "freezer": freezer}
        for name, mix, freezer in (("vanilla", "premium", 1), ("lemon", "sorbet", 1), ("cream", "superpremium", 2))
    ]
    planned = plan([one_hero()], flavours=flavours)
    del planned["freezer"]
    with stage.prepare(planned) as before:
        before.begin()
    stage.open()
    stage.press("F2")
    stage.click("2 freezers")
    told = stage.sees("how this was found: ", lambda words: "Costs least: " in words)
    assert "over 2 freezers: " in told, told
    stage.picture("prep proposes a split of the flavours over two freezers")
    written = stage.folder / "plan.json"
    written.write_text(json.dumps(planned))
    done = stage.run("prep", written, "--out", stage.folder / "sheets")
    assert done.returncode == 0, done.stderr
    assert "costs least over 2 freezers: " in done.stdout
