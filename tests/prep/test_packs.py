"""Closed packs in a plan: their windows, what is said of them, and the days simulated with them."""

import math

import numpy as np
import pytest

from studiotimer.prep.plan import parse_plan
from studiotimer.prep.results import results_of
from studiotimer.prep.shots import shots_of
from studiotimer.prep.whatif import what_if
from studiotimer.prep.windows import life_of, scoop_of, window_of
from studiotimer.thermal.pack import PackChanges, changes_of_packs
from studiotimer.trial.luck import Dice
from studiotimer.trial.rehearsing import Rehearsing
from studiotimer.trial.spans import DRIP, EDGES, SHEEN, looks_of
from tests.session.shoots import told
from tests.trial.setups import CERTAIN


def planned(look="crisp", **shot):
    return parse_plan({
        "flavours": [{"name": "fig", "mix": "premium", "form": "pint"}], "dry_ice": {"holding_box": False},
        "shots": [{"name": "one", "look": look, "heroes": [{"flavour": "fig"}], "dressing": "0 s", **shot}],
    })  # fmt: skip


def changes(plan):
    return changes_of_packs([scoop_of(plan, plan.shots[0], plan.shots[0].heroes[0], iced=False)])[0]


@pytest.mark.parametrize("look", ["crisp", "sheen", "first drip", "melt"])
def test_its_window_is_of_its_wall(look):
    plan = planned(look)
    found, window = changes(plan), window_of(plan, plan.shots[0], iced=False)
    spans = {
        "crisp": (0.0, found.dew_s), "sheen": (found.dew_s, found.runs_s), "melt": (found.runs_s, 10_800.0),
        "first drip": (found.runs_s, found.runs_s + 45.0),
    }  # fmt: skip
    assert (window.start_s, window.end_s) == pytest.approx(spans[look])


def test_the_preview_of_a_new_shoot_has_its_wall():
    life = life_of(planned())
    assert isinstance(life.changes, PackChanges)
    assert life.end_early_s < life.window.end_s == life.changes.dew_s < life.end_late_s


def test_the_curve_is_its_walls():
    curve = what_if(planned(), planned().shots[0])
    assert curve.outside == "wall"
    assert [words for words, _ in curve.marks] == ["frost", "dew", "dew runs"]
    assert float(np.interp(dict(curve.marks)["dew"], curve.seconds, curve.edge_c)) == pytest.approx(0.0, abs=0.3)
    assert (curve.edge_c > curve.body_c).all()


def test_no_foot_no_bite_and_all_results():
    plan = planned(
        stands_on="slate", foot_in_frame=True,
        steps=[{"what": "fudge", "seconds": "10 s", "temperature": "32 °C"}],
    )  # fmt: skip
    (shot,) = shots_of(plan)
    assert (shot.foot.text, shot.foot.value, shot.sauces) == ("no foot: a closed pack keeps its melt", None, ())
    assert results_of(plan).shots[0].works


@pytest.mark.parametrize("look", ["crisp", "sheen", "run"])
def test_simulated_days_read_the_same_windows(look):
    plan = planned(look)
    looks = looks_of(plan)[0]["fig"]
    found = changes(plan)
    middle = looks.times[0][:, len(looks.taus) // 2]
    ends = found.dew_s if look == "crisp" else found.runs_s
    assert middle[[SHEEN, EDGES, DRIP]] == pytest.approx([found.dew_s, ends, found.runs_s], rel=0.01)
    warm = looks.times[1][:, len(looks.taus) // 2]
    assert warm[SHEEN] < middle[SHEEN]


def test_a_rehearsed_pack_is_seen_and_wiped():
    plan = planned()
    rehearsing = Rehearsing(plan, CERTAIN, 1)
    shot = {"name": "one", "look": "crisp", "lamp": "LED", "lux": 2000.0, "flavours": ["fig"], "spots": ["centre"]}
    calls = [
        (0, "shot", shot), (5, "pull", {"scoop": 1, "flavour": "fig", "to": "tray"}),
        (60, "hero_in", {"scoops": [1], "flavours": ["fig"], "spots": ["centre"], "shot": "one"}),
    ]  # fmt: skip
    state = told(*calls).state
    rehearsing.step(state, 60.0, None)
    _, frost, dew, runs = rehearsing.truth.wall(state, state.scoops[1])
    assert rehearsing.truth.stages(state, state.scoops[1])[2:4] == (dew, dew)
    seen = [rehearsing.sights(state, at)[0].words for at in (frost + 1, dew + 1, runs + 1)]
    assert seen == ["frosted", "dewy", "dew runs"]
    said = rehearsing.step(state, dew + 30.0, None)
    assert any("dew beads on it" in words for words in said)
    wiped = told(*calls, (dew + 40, "dew_wiped", {"scoops": [1]})).state
    rehearsing.step(wiped, dew + 41.0, None)
    assert rehearsing.sights(wiped, dew + 41.0)[0].words == "dry"
    assert isinstance(rehearsing.dice, Dice)
    assert math.isfinite(rehearsing.truth.wall(wiped, wiped.scoops[1])[2])
