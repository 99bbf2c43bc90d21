"""What a simulated crew counts and how late it answers, against its own log on days told step by step."""

import math
from dataclasses import replace
from itertools import pairwise
from types import SimpleNamespace

import pytest

from studiotimer.prep.plan import parse_plan
from studiotimer.session.cue import Cue
from studiotimer.trial.crew import Crew
from studiotimer.trial.luck import usual_luck
from studiotimer.trial.policies import Cued
from tests.trial.setups import CERTAIN, NO_ACCIDENTS
from tests.trial.test_crew import PLAN, made

HEROES = [{"flavour": "vanilla", "spot": spot} for spot in ("left", "right")]


class Script:
    """Does what it is told at a second of the session, and takes frames all the time where it is told to."""

    forecasts = False

    def __init__(self, steps=(), shoots=False):
        self.steps = list(steps)
        self.shoots = shoots

    def act(self, crew):
        while self.steps and self.steps[0][0] <= crew.at:
            self.steps.pop(0)[1](crew)

    def shooting(self, crew):
        return self.shoots


def crew_of(tmp_path, policy, luck=CERTAIN, **changes):
    shot = PLAN["shots"][0] | {key: changes.pop(key) for key in ("heroes", "takes", "frames", "look") if key in changes}
    return Crew(parse_plan(PLAN | {"shots": [shot]} | changes), policy, 3, luck, tmp_path)


def frames_of(crew):
    """Return, of each frame in the log of a day, whether it was good, early or late, and of which heroes it was."""
    there = set()
    for at, entry in made(crew, "hero_in", "swap", "out", "frame"):
        if entry.kind == "frame":
            windows = [crew.true_window(number) for number in there]
            good = all(one.start <= at <= one.end for one in windows)
            yield "good" if good else "late" if any(at > one.end for one in windows) else "early", set(there)
        elif entry.kind == "swap":
            there = there - {entry.out} | {entry.into}
        else:
            there = there | {*entry.scoops} if entry.kind == "hero_in" else there - {*entry.scoops}


def test_a_day_on_which_nothing_is_done_is_given_up_after_an_hour(tmp_path):
    """By hand: three minutes of locks in thirds, then nothing on set until the hour is over."""
    crew = crew_of(tmp_path, Script())
    tally = crew.run()
    assert (tally.shots, tally.got, tally.frames, tally.pulls) == (1, 0, 0, 0)
    assert [at for at, _ in made(crew, "lock")] == pytest.approx([60.0, 120.0, 180.0])
    assert crew.locked_at == pytest.approx(180.0)
    assert tally.minutes == pytest.approx([(3600.0 - 180.0) / 60.0])
    assert tally.empty_s == pytest.approx(3600.0 - 180.0, abs=1.0)
    assert tally.lost == []
    assert not made(crew, "got_it", "frame", "out")


def test_of_frames_taken_all_the_time_those_outside_the_window_are_early_or_late(tmp_path):
    """One hero stands for an hour: its frames before its look, in it and after it, by their times in the log."""
    steps = [
        (10.0, lambda crew: crew.pull({"flavour": "vanilla", "to": "box"})),
        (200.0, lambda crew: crew.place("hero_in", {"scoops": [1]})),
    ]
    crew = crew_of(tmp_path, Script(steps, shoots=True), takes=50, frames=50, look="sheen")
    tally = crew.run()
    window = crew.true_window(1)
    at = [at for at, _ in made(crew, "frame")]
    assert tally.frames == len(at)
    assert tally.early == sum(one < window.start for one in at) > 0
    assert tally.late == sum(one > window.end for one in at) > 0
    assert tally.good == sum(window.start <= one <= window.end for one in at) > 0
    (came,) = (at for at, _ in made(crew, "hero_in"))
    dressing = float(crew.plan.shots[0].dressing_s)
    assert came + dressing <= at[0] < came + dressing + 1.0
    assert [entry.name for _, entry in made(crew, "frame")][:2] == ["F00001", "F00002"]
    assert {later - sooner for sooner, later in pairwise(at)} == {6.0}
    assert tally.lost == []
    assert [entry.why for _, entry in made(crew, "out")] == ["got it"]


def test_no_frame_is_taken_while_a_spot_is_empty(tmp_path):
    steps = [
        (10.0, lambda crew: crew.pull({"flavour": "vanilla", "to": "box"})),
        (200.0, lambda crew: crew.place("hero_in", {"scoops": [1], "spots": ["left"], "flavours": ["vanilla"]})),
    ]
    crew = crew_of(tmp_path, Script(steps, shoots=True), heroes=HEROES)
    tally = crew.run()
    assert len(made(crew, "hero_in")) == 1
    assert tally.frames == 0
    assert tally.empty_s < 100, "one stands"


def test_a_good_scoop_that_no_frame_was_taken_of_is_lost_unless_it_fell(tmp_path):
    """Of five good ones one is rejected, one taken off before a frame, one falls, one is shot, one still waits."""
    pulls = [(10.0 + 40 * number, lambda crew: crew.pull({"flavour": "vanilla", "to": "box"})) for number in range(5)]

    def rejected(crew):
        assert crew.call("judge", {"scoop": 1, "as": "reject"})

    def placed(number):
        return lambda crew: crew.place("hero_in", {"scoops": [number]})

    def shot(crew):
        crew.policy.shoots = crew.at < 700.0

    steps = [
        *pulls, (260.0, rejected), (270.0, placed(2)), (400.0, lambda crew: crew.out([2])),
        (420.0, placed(3)), (450.0, lambda crew: crew.out([3], "dropped")), (500.0, placed(4)),
        *((at, shot) for at in (520.0, 701.0)), (800.0, lambda crew: crew.out([4])),
    ]  # fmt: skip
    crew = crew_of(tmp_path, Script(steps), good_share=1, room={"air": "17 °C"}, freezer="-15 °C", takes=50)
    tally = crew.run()
    assert (tally.pulls, tally.good_pulls) == (5, 5)
    assert tally.good > 0
    assert sorted(tally.lost) == [1, 2]
    outs = {entry.scoops[0]: at for at, entry in made(crew, "out")}
    assert outs[2] == pytest.approx(400.0 + 3.0, abs=1.0)


@pytest.mark.parametrize(("asked", "comes"), [(300.0, 315.0), (50.0, 116.0)])
def test_a_scoop_is_carried_once_it_was_looked_over(tmp_path, asked, comes):
    """By hand: pulled at 41 s, fit a minute later; the way takes 15 s."""
    steps = [
        (10.0, lambda crew: crew.pull({"flavour": "vanilla", "to": "box"})),
        (asked, lambda crew: crew.place("hero_in", {"scoops": [1]})),
    ]
    crew = crew_of(tmp_path, Script(steps), pull="31 s", pull_to_set="75 s", carry="15 s")
    crew.run()
    assert [at for at, _ in made(crew, "pull")] == [41.0]
    assert [at for at, _ in made(crew, "hero_in")] == pytest.approx([comes])
    assert crew.tally.rested == pytest.approx([comes - 41.0])


@pytest.mark.parametrize("nothing_moves", [False, True])
def test_each_shot_begins_unlocked(tmp_path, nothing_moves):
    """Also one between which and the one before nothing moves, whose locks stay where nobody takes them off."""
    shots = [PLAN["shots"][0] | {"name": name, "nothing_moves": nothing_moves} for name in ("one", "two")]
    crew = Crew(parse_plan(PLAN | {"shots": shots}), Script(), 3, CERTAIN, tmp_path)
    tally = crew.run()
    (_, (second, _)) = made(crew, "shot")
    assert [at for at, entry in made(crew, "lock") if entry.on] == pytest.approx(
        [60.0, 120.0, 180.0, second + 60.0, second + 120.0, second + 180.0], abs=1.0
    )
    assert tally.minutes == pytest.approx([57.0, 57.0], abs=0.02)
    assert (tally.shots, tally.got) == (2, 0)


def test_what_was_refused_is_counted_by_what_was_said(tmp_path):
    crew = crew_of(tmp_path, Script())
    crew.call("shot", {"name": "plate"})
    pull = {"scoop": 1, "flavour": "vanilla", "to": "box"}
    assert crew.call("pull", pull)
    for _ in range(2):
        crew.clock.seconds += 100.0
        assert not crew.call("pull", pull)
    ((said, times),) = crew.tally.refused.items()
    assert said.startswith("pull: ")
    assert times == 2
    crew.session.close()


def test_what_falls_on_one_second_happens_in_the_order_it_was_begun(tmp_path):
    crew = crew_of(tmp_path, Script())
    crew.call("shot", {"name": "plate"})
    done = []
    for number in range(5):
        crew.later(2.0, lambda number=number: done.append(number))
    crew.later(1.0, lambda: done.append("sooner"))
    for _ in range(2):
        crew._second()
    assert done == ["sooner", 0, 1, 2, 3, 4]
    crew.session.close()


@pytest.mark.parametrize(
    ("cue", "rates", "late"),
    [
        (Cue("pull", "Pull", 0.0), {}, 0.0),
        (Cue("pull", "Pull", 0.0), {"lamp_left_on": 1.0}, 0.0),
        (Cue("pull", "Pull", 0.0), {"cue_missed": 1.0}, 20.0),
        (Cue("lamp", "Lamp off", 0.0, {"on": False}), {"lamp_left_on": 1.0}, 1800.0),
        (Cue("lamp", "Lamp on", 0.0, {"on": True}), {"lamp_left_on": 1.0}, 0.0),
    ],
)
def test_a_cue_is_answered_after_some_seconds_a_missed_one_later(tmp_path, cue, rates, late):
    crew = crew_of(tmp_path, Cued(), replace(CERTAIN, rates=CERTAIN.rates | rates))
    crew.clock.seconds = 100.0
    responds_s = usual_luck().people["respond_s"][0]
    assert Cued._answered(crew, cue) == pytest.approx(100.0 + responds_s + late)
    crew.session.close()


def test_each_cue_is_done_by_its_call(tmp_path):
    """Heroes that are to go are taken off in three seconds, of those that stand; what is small takes five."""
    steps = [
        (10.0, lambda crew: crew.pull({"flavour": "vanilla", "to": "tray"})),
        (200.0, lambda crew: crew.place("hero_in", {"scoops": [1]})),
    ]
    crew = crew_of(tmp_path, Script(steps))
    crew.call("shot", {"name": "plate"})
    policy = Cued()

    def pass_s(seconds):
        for _ in range(seconds):
            crew._second()

    pass_s(250)
    began = crew.at
    policy._do(crew, Cued._desk(crew), Cue("out", "Out 1", began, {"scoops": [1], "why": "gone"}))
    pass_s(10)
    assert [(at - began, entry.scoops, entry.why) for at, entry in made(crew, "out")] == [(3.0, (1,), "gone")]
    began = crew.at
    policy._do(crew, Cued._desk(crew), Cue("lamp", "Lamp off", began, {"on": False}))
    pass_s(10)
    assert [(at - began, entry.on) for at, entry in made(crew, "lamp")] == [(5.0, False)]
    crew.session.close()


def test_it_goes_by_the_best_scoops_and_the_hero_that_ends_of_the_last_forecast(tmp_path):
    crew = crew_of(tmp_path, Cued())
    assert (list(Cued._desk(crew).best), Cued._desk(crew).ending) == ([], None)
    crew.forecast = SimpleNamespace(best=[3, 1], window=SimpleNamespace(ended_by=2))
    assert (list(Cued._desk(crew).best), Cued._desk(crew).ending) == ([3, 1], 2)
    crew.forecast = SimpleNamespace(best=[1], window=None)
    assert (list(Cued._desk(crew).best), Cued._desk(crew).ending) == ([1], None)
    crew.session.close()


def test_who_has_all_frames_but_too_few_good_ones_wants_one_take_more(tmp_path):
    """Said once, and then there are frames left to take; nobody says it who has what is wanted."""
    crew = crew_of(tmp_path, Cued(), takes=1, frames=2)
    for kind, given in (
        ("shot", {"name": "plate"}),
        ("pull", {"to": "box"}),
        ("hero_in", {}),
        ("frame", {"name": "F1"}),
    ):
        crew.clock.seconds += 10.0
        assert crew.call(kind, given)
    for needed, frame, takes in ((2, None, 1), (0, "F2", 1), (2, None, 2), (2, None, 2)):
        crew._needed = needed
        if frame:
            assert crew.call("frame", {"name": frame})
        crew.policy.act(crew)
        assert crew.session.state.shot.takes == takes
    crew.session.close()


class Watched(Cued):
    """Our cues, with when each was done and how long after it was due."""

    def __init__(self):
        super().__init__()
        self.late = []
        self.shooting_at = []

    def _do(self, crew, desk, cue):
        self.late.append(crew.at - cue.due)
        super()._do(crew, desk, cue)

    def shooting(self, crew):
        shoots = super().shooting(crew)
        if shoots:
            self.shooting_at.append((crew.at, crew.forecast.window.end.likely))
        return shoots


@pytest.fixture(scope="module")
def busy_day(tmp_path_factory):
    """A day of two heroes by our cues, some of which are missed, and some scoops fall."""
    policy = Watched()
    luck = replace(NO_ACCIDENTS, rates=NO_ACCIDENTS.rates | {"cue_missed": 0.8, "dropped": 0.3})
    crew = crew_of(
        tmp_path_factory.mktemp("busy"), policy, luck, heroes=HEROES, takes=3, frames=10, room={"air": "27 °C"}
    )
    crew.run()
    return crew


def test_cues_answered_late_are_counted(busy_day):
    late = busy_day.policy.late
    assert busy_day.tally.cues == len(late)
    assert busy_day.tally.cues_late == sum(one > 15.0 for one in late)
    assert 0 < busy_day.tally.cues_late < len(late)


def test_it_is_shot_until_the_clock_runs_out(busy_day):
    assert all(at < end for at, end in busy_day.policy.shooting_at)
    assert math.isfinite(busy_day.tally.minutes[0])


def test_a_busy_day_came_to_what_its_log_says(busy_day):
    tally, scoops = busy_day.tally, busy_day.session.state.scoops
    frames = list(frames_of(busy_day))
    for kind in ("good", "early", "late"):
        assert getattr(tally, kind) == sum(one == kind for one, _ in frames), kind
    used = {number for kind, there in frames if kind == "good" for number in there}
    dropped = {number for _, one in made(busy_day, "out") if one.why == "dropped" for number in one.scoops}
    assert dropped
    gone = {number for number, one in scoops.items() if one.place == "out" and number not in used | dropped}
    assert sorted(tally.lost) == sorted(number for number in gone if busy_day.truth.good(number))
