"""A rehearsed plan: what is told is what the simulated ice cream does, on the luck that a simulated crew meets."""

import pytest

from studiotimer.prep.plan import parse_plan
from studiotimer.session.live import new_session
from studiotimer.trial.crew import HandClock
from studiotimer.trial.luck import Dice, Luck, usual_luck
from studiotimer.trial.rehearsed import FastClock, by_its_cues, feet_of
from studiotimer.trial.rehearsing import Rehearsing
from studiotimer.trial.truth import Truth
from tests.prep.plans import CALM
from tests.trial.setups import NO_ACCIDENTS
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


@pytest.fixture
def made(tmp_path):
    days = []

    def make(**options):
        days.append(Day(tmp_path, **options))
        return days[-1]

    yield make
    for day in days:
        day.session.close()


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
    day.wait(gone - day.session.time() + 60)
    assert f"Scoop {number}: it shines." in day.said
    assert f"Scoop {number}: its edges are gone." in day.said
    assert day.frames
    assert all(at >= crisp for at in day.frames)
    outcome = day.rehearsing.outcome(day.session.time())
    assert outcome.good == sum(crisp <= at <= gone for at in day.frames)
    assert outcome.frames == len(day.frames) == day.session.state.frames


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
    assert day.rehearsing.sights(day.session.state, since + shown + 1)[0].foot
    day.wait(shown + 5)
    assert f"Scoop {number}: liquid shows round its foot." in day.said
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
