"""Cues: what is asked, when, and what is not."""

import math
import re
from dataclasses import replace

import pytest
from scipy import stats

from studiotimer.prep.plan import parse_plan
from studiotimer.session.climate import Climate
from studiotimer.session.coming import MOVES_S
from studiotimer.session.countdowns import AHEAD_S, Band, LineForecast
from studiotimer.session.cue import Cue
from studiotimer.session.cues import FOG_S, WRAP_NEXT, _fallback, _top_ups, cues
from studiotimer.session.fitting import fit_words
from studiotimer.session.forecast import Forecaster
from studiotimer.session.lining import LONGER, _longer_s, line_wanted, locks_at, moves
from studiotimer.session.live import Choice, new_session
from studiotimer.session.placing import _way_in, coming_of, looks, swap_point, swaps
from studiotimer.session.product import Product
from studiotimer.session.pulling import carry_s, pull_by, pull_to_set, pull_to_set_by, pull_to_set_times
from studiotimer.session.wanted import flavours_wanted, spares_of, take_of
from tests.session.clocks import HandClock

PLAN = {
    "room": {"air": "23 °C", "humidity": "48 %"},
    "flavours": [{"name": "pistachio", "mix": "superpremium"}, {"name": "lemon", "mix": "sorbet"}],
    "shots": [
        {"name": "coupe", "light": "tungsten 6000 lx", "takes": 2, "spares": 2, "dressing": "0 s",
         "heroes": [{"flavour": "pistachio", "spot": "left"}, {"flavour": "lemon", "spot": "right"}]},
        {"name": "cone", "light": "LED 2000 lx", "heroes": [{"flavour": "lemon", "spot": "top"}]},
    ],
    "pull_to_set": "30 s",
    "freezer": "-14 °C",
    "dry_ice": {"form": "pellets", "target_air": "12 °C"},
}  # fmt: skip


class Shoot:
    """A session, its clock, and what is cued."""

    def __init__(self, path, plan):
        self.clock = HandClock()
        self.session = new_session(path, plan, self.clock)
        self.forecaster = Forecaster(plan)

    def call(self, kind, wait=5.0, **given):
        self.clock.advance(wait)
        forecast = self.forecast()
        ending = forecast.window.ended_by if forecast.window else None
        outcome = self.session.call(kind, given, Choice(forecast.best, ending))
        assert outcome.refused is None, outcome.refused

    def calls(self, *kinds):
        for kind in kinds:
            self.call(kind)

    def lock(self):
        for which in ("light", "set", "camera"):
            self.call("lock", which=which, on=True)

    def forecast(self):
        return self.forecaster.forecast(self.session.state, self.session.time())

    def cues(self):
        forecast = self.forecast()
        return cues(self.session.desk(Choice(forecast.best)), forecast)

    def words(self):
        now = self.session.time()
        return [cue.said_at(now) for cue in self.cues()]

    def kinds(self):
        return [cue.kind for cue in self.cues()]


@pytest.fixture
def shoot(tmp_path):
    begun = Shoot(tmp_path / "cues.setlog", parse_plan(PLAN))
    yield begun
    begun.session.close()


def test_a_shot_then_its_locks_then_pulls_then_heroes(shoot):
    assert shoot.words()[0] == "Begin coupe"
    shoot.call("shot")
    for lock in ("light", "set", "camera"):
        assert shoot.words()[0] == f"Lock {lock}"
        shoot.call("lock", which=lock, on=True)
    assert shoot.words()[:2] == ["Pull pistachio", "Pull lemon"]
    shoot.call("pull", flavour="pistachio", to="box")
    assert shoot.words()[0] == "Top up the dry ice"
    assert "Pull lemon" in shoot.words()
    shoot.call("top_up", mass_kg=2.0, form="pellets", where="set")
    assert shoot.words()[0] == "Pull lemon", "the fog settles while the rest is pulled"
    shoot.call("pull", flavour="lemon", to="box")
    fog = next(words for words in shoot.words() if words.startswith("Wait"))
    hero = next(words for words in shoot.words() if words.startswith("Hero"))
    assert fog == "Wait: let the fog clear"
    assert hero.startswith("Hero in 1, 2 in 0:")
    shoot.clock.advance(FOG_S)
    assert next(words for words in shoot.words() if not words.startswith("Move")).startswith("Hero in 1, 2")


def on_set(shoot):
    shoot.call("shot")
    shoot.lock()
    shoot.call("pull", flavour="pistachio")
    shoot.call("pull", flavour="lemon")
    shoot.call("hero_in", wait=40)


def test_the_line_is_begun_at_the_second_lock_or_ten_minutes_before_the_last_is_expected(shoot):
    """So that scoops have rested when they are wanted: the hero waits for locks, the line does not."""
    shoot.call("shot")
    begun = shoot.session.time()
    pull = next(cue for cue in shoot.cues() if cue.kind == "pull")
    assert pull.due == pytest.approx(begun + 20 * 60 - 600)
    assert pull.sound == "pull"
    assert " in " in pull.said_at(begun)
    shoot.call("lock", which="light", on=True)
    assert next(cue for cue in shoot.cues() if cue.kind == "pull").due > shoot.session.time()
    shoot.call("lock", which="camera", on=True)
    assert next(cue for cue in shoot.cues() if cue.kind == "pull").due == pytest.approx(shoot.session.time())


def test_without_a_cold_place_to_wait_pulls_come_just_in_time(tmp_path):
    dry = PLAN | {"dry_ice": {"holding_box": False}}
    shoot = Shoot(tmp_path / "dry.setlog", parse_plan(dry))
    shoot.call("shot")
    assert "pull" not in shoot.kinds()
    shoot.lock()
    shoot.call("pull", flavour="pistachio")
    shoot.call("pull", flavour="lemon")
    assert "pull" not in shoot.kinds(), "both spots have a scoop that waits"
    shoot.call("hero_in", wait=40)
    ends = {hero.flavour: hero.end.early for hero in shoot.forecast().heroes}
    lead = pull_to_set_by(shoot.session.state, shoot.session.plan, 0.9)
    for cue in shoot.cues():
        if cue.kind == "pull":
            wanted = max(ends[cue.given["flavour"]] - lead, shoot.session.time())
            assert cue.due == pytest.approx(wanted, abs=0.5)
    shoot.session.close()


def test_a_swap_is_cued_for_the_end_of_each_spot_once_there_is_a_scoop_for_it(shoot):
    on_set(shoot)
    assert "swap" not in shoot.kinds()
    shoot.call("pull", flavour="pistachio", to="box", wait=20)
    swap = next(cue for cue in shoot.cues() if cue.kind == "swap")
    hero = next(one for one in shoot.forecast().heroes if one.flavour == "pistachio")
    assert swap.given == {"out": hero.scoop, "in": 3}
    lead = carry_s(shoot.session.state, shoot.session.plan, shoot.session.time())
    assert swap.due == pytest.approx(swap_point(hero.end) - lead, abs=0.5), "the next one is there in time"
    assert hero.end.early < swap_point(hero.end) < hero.end.likely
    assert swap.words == "Swap left: 3 for 1"
    assert swap.sound == "swap"


def test_with_a_spot_empty_no_hero_is_swapped_by_itself(shoot):
    """It would only grow old until the other spot has its hero too; but a crew that shoots without it is believed."""
    on_set(shoot)
    shoot.call("pull", flavour="pistachio", to="box", wait=20)
    assert "swap" in shoot.kinds()
    shoot.call("out", scoops=[2], why="dropped")
    assert "swap" not in shoot.kinds()
    shoot.call("frame", name="F1", wait=60)
    assert "swap" in shoot.kinds()


def test_a_hero_beside_which_nothing_gets_a_frame_is_swapped_at_once(shoot):
    """Its partner fell when little of its own window was left: it would stand, and the set wait, to its very end."""
    on_set(shoot)
    for flavour in ("pistachio", "lemon"):
        shoot.call("pull", flavour=flavour, to="box", wait=1)
    stands = next(one for one in shoot.forecast().heroes if one.flavour == "pistachio")
    shoot.clock.advance(stands.end.likely - shoot.session.time() - 20.0)
    shoot.call("out", scoops=[2], why="dropped", wait=0)
    now = shoot.session.time()
    assert "hero_in" not in shoot.kinds()
    swap = next(cue for cue in shoot.cues() if cue.kind == "swap")
    assert (swap.given, swap.due) == ({"out": 1, "in": 3}, now)
    assert swap.note == "nothing that waits gets a frame beside it"
    shoot.call("swap", **swap.given)
    assert "swap" not in [cue.kind for cue in shoot.cues() if cue.due <= shoot.session.time()]
    assert next(cue for cue in shoot.cues() if cue.kind == "hero_in").given["scoops"] == [4]


def test_a_hero_is_not_swapped_at_once_while_the_scoop_for_the_other_spot_is_not_there(shoot):
    on_set(shoot)
    shoot.call("pull", flavour="pistachio", to="box", wait=1)
    stands = next(one for one in shoot.forecast().heroes if one.flavour == "pistachio")
    shoot.clock.advance(stands.end.likely - shoot.session.time() - 20.0)
    shoot.call("out", scoops=[2], why="dropped", wait=0)
    assert "swap" not in shoot.kinds()


def test_two_heroes_of_a_flavour_are_not_promised_the_same_scoop(tmp_path):
    twins = [{"flavour": "lemon", "spot": "left"}, {"flavour": "lemon", "spot": "right"}]
    shot = {"name": "twins", "takes": 3, "dressing": "0 s", "heroes": twins}
    shoot = Shoot(tmp_path / "twins.setlog", parse_plan(PLAN | {"shots": [shot], "dry_ice": {}}))
    shoot.call("shot")
    shoot.lock()
    for kind in ("pull", "pull", "hero_in", "pull"):
        shoot.call(kind, wait=40)
    swaps = [cue for cue in shoot.cues() if cue.kind == "swap"]
    ends = {hero.scoop: hero.end.likely for hero in shoot.forecast().heroes}
    assert [cue.given for cue in swaps] == [{"out": min(ends, key=ends.__getitem__), "in": 3}]
    shoot.call("pull", wait=40)
    together = next(cue for cue in shoot.cues() if cue.kind == "out")
    assert sorted(together.given["scoops"]) == [1, 2], "both end at once and both have a spare"
    window = shoot.forecast().window
    assert window.end.early < together.due <= window.end.likely
    shoot.session.close()


@pytest.fixture
def tower(tmp_path):
    stack = [
        {"flavour": "pistachio", "spot": "low"},
        {"flavour": "lemon", "spot": "middle"},
        {"flavour": "lemon", "spot": "top"},
    ]
    shot = {"name": "tower", "takes": 2, "dressing": "0 s", "stacked": True, "stands_on": "slate", "heroes": stack}
    begun = Shoot(tmp_path / "tower.setlog", parse_plan(PLAN | {"shots": [shot], "dry_ice": {}}))
    begun.call("shot")
    begun.lock()
    for flavour in ("pistachio", "lemon", "lemon"):
        begun.call("pull", flavour=flavour, to="box", wait=20)
    begun.call(
        "hero_in", scoops=[1, 2, 3], flavours=["pistachio", "lemon", "lemon"], spots=["low", "middle", "top"], wait=40
    )
    yield begun
    begun.session.close()


def test_a_tower_is_replaced_whole(tower):
    """Whatever waits, no scoop of it is swapped alone; the window is that of the first to go."""
    assert "swap" not in tower.kinds()
    for flavour in ("pistachio", "lemon"):
        tower.call("pull", flavour=flavour, to="box", wait=1)
        assert "swap" not in tower.kinds()
    out = next(cue for cue in tower.cues() if cue.kind == "out")
    assert sorted(out.given["scoops"]) == [1, 2, 3]
    ends = [hero.end.likely for hero in tower.forecast().heroes]
    assert tower.forecast().window.end.likely == pytest.approx(min(ends), abs=1.0)
    assert out.due <= min(ends)


def test_the_lowest_is_never_taken_from_under_the_top(tower):
    def refused(kind, **given):
        return tower.session.call(kind, given, Choice(())).refused

    assert "2, 3 stand on 1; take all out together, or from the top" in refused("out", scoops=[1], why="gone")
    assert "3 stands on 1, 2" in refused("out", scoops=[1, 2], why="restyle")
    tower.call("pull", flavour="pistachio", to="box")
    assert "2, 3 stand on 1" in refused("swap", out=1, **{"in": 4})
    tower.call("out", scoops=[1], why="dropped")
    assert sorted(hero.number for hero in tower.session.state.heroes()) == [2, 3]


def test_out_takes_a_tower_whole_and_its_top_alone(tower):
    tower.call("out", scoops=[3], why="gone")
    tower.call("out")
    assert not tower.session.state.heroes()


def test_of_a_tower_only_the_lowest_has_a_foot(tower):
    tower.forecast()
    tower.forecaster.feet.work_out()
    feet = {hero.scoop: hero.foot for hero in tower.forecast().heroes}
    assert feet[1] is not None
    assert math.isfinite(feet[1].likely)
    assert not any(math.isfinite(feet[number].likely) for number in (2, 3))


def test_nothing_is_cued_for_pulling_on_hold_or_after_got_it(shoot):
    on_set(shoot)
    assert "pull" in shoot.kinds()
    shoot.call("hold")
    assert "pull" not in shoot.kinds()
    assert shoot.words()[0] == "Resume"
    assert shoot.cues()[0].note == ""
    shoot.call("resume")
    assert "pull" in shoot.kinds()
    shoot.call("got_it")
    assert not {"pull", "swap", "hero_in"} & set(shoot.kinds())
    assert shoot.words()[0] == "Out 1, 2"
    shoot.call("out")
    assert shoot.words()[0] == "Begin cone"


def test_what_a_hold_is_for_stands_beside_resume(shoot):
    on_set(shoot)
    shoot.call("hold", why="waiting for set")
    assert (shoot.words()[0], shoot.cues()[0].note) == ("Resume", "on hold: waiting for set")
    shoot.call("hold", why="break")
    assert shoot.cues()[0].note == "on hold: waiting for set", "a hold begins once"
    shoot.call("resume")
    shoot.call("hold")
    assert shoot.cues()[0].note == ""


def test_the_line_is_not_made_longer_than_spots_spares_and_the_next_heroes(shoot):
    shoot.call("shot")
    shoot.lock()
    for _ in range(6):
        flavour = next((cue.given["flavour"] for cue in shoot.cues() if cue.kind == "pull"), None)
        if flavour is None:
            break
        shoot.call("pull", flavour=flavour, to="box")
    waiting = [scoop.flavour for scoop in shoot.session.state.line()]
    assert waiting.count("pistachio") == waiting.count("lemon") == 2, "one for the spot, one spare"
    shoot.call("judge", scoop=1, **{"as": "reject"})
    assert [cue.given for cue in shoot.cues() if cue.kind == "pull"] == [{"flavour": "pistachio"}]


def test_heroes_are_wanted_until_the_shot_is_got(shoot):
    """A hero that fell or was taken out is no take made."""
    on_set(shoot)
    for _ in range(4):
        shoot.call("out", scoops=[hero.number for hero in shoot.session.state.heroes()], why="dropped")
        assert "pull" in shoot.kinds()
        shoot.call("pull", flavour="pistachio", to="box")
        shoot.call("pull", flavour="lemon", to="box")
        assert {"hero_in", "top_up"} & set(shoot.kinds())
        shoot.call("hero_in", wait=40)
    shoot.call("got_it")
    assert not {"pull", "swap", "hero_in"} & set(shoot.kinds())


def test_got_it_is_asked_once_all_frames_of_the_shot_are_taken(shoot):
    """Quietly, and by no sound: whether they are good the photographer knows; the answer ends it."""
    on_set(shoot)
    for number in range(15):
        shoot.call("frame", name=f"F{number}", wait=1)
    assert "got_it" not in shoot.kinds()
    shoot.call("frame", name="F15", wait=1)
    asked = next(cue for cue in shoot.cues() if cue.kind == "got_it")
    assert (asked.given, asked.sound) == ({"shot": "coupe"}, None)
    assert asked.words == "All 16 frames of coupe are taken: got it?"
    assert asked.due == shoot.session.time()
    shoot.call("got_it", **asked.given)
    assert "got_it" not in shoot.kinds()


FOR_MORE = {"pull", "hero_in", "swap", "out", "move", "top_up", "tub_finished"}
"""Cues that only a shot with frames left to take has."""


@pytest.fixture
def all_taken(tmp_path):
    """Both heroes stand, one more of each flavour waits in the box, and all sixteen frames are taken."""
    shoot = Shoot(tmp_path / "all.setlog", parse_plan(PLAN))
    on_set(shoot)
    for flavour in ("pistachio", "lemon"):
        shoot.call("pull", flavour=flavour, to="box")
    for number in range(15):
        shoot.call("frame", name=f"F{number}", wait=1)
    assert {"pull", "top_up"} & set(shoot.kinds())
    shoot.call("frame", name="F15", wait=1)
    yield shoot
    shoot.session.close()


def test_nothing_is_pulled_brought_or_topped_up_for_a_shot_that_has_all_its_frames(all_taken):
    """Whether its heroes stand, are over, or have fallen, and whatever waits."""
    ends = max(hero.end.likely for hero in all_taken.forecast().heroes)
    for wait in (0.0, ends - 30.0 - all_taken.session.time(), 60.0):
        all_taken.clock.advance(wait)
        assert not FOR_MORE & set(all_taken.kinds())
        assert "got_it" in all_taken.kinds()
    for scoop in (3, 4):
        all_taken.call("judge", scoop=scoop, **{"as": "reject"})
    all_taken.call("out", scoops=[1, 2], why="dropped")
    assert not FOR_MORE & set(all_taken.kinds())


@pytest.mark.parametrize("on_by", ["frame", "swap", "hero_in", "shot"])
def test_a_crew_that_goes_on_with_a_shot_that_has_all_its_frames_is_cued_again(all_taken, on_by):
    """A frame beyond, another hero, or the shot begun anew: heroes come and go as before."""
    given = {"frame": {"name": "F16"}, "swap": {"out": 1, "in": 3}, "hero_in": {}, "shot": {"name": "coupe"}}[on_by]
    if on_by == "hero_in":
        all_taken.call("out", scoops=[1, 2], why="gone")
        assert not FOR_MORE & set(all_taken.kinds())
    all_taken.call(on_by, **given)
    if on_by == "shot":
        all_taken.lock()
    assert FOR_MORE & set(all_taken.kinds())


def test_a_crew_that_takes_no_frames_beyond_for_a_minute_does_not_go_on(all_taken):
    """A burst ends where it ends, and then all look at it; six seconds are planned from one frame to the next."""
    for number in (16, 17, 18):
        all_taken.call("frame", name=f"F{number}", wait=1)
    all_taken.clock.advance(66.0)
    assert FOR_MORE & set(all_taken.kinds())
    all_taken.clock.advance(0.1)
    assert not FOR_MORE & set(all_taken.kinds())
    assert "got_it" in all_taken.kinds()
    all_taken.call("frame", name="F19")
    assert FOR_MORE & set(all_taken.kinds())


def test_a_got_shot_that_comes_back_for_another_take_is_cued_until_it_is_got_again(all_taken):
    all_taken.call("got_it")
    all_taken.call("shot", name="coupe")
    all_taken.lock()
    all_taken.call("frame", name="F16")
    all_taken.clock.advance(600.0)
    assert FOR_MORE & set(all_taken.kinds())


def test_no_tub_is_made_ready_or_pulled_from_elsewhere_for_a_shot_that_has_all_its_frames(all_taken):
    session = all_taken.session
    assert flavours_wanted(session.desk()) == ()
    all_taken.call("frame", name="F16")
    assert flavours_wanted(session.desk()) == ("pistachio", "lemon")
    all_taken.call("got_it")
    assert flavours_wanted(session.desk()) == ()


def test_got_it_is_not_asked_of_a_shot_of_one_frame_for_those_of_the_shot_before(tmp_path):
    shots = [shot | {"takes": 1, "frames": 1, "nothing_moves": True} for shot in PLAN["shots"]]
    shoot = Shoot(tmp_path / "one.setlog", parse_plan(PLAN | {"shots": shots}))
    on_set(shoot)
    shoot.call("frame", name="F0")
    assert "got_it" in shoot.kinds()
    shoot.call("shot", name="cone")
    assert "got_it" not in shoot.kinds()
    shoot.call("frame", name="F1")
    assert "got_it" in shoot.kinds()
    shoot.session.close()


def test_no_change_is_asked_for_of_a_stand_in(shoot):
    shoot.call("shot")
    shoot.call("pull", flavour="pistachio")
    shoot.call("stand_in", scoop=1, on=True)
    assert [(one.scoop, one.hero) for one in shoot.forecast().heroes] == [(1, False)]
    assert list(looks(shoot.session.desk(), shoot.forecast())) == []


def test_no_swap_is_cued_once_the_frames_still_wanted_fit(shoot):
    on_set(shoot)
    shoot.call("pull", flavour="pistachio", to="box")
    assert "swap" in shoot.kinds()
    for number in range(14):
        shoot.call("frame", name=f"F{number}", wait=0.5)
    assert "swap" not in shoot.kinds(), "two frames are left"


def test_a_hero_is_not_taken_out_while_its_window_runs(shoot):
    on_set(shoot)
    assert "out" not in shoot.kinds()
    last = max(hero.end.likely for hero in shoot.forecast().heroes)
    shoot.clock.advance(last + 1 - shoot.session.time())
    assert {"out"} <= set(shoot.kinds())


def test_a_cue_to_place_asks_whether_the_frames_fit(tmp_path):
    """Where they never do, the cue says how many; where none does, it makes nothing."""
    hot = PLAN | {"shots": [{"name": "coupe", "light": "tungsten 60000 lx", "dressing": "30 s", "frames": 30,
                             "heroes": [{"flavour": "lemon", "spot": "left"}]}]}  # fmt: skip
    shoot = Shoot(tmp_path / "hot.setlog", parse_plan(hot))
    shoot.call("shot")
    shoot.lock()
    shoot.call("pull", flavour="lemon", to="tray")
    shoot.clock.advance(600)
    first = next(cue for cue in shoot.cues() if cue.kind in ("hero_in", None))
    assert (first.kind, first.words, first.note) == (
        None,
        "No frame fits",
        "a rest in the box or dressing in 0:15 would help",
    )
    assert "move" in shoot.kinds()
    shoot.call("move", scoop=1, to="box")
    shoot.clock.advance(300)
    hero = next(cue for cue in shoot.cues() if cue.kind == "hero_in")
    assert re.fullmatch(r"\d+ of 30 frames fit; [23] heroes or dressing in 0:15 would help", hero.note)
    shoot.session.close()


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({}, "colder air or less light would help"),
        ({"dressing": "40 s"}, "dressing in 0:20 or colder air would help"),
        ({"stands_on": "slate", "foot_in_frame": True}, "a chilled plate or colder air would help"),
        ({"stands_on": "slate", "foot_in_frame": True, "plate_is": "chilled", "plate_at": "4 °C"}, "colder air or less light would help"),
        ({"stands_on": "slate", "foot_in_frame": True, "dressing": "40 s"}, "dressing in 0:20 or a chilled plate would help"),
    ],
)  # fmt: skip
def test_what_would_help_is_takes_timing_and_plate_and_never_the_product(tmp_path, fields, said):
    shot = {"name": "coupe", "dressing": "0 s", "frames": 8, "heroes": [{"flavour": "lemon", "spot": "left"}]} | fields
    shoot = Shoot(tmp_path / "fit.setlog", parse_plan(PLAN | {"shots": [shot]}))
    shoot.call("shot")
    shoot.call("pull", flavour="lemon", to="box")
    line = [LineForecast(1, "lemon", 0.0, (20.0,) * len(AHEAD_S), (22.0,) * len(AHEAD_S), -9.0)]
    desk = shoot.session.desk()
    assert fit_words(desk, line, 0.0, 0, 8) == said
    assert fit_words(desk, line, 0.0, 8, 8) == ""
    assert fit_words(desk, line, 0.0, 3, 8).startswith("3 of 8 frames fit; 3 heroes")
    shoot.session.close()


def test_right_after_a_swap_an_old_forecast_names_nobody_that_is_gone(shoot):
    on_set(shoot)
    shoot.call("pull", flavour="pistachio", to="box")
    old = shoot.forecast()
    shoot.session.call("swap", {"out": 1, "in": 3}, Choice(old.best))
    for cue in cues(shoot.session.desk(Choice(old.best)), old):
        assert 1 not in (cue.given.get("out"), *cue.given.get("scoops", ())), cue


def test_a_scoop_on_the_tray_is_moved_before_it_is_gone(shoot):
    shoot.call("shot")
    shoot.lock()
    shoot.call("pull", flavour="pistachio", to="tray")
    moved = next(cue for cue in shoot.cues() if cue.kind == "move")
    assert moved.given == {"scoop": 1, "to": "box"}
    start, end = shoot.forecast().line[0].placed(moved.due)
    assert end - start > 0
    assert shoot.session.time() < moved.due < shoot.session.time() + 600


def test_without_a_holding_box_it_is_moved_to_the_freezer(tmp_path):
    plan = parse_plan(PLAN | {"dry_ice": {"holding_box": False}})
    shoot = Shoot(tmp_path / "boxless.setlog", plan)
    shoot.call("shot")
    shoot.lock()
    shoot.call("pull", flavour="pistachio")
    moved = next(cue for cue in shoot.cues() if cue.kind == "move")
    assert (moved.words, moved.given) == ("Move 1 to the freezer", {"scoop": 1, "to": "freezer"})
    shoot.call(moved.kind, **moved.given)
    here = Climate(shoot.session.state, plan).history(
        shoot.session.state.scoops[1], shoot.session.time() + 60, Product.of(plan, "pistachio")
    )[-1]
    assert (here.spot, here.around.air_c) == ("freezer", -14.0)
    shoot.session.leave()


def test_no_cue_throws_a_waiting_scoop_away(shoot):
    """Cold brings its window back: it is to be moved, and judged by nobody but a person."""
    shoot.call("shot")
    shoot.call("pull", flavour="pistachio", to="tray")
    shoot.clock.advance(1800)
    assert "judge" not in shoot.kinds()
    assert {"scoop": 1, "to": "box"} in [cue.given for cue in shoot.cues() if cue.kind == "move"]


def test_a_long_hold_brings_the_tray_into_the_cold(shoot):
    shoot.call("shot")
    shoot.call("pull", flavour="pistachio", to="tray")
    shoot.call("hold")
    held = shoot.session.time()
    moved = next(cue for cue in shoot.cues() if cue.kind == "move")
    assert moved.due <= held + 300
    shoot.clock.advance(301)
    assert shoot.kinds()[0] == "move", "before the hold ends: resume can wait, the scoop cannot"


def test_a_tub_out_for_five_minutes_is_cued_back(shoot):
    shoot.call("shot")
    shoot.call("tub_out", flavour="lemon")
    out = shoot.session.time()
    cue = next(cue for cue in shoot.cues() if cue.kind == "tub_back")
    assert cue.due == pytest.approx(out + 300.0)
    shoot.call("tub_back")
    assert "tub_back" not in shoot.kinds()


def test_a_hot_lamp_over_an_empty_set_is_cued_off(shoot):
    shoot.call("shot")
    begun = shoot.session.time()
    lamp = next(cue for cue in shoot.cues() if cue.kind == "lamp")
    assert lamp.due == pytest.approx(begun + 60.0)
    shoot.call("stand_in", prop="foam scoop", on=True)
    assert "lamp" not in shoot.kinds()
    shoot.call("stand_in", prop="foam scoop", on=False)
    shoot.call("lamp", on=False)
    assert "lamp" not in shoot.kinds()
    shoot.call("shot", name="cone")
    shoot.call("lamp", on=True)
    assert "lamp" not in shoot.kinds(), "an LED is not hot"


def test_the_lamp_shines_on_an_empty_set_since_the_last_scoop_left_it(shoot):
    """What moves in the line meanwhile changes nothing of that."""
    shoot.call("shot")
    shoot.call("pull", flavour="lemon", to="box")
    shoot.call("stand_in", scoop=1, on=True)
    shoot.call("out", scoops=[1], why="gone")
    left = shoot.session.time()
    shoot.call("pull", flavour="lemon", to="tray")
    shoot.call("move", scoop=2, to="box")
    assert next(cue for cue in shoot.cues() if cue.kind == "lamp").due == pytest.approx(left + 60.0)
    shoot.call("hero_in", scoops=[2], flavours=["lemon"], spots=["right"])
    shoot.call("move", scoop=2, to="tray")
    back = shoot.session.time()
    assert next(cue for cue in shoot.cues() if cue.kind == "lamp").due == pytest.approx(back + 60.0)


def test_a_shot_without_light_asks_for_no_lamp(tmp_path):
    for lux, asked in (("0 lx", False), ("2000 lx", True)):
        shots = [PLAN["shots"][1] | {"light": f"LED {lux}"}]
        shoot = Shoot(tmp_path / f"{asked}.setlog", parse_plan(PLAN | {"shots": shots}))
        shoot.call("shot")
        shoot.call("lamp", on=False)
        shoot.call("pull", flavour="lemon", to="tray")
        shoot.lock()
        assert ("lamp" in shoot.kinds()) == asked
        shoot.session.close()


def test_what_waits_on_the_tray_is_tempered_there_already(shoot):
    shoot.call("shot")
    shoot.call("pull", flavour="lemon", to="box")
    shoot.call("pull", flavour="pistachio", to="tray")
    shoot.call("shot", name="coupe", dressing_s=12.0)
    box, tray = coming_of(shoot.session.desk(), shoot.forecast(), [1, 2])
    assert ((box.one.scoop, box.cold), (tray.one.scoop, tray.cold)) == ((1, True), (2, False))
    assert (box.dressing_s, tray.dressing_s) == (12.0, 12.0)
    assert [one.one.scoop for one in coming_of(shoot.session.desk(), shoot.forecast(), [2, 7])] == [2]
    assert coming_of(shoot.session.desk(), None, [1, 2]) == []


def test_a_freezer_is_named_where_there_are_several_or_the_plan_names_it(tmp_path):
    for number, (changes, freezer) in enumerate([
        ({}, None), ({"flavours": [PLAN["flavours"][0], PLAN["flavours"][1] | {"freezer": 2}]}, "freezer 1"),
    ]):  # fmt: skip
        shoot = Shoot(tmp_path / f"{number}.setlog", parse_plan(PLAN | changes))
        shoot.call("shot")
        named = {} if freezer is None else {"freezer": freezer}
        shoot.call("reading", what="freezer_c", value=-6.0, **named)
        read = next(cue for cue in shoot.cues() if cue.kind == "reading")
        assert read.given == {"what": "freezer_c", **named}
        shoot.session.close()


def test_dry_ice_leads_once_for_heroes_and_never_keeps_them_waiting(shoot):
    """A reading that says the ice does nothing must not have the crew top up for ever."""
    shoot.call("shot")
    shoot.lock()
    shoot.call("pull", flavour="pistachio")
    shoot.call("pull", flavour="lemon")
    assert shoot.cues()[0].kind == "top_up"
    shoot.call("top_up", mass_kg=0.5, form="pellets", where="set")
    shoot.call("reading", what="air_c", value=22.0)
    shoot.clock.advance(FOG_S)
    assert shoot.cues()[0].kind == "hero_in"
    assert "top_up" in shoot.kinds()


def test_beside_heroes_dry_ice_stands_behind_the_pulls(shoot):
    """Also where none was ever put down: before the first heroes it leads."""
    shoot.call("shot")
    shoot.lock()
    shoot.call("pull", flavour="pistachio")
    shoot.call("pull", flavour="lemon")
    shoot.call("hero_in", scoops=[1, 2], flavours=["pistachio", "lemon"], spots=["left", "right"])
    shoot.clock.advance(shoot.forecast().window.end.likely - shoot.session.time() + 1.0)
    kinds = shoot.kinds()
    assert {"pull", "top_up"} <= set(kinds)
    assert kinds.index("pull") < kinds.index("top_up")


def test_the_lamp_is_asked_for_before_heroes_that_are_reckoned_in_its_light(shoot):
    shoot.call("shot")
    shoot.lock()
    shoot.call("pull", flavour="pistachio")
    shoot.call("pull", flavour="lemon")
    shoot.call("top_up", mass_kg=2.0, form="pellets", where="set")
    shoot.clock.advance(FOG_S)
    lit = {one.scoop: one.end_s for one in shoot.forecast().line}
    shoot.call("lamp", on=False)
    shoot.clock.advance(1)
    lamp = shoot.cues()[0]
    assert (lamp.kind, lamp.words, lamp.given) == ("lamp", "Lamp on", {"on": True})
    for one in shoot.forecast().line:
        assert one.end_s == pytest.approx(lit[one.scoop], rel=0.1)
    shoot.call("lamp", on=True)
    assert "hero_in" in shoot.kinds()
    assert "lamp" not in shoot.kinds()


def test_after_a_top_up_the_fog_is_waited_for(shoot):
    shoot.call("shot")
    shoot.call("top_up")
    fog = next(cue for cue in shoot.cues() if cue.kind is None)
    assert fog.words == "Wait: let the fog clear"
    assert shoot.cues()[0].kind == "lock"
    shoot.clock.advance(FOG_S)
    assert None not in shoot.kinds()


def test_dry_ice_is_topped_up_to_hold_the_target(shoot):
    shoot.call("shot")
    shoot.lock()
    shoot.call("pull")
    assert next(cue.due for cue in shoot.cues() if cue.kind == "top_up") == pytest.approx(shoot.session.time())
    shoot.call("top_up", mass_kg=2.0, form="pellets", where="set")
    climate = shoot.forecast().climate
    assert climate.local_air_c < 12.0
    assert "top_up" not in shoot.kinds()
    shoot.call("ice_cleared", where="set")
    assert "top_up" in shoot.kinds()


def test_pull_to_set_begins_at_the_plan_and_follows_what_is_measured(shoot):
    plan = shoot.session.plan
    assert math.exp(pull_to_set(shoot.session.state, plan).mean) == pytest.approx(30.0)
    assert pull_to_set_by(shoot.session.state, plan, 0.9) == pytest.approx(30.0 * math.exp(1.2816 * 0.35), rel=1e-3)
    shoot.call("shot")
    for number in range(1, 7):
        shoot.call("pull", flavour="lemon", to="tray")
        shoot.call("hero_in", wait=50, scoops=[number])
    assert pull_to_set_times(shoot.session.state, 30.0) == pytest.approx([50.0] * 6)
    assert 40.0 < math.exp(pull_to_set(shoot.session.state, plan).mean) < 50.0


def test_scoops_that_rested_in_the_box_do_not_count_as_slow(shoot):
    shoot.call("shot")
    shoot.call("pull", flavour="lemon")
    shoot.call("hero_in", wait=900, scoops=[1])
    assert pull_to_set_times(shoot.session.state, 30.0) == []


def test_after_the_last_shot_it_is_said_that_every_shot_is_got(shoot):
    for _ in shoot.session.plan.shots:
        shoot.calls("shot", "got_it")
    assert shoot.words() == ["Every shot is got"]
    (last,) = shoot.cues()
    assert last.note == WRAP_NEXT


def test_there_is_always_something_to_show(shoot):
    assert cues(shoot.session.desk(), None)
    on_set(shoot)
    shoot.call("got_it")
    shoot.call("out")
    shoot.call("shot", name="cone")
    shoot.call("got_it")
    assert shoot.words()


def test_a_frosted_scoop_is_tempered_so_that_its_window_opens_as_dressing_ends(tmp_path):
    calm = PLAN | {"dry_ice": {}, "shots": [{"name": "cone", "light": "LED 2000 lx", "dressing": "20 s", "frames": 40,
                                             "takes": 3, "heroes": [{"flavour": "pistachio", "spot": "top"}]}]}  # fmt: skip
    shoot = Shoot(tmp_path / "calm.setlog", parse_plan(calm))
    shoot.call("shot")
    shoot.lock()
    shoot.call("pull", to="box")
    shoot.call("pull", to="box")
    shoot.call("hero_in", wait=240, scoops=[1])
    shoot.clock.advance(20)
    waiting = shoot.forecast().waiting(2)
    start, _ = waiting.placed(shoot.session.time())
    assert start > 20 + 10, "placed now it would stand frosted on set"
    moved = next(cue for cue in shoot.cues() if cue.kind == "move")
    swap = next(cue for cue in shoot.cues() if cue.kind == "swap")
    assert moved.given == {"scoop": 2, "to": "tray"}
    assert moved.due == pytest.approx(max(swap.due - waiting.temper_s - MOVES_S, shoot.session.time()), abs=1)
    shoot.clock.advance(max(moved.due - shoot.session.time(), 0))
    tempers_s = shoot.forecast().waiting(2).temper_s
    shoot.call("move", wait=0, scoop=2, to="tray")
    shoot.clock.advance(tempers_s + carry_s(shoot.session.state, shoot.session.plan, shoot.session.time()))
    start, _ = shoot.forecast().waiting(2).placed(shoot.session.time())
    assert start == pytest.approx(20.0, abs=5), "its window opens as its dressing ends"
    assert next(cue for cue in shoot.cues() if cue.kind == "swap").given["in"] == 2
    shoot.session.close()


def test_the_first_heroes_are_tempered_for_the_last_lock(shoot):
    shoot.call("shot")
    for which in ("light", "set"):
        shoot.call("lock", which=which, on=True)
    shoot.call("pull", flavour="pistachio", to="box")
    shoot.call("pull", flavour="lemon", to="box")
    shoot.clock.advance(300)
    moves = [cue for cue in shoot.cues() if cue.kind == "move"]
    assert not [cue for cue in moves if cue.given["to"] == "tray"], "the last lock is long overdue: nothing waits warm"


def test_the_last_lock_is_expected_as_long_after_the_second_as_each_took(tmp_path):
    shoot = Shoot(tmp_path / "locks.setlog", parse_plan(PLAN | {"dry_ice": {}}))
    shoot.call("shot")
    begun = shoot.session.time()
    for flavour in ("pistachio", "lemon"):
        shoot.call("pull", flavour=flavour, to="box", wait=100)
    shoot.call("lock", which="light", on=True, wait=100)
    shoot.call("lock", which="set", on=True, wait=300)
    expected = locks_at(shoot.session.state)
    assert expected == pytest.approx(begun + 600 * 3 / 2)
    moves = [cue for cue in shoot.cues() if cue.kind == "move"]
    assert moves
    for cue in moves:
        waiting = shoot.forecast().waiting(cue.given["scoop"])
        assert cue.given["to"] == "tray"
        lead = expected - waiting.temper_s - MOVES_S - cue.due
        assert 0 <= lead <= LONGER * waiting.temper_s + MOVES_S * (len(moves) - 1) + 0.1
    for until, cued in ((expected - MOVES_S - 1, True), (expected + 1, False)):
        shoot.clock.advance(until - shoot.session.time())
        assert ("move" in shoot.kinds()) == cued
    shoot.session.close()


def test_no_pull_is_cued_that_would_not_be_over_when_heroes_are_to_be_carried(tmp_path):
    """Who pulls also carries; what is over in time is pulled."""
    shoot = Shoot(tmp_path / "hands.setlog", parse_plan(PLAN | {"dry_ice": {}}))
    shoot.call("shot")
    shoot.lock()
    for flavour in ("pistachio", "lemon"):
        shoot.call("pull", flavour=flavour, to="box")
    shoot.call("hero_in", wait=400)
    shoot.call("pull", flavour="pistachio", to="box")
    lasts = pull_by(shoot.session.state, shoot.session.plan, shoot.session.time(), 0.9)
    seen = set()
    for _ in range(60):
        shoot.clock.advance(3)
        due = [cue.due for cue in shoot.cues() if cue.kind in ("swap", "hero_in")]
        pulled = [cue.due for cue in shoot.cues() if cue.kind == "pull"]
        for pull in pulled:
            now = shoot.session.time()
            assert not [one for one in due if max(pull, now) <= one < max(pull, now) + lasts]
            seen.add(pull <= now)
    assert seen == {True, False}
    shoot.session.close()


def test_no_top_up_is_due_while_the_heroes_window_runs(shoot):
    """The fog would be in the frame; the air may be as warm as it likes."""
    shoot.call("shot")
    shoot.lock()
    shoot.call("pull", flavour="pistachio")
    shoot.call("pull", flavour="lemon")
    shoot.call("top_up", mass_kg=0.5, form="pellets", where="set")
    shoot.clock.advance(FOG_S)
    shoot.call("hero_in")
    shoot.call("ice_cleared", where="set")
    forecast = shoot.forecast()
    now = shoot.session.time()
    warm = replace(forecast, climate=replace(forecast.climate, top_up_at=now))
    assert warm.window.end.likely > now + 30.0
    (cue,) = _top_ups(shoot.session.desk(Choice(forecast.best)), warm)
    assert cue.due >= warm.window.end.likely


def test_where_nothing_is_due_the_nearest_of_what_comes_is_shown(shoot):
    later = [Cue(None, words, due) for words, due in (("last", 900.0), ("next", 300.0), ("then", 600.0))]
    assert _fallback(shoot.session.desk(Choice(None)), later).words == "next"


@pytest.fixture
def trio(tmp_path):
    """Three heroes of one flavour on set and as many spares; the windows of all are told by hand, with `foreseen`."""
    spots = [{"flavour": "lemon", "spot": spot} for spot in ("left", "middle", "right")]
    shot = {"name": "trio", "takes": 5, "frames": 20, "dressing": "0 s", "heroes": spots}
    begun = Shoot(tmp_path / "trio.setlog", parse_plan(PLAN | {"shots": [shot], "dry_ice": {}}))
    begun.call("shot")
    begun.lock()
    for _ in range(6):
        begun.call("pull", to="box")
    begun.call("hero_in", scoops=[1, 2, 3], flavours=["lemon"] * 3, spots=["left", "middle", "right"])
    yield begun
    begun.session.close()


def foreseen(shoot, ends_s, lasts_s=400.0, spares=3):
    """Return the forecast of now with heroes that end so many seconds from now, and spares that last as long."""
    forecast, now = shoot.forecast(), shoot.session.time()
    heroes = tuple(
        replace(hero, start=Band(now, now, now), end=Band(*[now + end] * 3))
        for hero, end in zip(forecast.heroes, ends_s, strict=True)
    )
    start, end = (0.0,) * len(AHEAD_S), (lasts_s,) * len(AHEAD_S)
    line = tuple(replace(one, start_s=start, end_s=end, temper_s=0.0) for one in forecast.line[:spares])
    first = min(range(len(ends_s)), key=ends_s.__getitem__)
    window = replace(forecast.window, start=heroes[0].start, end=heroes[first].end, ended_by=heroes[first].scoop)
    return replace(forecast, heroes=heroes, line=line, window=window)


@pytest.mark.parametrize(
    ("ends_s", "lasts_s", "spares", "cued"),
    [
        ((100, 800, 900), 400.0, 3, [(1, 100), (2, 800), (3, 900)]),  # each by itself: the next is far
        ((100, 130, 900), 400.0, 3, [(1, 100), (2, None), (3, 900)]),  # two together, one walk after the other
        ((130, 100, 900), 400.0, 3, [(2, 100), (1, None), (3, 900)]),
        ((100, 130, 150), 900.0, 3, "out"),  # all three: what comes lasts much longer than what would stand on
        ((100, 130, 150), 900.0, 2, [(1, 100), (2, 130)]),  # two alone would stand beside the third, which goes as soon
        ((100, 130, 900), 400.0, 1, [(1, 100)]),
        ((100, 130, 900), 0.0, 3, []),  # spares that would not have a frame are none
    ],
)
def test_heroes_that_end_close_together_are_replaced_together_where_there_are_scoops(
    trio, ends_s, lasts_s, spares, cued
):
    """By hand: a frame is taken every six seconds, so what stands alone until the next goes gives few of them."""
    for surplus in range(4 + spares, 7):
        trio.call("judge", scoop=surplus, **{"as": "reject"})
    forecast = foreseen(trio, ends_s, lasts_s, spares)
    desk = trio.session.desk(Choice(forecast.best))
    now, walk = trio.session.time(), carry_s(trio.session.state, trio.session.plan, trio.session.time())
    found = list(swaps(desk, forecast))
    if cued == "out":
        ((one, due),) = [(cue, cue.due) for cue in found]
        assert (one.kind, one.given["scoops"]) == ("out", [1, 2, 3])
        assert due == pytest.approx(now + min(ends_s))
        return
    assert [cue.kind for cue in found] == ["swap"] * len(cued)
    assert [cue.given["out"] for cue in found] == [scoop for scoop, _ in cued]
    assert len({cue.given["in"] for cue in found}) == len(cued)
    first = now + min(ends_s) - walk
    for place, (cue, (_, end)) in enumerate(zip(found, cued, strict=True)):
        assert cue.due == pytest.approx(first + place * walk if end is None else now + end - walk)


def test_a_hero_without_a_spare_is_taken_out_as_its_window_is_over_and_not_before(trio):
    for spare in (4, 5, 6):
        trio.call("judge", scoop=spare, **{"as": "reject"})
    desk, now = trio.session.desk(Choice([])), trio.session.time()
    assert list(swaps(desk, foreseen(trio, (1, 800, 900), spares=0))) == []
    (out,) = swaps(desk, foreseen(trio, (0, 800, 900), spares=0))
    assert (out.kind, out.given, out.due) == ("out", {"scoops": [1], "why": "gone"}, now)


def test_a_hero_that_is_gone_since_the_forecast_is_not_swapped(trio):
    old = foreseen(trio, (100, 130, 900))
    trio.call("out", scoops=[1], why="dropped")
    trio.call("frame", name="F1")
    desk = trio.session.desk(Choice(old.best))
    found = list(swaps(desk, old))
    assert found
    assert not any(1 in (cue.given.get("out"), *cue.given.get("scoops", ())) for cue in found)


def test_none_is_swapped_at_once_for_a_free_spot_where_there_are_not_scoops_for_both(trio):
    """The one that waits gets no frame beside the hero that goes in five seconds; that one has no spare of its own."""
    trio.call("out", scoops=[3], why="dropped")
    old = foreseen(trio, (5, 900), spares=2)
    both = list(swaps(trio.session.desk(Choice(old.best)), old))
    assert [(cue.kind, cue.given["out"], cue.due) for cue in both] == [("swap", 1, trio.session.time())]
    for spare in (5, 6):
        trio.call("judge", scoop=spare, **{"as": "reject"})
    one = foreseen(trio, (5, 900), spares=1)
    assert [cue.kind for cue in swaps(trio.session.desk(Choice(one.best)), one)] == []


@pytest.mark.parametrize(("stands_s", "comes"), [(900.0, 10), (33.0, 6), (27.0, 0)])
def test_new_heroes_join_others_where_that_leaves_them_six_frames_of_ten(trio, stands_s, comes):
    """Alone they would give ten, six seconds apart."""
    walk = carry_s(trio.session.state, trio.session.plan, trio.session.time())
    forecast = foreseen(trio, (800, 900, walk + stands_s), lasts_s=57.0)
    desk, now = trio.session.desk(Choice(forecast.best)), trio.session.time()
    lines = coming_of(desk, forecast, [4])
    found = _way_in(desk, lines, forecast.heroes, take_of(desk.state, desk.plan), now)
    assert found.frames == comes


@pytest.mark.parametrize(
    ("temper_s", "lasts_s", "longer"),
    [(60.0, 900.0, 15.0), (400.0, 634.0, 20.0), (400.0, 594.0, 0.0), (400.0, 500.0, 0.0)],
)
def test_frost_is_waited_for_a_quarter_longer_and_no_more_than_half_of_what_a_window_has_to_lose(
    trio, temper_s, lasts_s, longer
):
    """A hundred frames are wanted, six seconds apart: 594 s of its window."""
    forecast = foreseen(trio, (800, 850, 900), lasts_s=lasts_s)
    one = replace(forecast.line[0], temper_s=temper_s)
    desk = trio.session.desk(Choice(forecast.best))
    assert _longer_s(desk, one, trio.session.time()) == pytest.approx(longer)


def test_whoever_makes_each_cue_as_it_is_given_comes_to_the_end_of_the_shoot(tmp_path):
    """Each call does what its cue asks, so that the same is not asked again at once; frames are taken while all stand."""
    shots = [
        {"name": "coupe", "light": "tungsten 6000 lx", "takes": 1, "frames": 4, "dressing": "0 s",
         "heroes": [{"flavour": "pistachio", "spot": "left"}, {"flavour": "lemon", "spot": "right"}]},
        {"name": "cone", "light": "LED 2000 lx", "takes": 2, "frames": 3, "dressing": "0 s",
         "heroes": [{"flavour": "lemon", "spot": "top"}]},
    ]  # fmt: skip
    shoot = Shoot(tmp_path / "led.setlog", parse_plan(PLAN | {"shots": shots}))
    made, frames = [], 0
    for _ in range(120):
        cue, window, now = shoot.cues()[0], shoot.forecast().window, shoot.session.time()
        if cue.words == "Every shot is got":
            break
        if cue.kind is not None and cue.due <= now:
            assert (cue.kind, cue.given) not in made[-1:], "it asks again for what was done"
            shoot.call(cue.kind, wait=1.0, **cue.given)
            made.append((cue.kind, cue.given))
        elif window is not None and window.start.likely <= now < window.end.likely:
            shoot.call("frame", wait=6.0, name=f"F{(frames := frames + 1)}")
        else:
            shoot.clock.advance(5.0)
    state = shoot.session.state
    assert set(state.got) == {"coupe", "cone"}
    assert not state.heroes()
    kinds = [kind for kind, _ in made]
    assert [kinds.count(kind) for kind in ("shot", "lock", "got_it")] == [2, 6, 2]
    assert {"pull", "hero_in", "out", "top_up"} <= set(kinds)
    shoot.session.close()


@pytest.mark.parametrize(("wait", "asked"), [(0.0, False), (5.0, False), (None, True)])
def test_what_was_seen_of_a_hero_is_not_asked_also_where_it_was_seen_as_it_came(shoot, wait, asked):
    on_set(shoot)
    if wait is not None:
        shoot.call("look", wait=wait, scoop=1, seen="edges")
    assert (
        any(cue.given == {"scoop": 1, "seen": "edges"} for cue in looks(shoot.session.desk(), shoot.forecast()))
        == asked
    )


def test_each_lock_is_asked_for_to_be_on(shoot):
    shoot.call("shot")
    assert shoot.cues()[0].given == {"which": "light", "on": True}


@pytest.mark.parametrize(
    ("serves_s", "wanted"),
    [(57.0, 6), (190.0, 6), (194.5, 6), (195.5, 3), (400.0, 3), (587.0, 3), (594.5, 1), (2000.0, 1)],
)
def test_so_many_are_pulled_ahead_as_rest_four_minutes_each_and_the_frames_still_need(trio, serves_s, wanted):
    """Three spots, one spare, a hundred frames six seconds apart; 45 s pass from one hero's window to the next one's."""
    forecast = foreseen(trio, (1, 1, 1), lasts_s=serves_s)
    assert spares_of(trio.session.state) == {"lemon": 1}
    assert line_wanted(trio.session.desk(Choice(forecast.best)), forecast) == {"lemon": wanted}


def test_a_free_spot_wants_its_scoop_besides(trio):
    trio.call("out", scoops=[3], why="dropped")
    forecast = foreseen(trio, (1, 1), lasts_s=400.0)
    assert line_wanted(trio.session.desk(Choice(forecast.best)), forecast) == {"lemon": 1 + 3}


@pytest.mark.parametrize(
    ("closes_s", "held_s", "due_s"),
    [(240.0, None, 180.0), (30.0, None, 0.0), (480.0, None, 420.0), (900.0, None, None), (480.0, 100.0, 200.0),
     (900.0, 20.0, 280.0), (120.0, 100.0, 60.0)],
)  # fmt: skip
def test_a_scoop_on_the_tray_is_moved_a_minute_before_it_closes_or_five_after_a_hold_began(
    trio, closes_s, held_s, due_s
):
    """Ten minutes ahead are looked at; what is in the box stays there."""
    trio.call("move", scoop=4, to="tray")
    if held_s is not None:
        trio.call("hold")
        trio.clock.advance(held_s)
    forecast, now = trio.forecast(), trio.session.time()
    lasts = tuple(60.0 if ahead < closes_s else 0.0 for ahead in AHEAD_S)
    line = tuple(replace(one, start_s=(0.0,) * len(AHEAD_S), end_s=lasts) for one in forecast.line)
    found = list(moves(trio.session.desk(Choice(forecast.best)), replace(forecast, line=line)))
    assert [(cue.given, cue.due) for cue in found] == (
        [({"scoop": 4, "to": "box"}, pytest.approx(now + due_s))] if due_s is not None else []
    )


def test_heroes_are_cued_as_the_fog_has_settled_a_minute_after_the_ice(shoot):
    shoot.call("shot")
    shoot.lock()
    for flavour in ("pistachio", "lemon"):
        shoot.call("pull", flavour=flavour, to="box")
    shoot.call("top_up", mass_kg=2.0, form="pellets", where="set")
    iced = shoot.session.time()
    assert next(cue for cue in shoot.cues() if cue.kind == "hero_in").due == pytest.approx(iced + 60.0, abs=5.1)
    shoot.clock.advance(59.0)
    assert "Wait: let the fog clear" in shoot.words()
    shoot.clock.advance(1.0)
    assert "Wait: let the fog clear" not in shoot.words()
    shoot.call("ice_cleared", where="set")
    shoot.call("top_up", mass_kg=1.0, form="pellets", where="set")
    assert "Wait: let the fog clear" in shoot.words(), "cleared before, not after"


@pytest.mark.parametrize(("locks", "asked"), [("20 min", True), ("20.5 min", False)])
def test_what_is_due_in_ten_minutes_is_told_and_nothing_later(tmp_path, locks, asked):
    """The line is begun ten minutes before the last lock is expected."""
    shoot = Shoot(tmp_path / "soon.setlog", parse_plan(PLAN | {"shots": [PLAN["shots"][0] | {"locks": locks}]}))
    shoot.call("shot")
    assert ("pull" in shoot.kinds()) == asked
    shoot.session.close()


@pytest.mark.parametrize(
    ("top_up_at", "window_s", "iced_s", "due_s"),
    [(0.0, None, 1000.0, 0.0), (200.0, None, 1000.0, 200.0), (100.0, 300.0, 1000.0, 300.0), (0.0, math.inf, 1000.0, 0.0),
     (0.0, None, 100.0, 350.0)],
)  # fmt: skip
def test_ice_is_topped_up_when_the_air_wants_it_after_the_window_and_four_times_in_its_period(
    tmp_path, top_up_at, window_s, iced_s, due_s
):
    """Seconds from now; the plan has it every 30 minutes, of which a quarter is 450 s."""
    ice = PLAN["dry_ice"] | {"top_up_every": "30 min"}
    shoot = Shoot(tmp_path / "ice.setlog", parse_plan(PLAN | {"dry_ice": ice}))
    on_set(shoot)
    shoot.call("top_up", mass_kg=0.5, form="pellets", where="set")
    shoot.clock.advance(iced_s)
    forecast, now = shoot.forecast(), shoot.session.time()
    window = None
    if window_s is not None:
        window = replace(forecast.window, end=Band(*[now + window_s] * 3))
    told = replace(forecast, window=window, climate=replace(forecast.climate, top_up_at=now + top_up_at))
    (cue,) = _top_ups(shoot.session.desk(), told)
    assert cue.due == pytest.approx(now + due_s)
    assert not list(_top_ups(shoot.session.desk(), replace(told, climate=replace(told.climate, top_up_at=None))))
    shoot.session.close()


def test_a_swap_is_due_at_the_forty_per_cent_point_of_an_end():
    """Of a normal end, by scipy; of one that never comes it never is."""
    early, likely, late = stats.norm(200.0, 30.0).ppf([0.1, 0.5, 0.9])
    assert swap_point(Band(early, likely, late)) == pytest.approx(stats.norm(200.0, 30.0).ppf(0.4), abs=0.01)
    assert swap_point(Band(100.0, math.inf, math.inf)) == math.inf


def test_a_change_is_asked_for_from_its_early_point_on_and_again_half_a_minute_after_a_no(shoot):
    on_set(shoot)
    edges = shoot.forecast().on_set(1).changes.edges

    def asked():
        return next(cue.due for cue in looks(shoot.session.desk(), shoot.forecast()) if cue.given["scoop"] == 1)

    assert asked() == pytest.approx(edges.early)
    shoot.call("look", scoop=1, seen="edges", not_yet=True, wait=edges.early - shoot.session.time())
    assert asked() == pytest.approx(shoot.forecast().on_set(1).changes.edges.likely)
    late = shoot.forecast().on_set(1).changes.edges.likely + 5.0
    shoot.call("look", scoop=1, seen="edges", not_yet=True, wait=late - shoot.session.time())
    assert asked() == pytest.approx(max(late + 30.0, shoot.forecast().on_set(1).changes.edges.likely))


def test_a_tower_of_two_is_replaced_whole_too(tmp_path):
    stack = [{"flavour": "lemon", "spot": "low"}, {"flavour": "lemon", "spot": "top"}]
    shot = {"name": "tower", "takes": 5, "frames": 20, "dressing": "0 s", "stacked": True, "heroes": stack}
    shoot = Shoot(tmp_path / "two.setlog", parse_plan(PLAN | {"shots": [shot], "dry_ice": {}}))
    shoot.call("shot")
    shoot.lock()
    for _ in range(4):
        shoot.call("pull", to="box")
    shoot.call("hero_in", scoops=[1, 2], flavours=["lemon"] * 2, spots=["low", "top"])
    forecast = foreseen(shoot, (100, 900), lasts_s=30.0, spares=2)
    (out,) = swaps(shoot.session.desk(Choice(forecast.best)), forecast)
    assert (out.kind, out.given["scoops"]) == ("out", [1, 2])
    shoot.session.close()
