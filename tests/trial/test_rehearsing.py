"""A rehearsed plan: what is told is what the simulated ice cream does, on the luck that a simulated crew meets."""

from dataclasses import replace
from itertools import pairwise

import pytest

from studiotimer.prep.plan import parse_plan
from studiotimer.session.live import new_session
from studiotimer.trial.crew import HandClock
from studiotimer.trial.luck import Dice, Luck, usual_luck
from studiotimer.trial.rehearsed import FastClock, by_its_cues, feet_of
from studiotimer.trial.rehearsing import Rehearsing, Sight
from studiotimer.trial.truth import Truth
from tests.prep.plans import CALM
from tests.trial.setups import CERTAIN, NO_ACCIDENTS
from tests.trial.test_crew import PLAN

SURE = Luck(NO_ACCIDENTS.people, NO_ACCIDENTS.rates | {"dropped": 1.0, "late_lock": 1.0, "one_take_more": 1.0})


class Day:
    """A session on a clock moved by hand, and the rehearsal that looks at it."""

    def __init__(self, folder, plan=PLAN, luck=NO_ACCIDENTS, seed=3):
        self.clock = HandClock()
        self.plan = parse_plan(plan)
        self.session = new_session(folder / "rehearsal.setlog", self.plan, self.clock)
        self.rehearsing = Rehearsing(self.plan, luck, seed)
        self.said = []
        self.frames = []
        self.call("shot")

    def call(self, kind, **given):
        outcome = self.session.call(kind, given)
        assert outcome.refused is None, outcome.refused
        self.clock.seconds += 0.5
        self.step()

    def wait(self, seconds):
        for _ in range(round(seconds)):
            self.clock.seconds += 1.0
            self.step()

    def step(self, ends_at=None):
        state, at = self.session.state, self.session.time()
        self.said += self.rehearsing.step(state, at, ends_at)
        if (name := self.rehearsing.frame_due(state, at)) is not None:
            self.frames.append(at)
            self.session.call("frame", {"name": name, "shot": state.shot.name})

    def lock(self):
        self.wait(600)
        for lock in ("light", "set", "camera"):
            self.call("lock", which=lock, on=True)

    def good_scoop(self):
        while True:
            number = self.session.state.next_number()
            self.call("pull")
            self.wait(4)
            if self.rehearsing.truth.good(number):
                return number
            self.call("judge", scoop=number, **{"as": "reject"})


def days_of(kind, folder):
    """Give what makes days of a kind, and end them."""
    days = []

    def make(**options):
        days.append(kind(folder, **options))
        return days[-1]

    yield make
    for day in days:
        day.session.close()


@pytest.fixture
def made(tmp_path):
    yield from days_of(Day, tmp_path)


def test_locks_are_told_when_they_are_right_and_no_frame_is_taken_before(made):
    day = made()
    assert day.said == []
    day.lock()
    assert [words for words in day.said if "lock it" in words] == [
        f"The {lock} is right: lock it." for lock in ("light", "set", "camera")
    ]
    assert day.frames == []


def test_a_pull_is_told_good_or_bad_as_the_truth_has_it(made):
    day = made()
    number = day.good_scoop()
    for scoop in range(1, number + 1):
        well = "came out well" if day.rehearsing.truth.good(scoop) else "came out ragged"
        assert any(words.startswith(f"Scoop {scoop} {well}") for words in day.said)
    assert day.rehearsing.outcome(0.0).pulls == number


def test_the_hero_looks_as_it_truly_is_and_frames_count_inside_its_window(made):
    day = made(plan=PLAN | {"room": {"air": "17 °C", "humidity": "40 %"}, "freezer": "-19 °C"}, seed=5)
    day.lock()
    number = day.good_scoop()
    at = day.session.time()
    so_far = day.rehearsing.outcome(at).minutes
    assert 0.0 < so_far < at / 60, "since all was locked, not since the shot began"
    assert day.rehearsing.outcome(at + 90.0).minutes == pytest.approx(so_far + 1.5)
    day.wait(900)
    day.call("hero_in", scoops=[number])
    hero = day.session.state.scoops[number]
    stages = Truth(day.plan, Dice(NO_ACCIDENTS, 5)).stages(day.session.state, hero)
    _, crisp, sheen, gone, drip, _ = stages
    assert hero.since < crisp < sheen < gone < drip
    frosted, crisp_one, shining, rounded, dripping = (
        day.rehearsing.sights(day.session.state, at)[0]
        for at in (crisp - 1, (crisp + sheen) / 2, (sheen + gone) / 2, gone + 1, drip + 1)
    )
    assert crisp_one.frost == crisp_one.shine == crisp_one.rounded == 0.0
    assert crisp_one.words == "matt"
    assert frosted.frost > 0.0
    assert shining.shine > 0.0
    assert shining.rounded < 1.0
    assert (rounded.rounded, rounded.drips) == (1.0, False)
    assert dripping.drips
    assert "edges gone" in dripping.words

    def seen(at):
        return day.rehearsing.sights(day.session.state, at)[0]

    assert seen((hero.since + crisp) / 2).frost == pytest.approx(0.5)
    assert [seen(at).shine for at in (sheen, (sheen + gone) / 2, gone)] == pytest.approx([0.25, 0.75, 1.0])
    day.wait(gone - day.session.time() + 60)
    assert f"Scoop {number}: it shines." in day.said
    assert f"Scoop {number}: its edges are gone." in day.said
    assert day.frames
    assert all(at >= crisp for at in day.frames)
    outcome = day.rehearsing.outcome(day.session.time())
    assert outcome.good == sum(crisp <= at <= gone for at in day.frames)
    assert outcome.frames == len(day.frames) == day.session.state.frames


@pytest.mark.parametrize(("look", "begins"), [("crisp", 1), ("sheen", 2)])
def test_frames_are_good_in_the_window_of_the_shot_s_look(made, look, begins):
    shot = PLAN["shots"][0] | {"look": look, "dressing": "0 s", "frames": 40}
    day = made(plan=PLAN | {"shots": [shot], "room": {"air": "17 °C", "humidity": "40 %"}, "freezer": "-19 °C"}, seed=5)
    day.lock()
    number = day.good_scoop()
    day.call("hero_in", scoops=[number])
    stages = Truth(day.plan, Dice(NO_ACCIDENTS, 5)).stages(day.session.state, day.session.state.scoops[number])
    day.wait(stages[3] - day.session.time() + 60)
    good = day.rehearsing.outcome(day.session.time()).good
    assert good == sum(stages[begins] <= at <= stages[3] for at in day.frames) > 0


def test_a_shot_is_got_when_its_frames_are_there(made):
    one = {**PLAN["shots"][0], "takes": 1, "frames": 3}
    day = made(plan=PLAN | {"shots": [one]})
    day.lock()
    day.call("hero_in", scoops=[day.good_scoop()])
    day.wait(120)
    assert len(day.frames) == 3
    assert "The photographer has what plate wants: call got it." in day.said
    outcome = day.rehearsing.outcome(day.session.time())
    assert (outcome.shots, outcome.got) == (1, 1)
    assert "3 of 3 frames inside their window, 1 of 1 shots" in outcome.words


def test_accidents_happen_and_are_said(made):
    day = made(luck=SURE)
    day.wait(1200)
    assert any("after a wait nobody planned: lock it" in words for words in day.said)
    assert "The client wants one take more of plate." in day.said
    for lock in ("light", "set", "camera"):
        day.call("lock", which=lock, on=True)
    number = day.good_scoop()
    day.call("hero_in", scoops=[number])
    day.wait(60)
    assert f"Scoop {number} fell on the way: call it out, dropped." in day.said
    assert day.rehearsing.sights(day.session.state, day.session.time())[0].words == "fell on the way"
    assert day.frames == []


def test_nothing_is_told_of_a_scoop_that_is_out(made):
    day = made()
    day.lock()
    number = day.good_scoop()
    day.call("hero_in", scoops=[number])
    day.call("out", scoops=[number], why="gone")
    before = len(day.said)
    day.wait(900)
    assert not any(f"Scoop {number}:" in words for words in day.said[before:])


def test_a_change_that_was_behind_a_hero_as_it_came_is_not_told(made):
    """One that stood outside until it shone comes so: nobody sees its frost go, nor how it begins to shine."""
    day = made(luck=CERTAIN, plan=PLAN | {"good_share": 1, "freezer": "-12 °C"})
    day.lock()
    day.call("pull", to="tray")
    day.wait(120)
    day.call("hero_in", scoops=[1])
    hero = day.session.state.scoops[1]
    _, crisp, sheen, gone, *_ = day.rehearsing.truth.stages(day.session.state, hero)
    assert crisp == sheen == hero.since < gone
    day.wait(gone - day.session.time() + 60)
    told = [words for words in day.said if words.startswith("Scoop 1:")]
    assert told[0] == "Scoop 1: its edges are gone."


def test_the_foot_is_seen_where_it_is_known(made):
    shot = {**PLAN["shots"][0], "stands_on": "steel"}
    day = made(plan=PLAN | {"shots": [shot]})
    day.lock()
    number = day.good_scoop()
    day.call("hero_in", scoops=[number])
    assert not day.rehearsing.sights(day.session.state, day.session.time() + 800)[0].foot
    feet = feet_of(day.plan)
    assert set(feet) == {("plate", "vanilla")}
    day.rehearsing.know_feet(feet)
    since = day.session.state.scoops[number].since
    shown = feet["plate", "vanilla"]
    assert not day.rehearsing.sights(day.session.state, since + shown - 1)[0].foot
    assert day.rehearsing.sights(day.session.state, since + shown)[0].foot
    day.wait(shown - 30)
    assert not any("liquid" in words for words in day.said)
    told = f"Scoop {number}: liquid shows round its foot."
    assert told in day.rehearsing.step(day.session.state, since + shown, None)
    day.wait(35)
    assert told not in day.said, "once is enough"
    assert feet_of(parse_plan(CALM)) == {}


def test_the_same_day_by_its_cues_meets_the_same_luck():
    one, same = (by_its_cues(parse_plan(PLAN), usual_luck(), 3) for _ in range(2))
    assert one == same
    assert (one.shots, one.got) == (1, 1)
    assert one.good <= one.frames


def test_a_fast_clock_goes_so_many_times_as_fast():
    hand = HandClock()
    hand.seconds = 5.0
    fast = FastClock(4.0, hand)
    began = fast.now()
    hand.seconds += 10.0
    assert fast.tick() == 40.0
    assert (fast.now() - began).total_seconds() == 40.0
    assert fast.anchor() is None
    assert not fast.stands()


SIGHT = Sight(1, "vanilla", "left", 0.0, 0.0, 0.0, False, False, False)


@pytest.mark.parametrize(
    ("seen", "words"),
    [
        ({"frost": 0.01}, "frosted"),
        ({}, "matt"),
        ({"shine": 0.3}, "shines"),
        ({"shine": 1.0, "rounded": 0.4}, "shines, edges round"),
        ({"shine": 1.0, "rounded": 1.0}, "shines, edges gone"),
        ({"shine": 1.0, "rounded": 1.0, "drips": True, "foot": True}, "shines, edges gone, drips, a foot"),
        ({"wall": True}, "dry"),
        ({"wall": True, "frost": 1.0}, "frosted"),
        ({"wall": True, "shine": 1.0}, "dewy"),
        ({"wall": True, "shine": 1.0, "drips": True}, "dew runs"),
        ({"wall": True, "frost": 1.0, "fallen": True}, "fell on the way"),
    ],
)
def test_what_is_seen_in_words(seen, words):
    assert replace(SIGHT, **seen).words == words


def told_at(day, words):
    return next(at for at, said in day.heard if words in said)


class Heard(Day):
    """A day that keeps when each thing was said."""

    def __init__(self, *options, **changes):
        self.heard = []
        super().__init__(*options, **changes)

    def step(self, ends_at=None):
        before = len(self.said)
        super().step(ends_at)
        self.heard += [(self.session.time(), words) for words in self.said[before:]]


@pytest.fixture
def heard(tmp_path):
    yield from days_of(Heard, tmp_path)


@pytest.mark.parametrize(("rates", "last"), [({}, 180.0), ({"late_lock": 1.0}, 240.0)])
def test_locks_are_right_a_third_of_their_time_apart_and_a_late_one_a_third_later(heard, rates, last):
    """By hand: three minutes of locks. Locked sooner than they are right, no frame is taken until they are."""
    luck = Luck(CERTAIN.people, CERTAIN.rates | rates | {"one_take_more": 1.0})
    day = heard(luck=luck, plan=PLAN | {"good_share": 1, "room": {"air": "17 °C"}, "freezer": "-12 °C"})
    began = day.session.time()
    for lock in ("light", "set", "camera"):
        day.call("lock", which=lock, on=True)
    day.call("pull")
    day.wait(last - 50)
    day.call("hero_in", scoops=[1])
    day.wait(200)
    for lock, seconds in (("light", 60.0), ("set", 120.0), ("camera", last)):
        assert told_at(day, f"The {lock} is right") - began == pytest.approx(seconds, abs=0.51)
    assert told_at(day, "one take more of plate") - began == pytest.approx(last, abs=0.51)
    assert day.frames[0] - began == pytest.approx(last, abs=0.51)
    assert [later - sooner for sooner, later in pairwise(day.frames)] == pytest.approx([6.0] * 11)
    assert len(day.frames) == 3 * 4, "the two takes that the plan has, and one more"
    outcome = day.rehearsing.outcome(day.session.time())
    assert outcome.minutes == pytest.approx((day.frames[-1] - began - last) / 60.0, abs=0.03)


def test_a_scoop_is_judged_some_seconds_after_it_was_put_down(heard):
    day = heard(luck=CERTAIN)
    for _ in range(2):
        day.call("pull")
        at = day.session.state.scoops[day.session.state.next_number() - 1].pulled
        day.wait(5)
        assert day.heard[-1][1].startswith("Scoop ")
        assert day.heard[-1][0] - at == pytest.approx(3.0, abs=1.0)


def test_each_change_is_told_when_it_is_noticed_and_frames_end_with_the_window(heard):
    """Its notice takes as long as the table of luck has it; nobody knows sooner, nor goes on for longer."""
    shot = PLAN["shots"][0] | {"dressing": "0 s", "frames": 200}
    day = heard(luck=CERTAIN, plan=PLAN | {"good_share": 1, "shots": [shot], "freezer": "-20 °C"})
    day.lock()
    day.call("pull")
    day.wait(900)
    day.call("hero_in", scoops=[1])
    _, crisp, sheen, gone, drip, _ = day.rehearsing.truth.stages(day.session.state, day.session.state.scoops[1])
    notice = CERTAIN.people["notice_s"][0]
    day.wait(drip - day.session.time() + notice + 5)
    for at, words in (
        (crisp, "its frost is gone"),
        (sheen, "it shines"),
        (gone, "its edges are gone"),
        (drip, "it drips"),
    ):
        assert told_at(day, f"Scoop 1: {words}") == pytest.approx(at + notice, abs=1.01)
    assert crisp <= day.frames[0] <= crisp + 1.0
    assert gone + notice - 7.0 <= day.frames[-1] < gone + notice
    outcome = day.rehearsing.outcome(day.session.time())
    assert (outcome.frames, outcome.good) == (len(day.frames), sum(crisp <= at <= gone for at in day.frames))
    assert outcome.got == 0

    def seen(at):
        return day.rehearsing.sights(day.session.state, at)[0]

    since = day.session.state.scoops[1].since
    assert [seen(since + share * (crisp - since)).frost for share in (0.0, 0.25, 0.75, 1.0)] == pytest.approx(
        [1.0, 0.75, 0.25, 0.0]
    )
    begins = max(gone - 60.0, sheen)
    for share in (0.25, 0.75):
        assert seen(begins + share * (gone - begins)).rounded == pytest.approx(share)
    assert seen(begins - 1.0).rounded == 0.0
    assert seen(gone + 1.0).rounded == 1.0
    assert [seen(at).drips for at in (drip - 0.1, drip)] == [False, True]


def test_no_frame_is_taken_once_the_clock_says_that_the_window_is_over(heard):
    shot = PLAN["shots"][0] | {"dressing": "0 s", "frames": 200}
    day = heard(
        luck=CERTAIN, plan=PLAN | {"good_share": 1, "shots": [shot], "freezer": "-12 °C", "room": {"air": "17 °C"}}
    )
    day.lock()
    day.call("pull")
    day.wait(4)
    day.call("hero_in", scoops=[1])
    day.wait(30)
    assert day.frames[-1] > day.session.time() - 7
    ends_at = day.session.time() + 20.0
    for _ in range(60):
        day.clock.seconds += 1.0
        day.step(ends_at)
    assert ends_at - 7.0 <= day.frames[-1] < ends_at


def test_the_minutes_of_each_shot_run_from_its_locks_to_its_last_frame_or_the_next_shot(heard):
    """By hand, of two shots of three minutes of locks each: nothing stands in the one; the other goes on."""
    first = PLAN["shots"][0]
    day = heard(luck=CERTAIN, plan=PLAN | {"shots": [first, first | {"name": "cone", "takes": 3}]})
    began = day.session.time()
    day.wait(300)
    assert day.rehearsing.outcome(day.session.time()).minutes == pytest.approx(2.0, abs=0.01)
    day.call("shot", name="cone")
    changed = day.session.time()
    day.wait(100)
    early = day.rehearsing.outcome(day.session.time())
    assert early.minutes == pytest.approx((changed - began - 180.0) / 60.0, abs=0.01), "its locks are not over"
    day.wait(200)
    outcome = day.rehearsing.outcome(day.session.time())
    assert outcome.minutes == pytest.approx((changed - began - 180.0 + 120.0) / 60.0, abs=0.01)
    assert (outcome.shots, outcome.got, outcome.pulls) == (2, 0, 0)


def test_a_shot_that_is_left_before_its_locks_are_over_took_no_minutes(heard):
    first = PLAN["shots"][0]
    day = heard(luck=CERTAIN, plan=PLAN | {"shots": [first, first | {"name": "cone"}]})
    day.wait(60)
    assert day.rehearsing.outcome(day.session.time()).minutes == 0.0
    day.call("shot", name="cone")
    day.wait(60)
    assert day.rehearsing.outcome(day.session.time()).minutes == 0.0


def test_a_packs_wall_is_seen_as_it_changes_and_dry_again_once_it_is_wiped(heard):
    flavours = [{"name": "vanilla", "mix": "premium", "form": "pint"}]
    room = {"air": "26 °C", "humidity": "60 %"}
    day = heard(luck=CERTAIN, plan=PLAN | {"flavours": flavours, "good_share": 1, "room": room})
    day.lock()
    day.call("pull")
    day.wait(4)
    day.call("hero_in", scoops=[1])
    _, frost, dew, runs = day.rehearsing.truth.wall(day.session.state, day.session.state.scoops[1])
    assert frost < dew < runs

    def seen(at):
        return day.rehearsing.sights(day.session.state, at)[0]

    assert [seen(at).words for at in (dew - 1, dew, runs - 1, runs)] == ["frosted", "dewy", "dewy", "dew runs"]
    assert (seen(dew).frost, seen(dew).shine, seen(dew - 1).shine, seen(dew).foot) == (0.0, 1.0, 0.0, False)
    assert seen(dew).rounded == 0.0
    day.clock.seconds = dew + 30.0
    day.step()
    assert told_at(day, "Scoop 1: dew beads on it")
    day.call("dew_wiped", scoops=[1])
    wiped = day.session.time()
    _, _, again, _ = day.rehearsing.truth.wall(day.session.state, day.session.state.scoops[1])
    assert again > wiped
    assert seen(again - 1).shine == 0.0
    assert seen(again + 1).shine == 1.0


def test_frames_are_taken_from_when_the_hero_is_dressed_until_somebody_sees_that_it_is_gone(heard):
    """To the moment: dressed 15 s after it came, seen to be gone as long after its window as a notice takes."""
    day = heard(luck=CERTAIN, plan=PLAN | {"good_share": 1, "freezer": "-12 °C"})
    day.lock()
    day.call("pull")
    day.wait(4)
    assert day.session.call("hero_in", {"scoops": [1]}).refused is None
    state, rehearsing = day.session.state, day.rehearsing
    since = state.scoops[1].since
    rehearsing.step(state, since, None)
    _, crisp, _, gone, _, _ = rehearsing.truth.stages(state, state.scoops[1])
    assert crisp < since + 15.0 < gone
    assert rehearsing.frame_due(state, since + 14.99) is None
    assert rehearsing.frame_due(state, since + 15.0) == "R00001"
    assert rehearsing.frame_due(state, since + 20.99) is None
    assert rehearsing.frame_due(state, since + 21.0) == "R00002"
    seen = gone + CERTAIN.people["notice_s"][0]
    assert rehearsing.frame_due(state, seen) is None
    assert rehearsing.frame_due(state, seen - 0.01) == "R00003"
    assert (rehearsing.outcome(seen).frames, rehearsing.outcome(seen).good) == (3, 2)
