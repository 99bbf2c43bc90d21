"""A simulated crew through the real session: the same day for every policy, and the better informed shoots better."""

import math
from itertools import pairwise

import pytest

from studiotimer.prep.plan import parse_plan
from studiotimer.session.learning import mix_names
from studiotimer.trial.crew import Crew
from studiotimer.trial.luck import Dice, Luck, usual_luck
from studiotimer.trial.policies import Cued
from tests.trial.oracle import Oracle
from tests.trial.setups import NO_ACCIDENTS
from tests.trial.stopwatch import Stopwatch

PLAN = {
    "room": {"air": "23 °C", "humidity": "48 %"},
    "flavours": [{"name": "vanilla", "mix": "premium"}],
    "shots": [{"name": "plate", "light": "LED 3000 lx", "takes": 2, "frames": 4, "dressing": "15 s", "locks": "3 min",
               "heroes": [{"flavour": "vanilla", "spot": "centre"}]}],
    "freezer": "-16 °C",
    "good_share": "2 in 3",
}  # fmt: skip


def day(tmp_path, policy, seed=3, luck=None, **changes):
    folder = tmp_path / f"{type(policy).__name__}{seed}"
    folder.mkdir()
    return Crew(parse_plan(PLAN | changes), policy, seed, luck or usual_luck(), folder).run()


def test_a_day_is_the_same_each_time_it_is_simulated(tmp_path):
    (tmp_path / "again").mkdir()
    assert day(tmp_path, Cued()) == day(tmp_path / "again", Cued())


@pytest.mark.parametrize("policy", [Cued(), Stopwatch(), Stopwatch(waits_for_frost=True), Oracle()])
def test_every_policy_gets_an_easy_shot(tmp_path, policy):
    tally = day(tmp_path, policy)
    assert (tally.shots, tally.got) == (1, 1)
    assert tally.good >= 8
    assert tally.good + tally.early + tally.late == tally.frames
    assert not tally.refused


def test_who_knows_the_truth_takes_no_frame_outside_its_window(tmp_path):
    tally = day(tmp_path, Oracle())
    assert (tally.early, tally.late) == (0, 0)


def test_following_the_cues_loses_no_good_scoop_on_an_easy_day(tmp_path):
    tally = day(tmp_path, Cued(), luck=NO_ACCIDENTS)
    assert tally.lost == []
    assert tally.empty_s == 0


def test_draws_are_by_purpose_so_that_policies_meet_the_same_luck():
    first, second = Dice(usual_luck(), 5), Dice(usual_luck(), 5)
    first.takes("pull_s")
    assert first.normal("scoop", 7) == second.normal("scoop", 7)
    assert first.chance("good", 0.5, 3) == second.chance("good", 0.5, 3)
    assert first.normal("scoop", 7) != first.normal("scoop", 8)
    assert Dice(usual_luck(), 6).normal("scoop", 7) != first.normal("scoop", 7)


def test_times_are_lognormal_about_their_median():
    dice = Dice(usual_luck(), 11)
    median, spread = usual_luck().people["pull_s"]
    logs = [math.log(dice.takes("pull_s") / median) for _ in range(2000)]
    mean = sum(logs) / len(logs)
    assert mean == pytest.approx(0, abs=4 * spread / math.sqrt(len(logs)))
    assert math.sqrt(sum((one - mean) ** 2 for one in logs) / len(logs)) == pytest.approx(spread, rel=0.08)


def test_mixes_share_their_part_of_tau(tmp_path):
    plan = parse_plan(PLAN)
    assert mix_names(plan, ["vanilla"]) == {"vanilla": "premium"}


def test_a_scoop_comes_no_sooner_than_the_plan_has_from_pull_to_set(tmp_path):
    """The usual crew looks a scoop over for a minute and walks 15 s; this one takes five, of which one is the way."""
    for number, policy in enumerate((Cued(), Stopwatch(), Oracle())):
        (tmp_path / str(number)).mkdir()
        slow = day(tmp_path / str(number), policy, luck=NO_ACCIDENTS, pull_to_set="5 min", carry="1 min")
        assert min(slow.rested) >= 240 + 10
        (tmp_path / f"{number} soon").mkdir()
        soon = day(tmp_path / f"{number} soon", policy, luck=NO_ACCIDENTS, pull="5 s", pull_to_set="10 s", carry="10 s")
        assert soon.got == slow.got == 1


def test_who_knows_the_truth_replaces_a_whole_group_where_that_brings_more(tmp_path):
    """Of three heroes that end close together, far from the last frame, none is swapped by itself."""
    heroes = [{"flavour": "vanilla", "spot": spot} for spot in "abc"]
    shot = PLAN["shots"][0] | {"heroes": heroes, "takes": 6, "frames": 20, "between": "8 s"}
    policy = Oracle()
    crew = Crew(parse_plan(PLAN | {"shots": [shot]}), policy, 3, NO_ACCIDENTS, tmp_path)
    tally = crew.run()
    kinds = [entry for entry in crew.session.ledger.entries if entry.kind in ("swap", "out", "hero_in")]
    together = [entry for entry in kinds if entry.kind == "out" and len(entry.scoops) == 3]
    assert tally.got == 1
    assert len(together) > 1, [entry.kind for entry in kinds]


class Counted(Cued):
    """Our cues, and when each forecast was worked out."""

    def __init__(self):
        super().__init__()
        self.forecast_at = []
        self.done = 0

    def _do(self, crew, desk, cue):
        self.done += 1
        super()._do(crew, desk, cue)

    def act(self, crew):
        if not self.forecast_at or crew.forecast.at != self.forecast_at[-1]:
            self.forecast_at.append(crew.forecast.at)
        super().act(crew)


@pytest.fixture(scope="module")
def shot_day(tmp_path_factory):
    """A whole day by our cues, over."""
    policy = Counted()
    crew = Crew(parse_plan(PLAN), policy, 3, NO_ACCIDENTS, tmp_path_factory.mktemp("day"))
    crew.run()
    return crew, policy.forecast_at


def made(crew, *kinds):
    """Return when calls of some kinds were made, and what they are."""
    ledger = crew.session.ledger
    return [(ledger.seconds(entry), entry) for entry in ledger.entries if entry.kind in kinds]


def test_a_day_came_to_what_its_log_says(shot_day):
    crew, _ = shot_day
    tally, scoops = crew.tally, crew.session.state.scoops
    counted = [len(made(crew, kind)) for kind in ("frame", "pull", "shot", "got_it")]
    assert counted == [tally.frames, tally.pulls, tally.shots, tally.got]
    assert tally.good_pulls == sum(crew.truth.good(entry.scoop) for _, entry in made(crew, "pull"))
    came = [(at, number) for at, entry in made(crew, "hero_in") for number in entry.scoops]
    came += [(at, entry.into) for at, entry in made(crew, "swap")]
    assert sorted(tally.rested) == pytest.approx(sorted(at - scoops[number].pulled for at, number in came))
    assert len(tally.bands) == len(came), "each hero's edges were foretold once, when it came"
    assert tally.cues == crew.policy.done >= tally.pulls + len(came)
    assert 0 <= tally.cues_late <= tally.cues
    assert tally.good >= crew.plan.shots[0].takes * crew.plan.shots[0].frames


def test_a_bad_pull_is_judged_so_and_a_good_one_is_kept(shot_day):
    crew, _ = shot_day
    judged = {entry.scoop: entry.judged for _, entry in made(crew, "judge")}
    assert judged
    assert all(as_ == ("spare" if crew.truth.good(number) else "reject") for number, as_ in judged.items())
    pulled = {entry.scoop: at for at, entry in made(crew, "pull")}
    assert all(at - pulled[entry.scoop] == pytest.approx(3.0, abs=0.01) for at, entry in made(crew, "judge"))


def test_a_frame_is_taken_when_all_is_locked_and_dressed_and_no_sooner_than_the_last_lets(shot_day):
    crew, _ = shot_day
    frames = [at for at, _ in made(crew, "frame")]
    between = float(crew.plan.shots[0].between_s)
    assert min(later - sooner for sooner, later in pairwise(frames)) >= between
    assert frames[0] > max(at for at, _ in made(crew, "lock"))
    assert frames[0] >= min(at for at, _ in made(crew, "hero_in")) + 5.0
    minutes = (frames[-1] - crew.locked_at) / 60.0
    assert crew.tally.minutes == pytest.approx([minutes], abs=0.02)


def test_what_was_called_is_in_the_forecast_of_the_next_second_and_without_calls_it_is_worked_out_seldom(shot_day):
    crew, forecast_at = shot_day
    for at, _ in made(crew, "pull", "hero_in", "swap", "judge", "out", "lock")[:-2]:
        assert any(at <= one <= at + 1.0 for one in forecast_at), at
    calls = len(made(crew, "pull", "hero_in", "swap", "judge", "out", "lock", "shot", "look", "lamp", "move", "top_up"))
    assert len(forecast_at) <= calls + forecast_at[-1] / 15.0 + 2
    assert max(later - sooner for sooner, later in pairwise(forecast_at)) == 15.0


def test_what_is_due_at_a_second_happens_in_it(tmp_path):
    crew = Crew(parse_plan(PLAN), Cued(), 3, NO_ACCIDENTS, tmp_path)
    crew.call("shot", {"name": "plate"})
    done = []
    crew.later(2.0, lambda: done.append(crew.at))
    crew.begin(("stylist",), 3.0, lambda: done.append(crew.at))
    began = crew.at
    assert (crew.free("stylist"), crew.free("assistant")) == (False, True)
    for _ in range(3):
        crew._second()
    assert done == [began + 2.0, began + 3.0]
    assert crew.free("stylist")
    crew.session.close()


def test_a_packs_true_window_is_that_of_the_look_on_its_wall(tmp_path):
    flavours = [{"name": "vanilla", "mix": "premium", "form": "pint"}]
    for look in ("crisp", "sheen"):
        (tmp_path / look).mkdir()
        plan = parse_plan(PLAN | {"flavours": flavours, "shots": [PLAN["shots"][0] | {"look": look}]})
        crew = Crew(plan, Cued(), 3, NO_ACCIDENTS, tmp_path / look)
        crew.call("shot", {"name": "plate"})
        crew.call("hero_in", {"scoops": [1], "flavours": ["vanilla"], "spots": ["centre"]})
        state = crew.session.state
        clear, _, dew, runs = crew.truth.wall(state, state.scoops[1])
        window = crew.truth.window(state, state.scoops[1])
        assert (window.start, window.end) == {"crisp": (clear, dew), "sheen": (dew, runs)}[look]
        crew.session.close()


@pytest.mark.parametrize(("rate", "last"), [(0.0, 1.0), (1.0, 2.0)])
def test_locks_come_a_third_of_their_time_apart_and_a_late_one_a_third_later(tmp_path, rate, last):
    luck = Luck(NO_ACCIDENTS.people, NO_ACCIDENTS.rates | {"late_lock": rate})
    crew = Crew(parse_plan(PLAN | {"good_share": 1}), Cued(), 3, luck, tmp_path)
    crew.run()
    began = made(crew, "shot")[0][0]
    first, second, third = (at for at, _ in made(crew, "lock"))
    assert second - first == pytest.approx(first - began, abs=1.5)
    assert third - second == pytest.approx(last * (second - first), abs=2.5)
    assert crew.locked_at == pytest.approx(third, abs=1.0)
