"""A simulated crew through the real session: the same day for every policy, and the better informed shoots better."""

import math

import pytest

from studiotimer.prep.plan import parse_plan
from studiotimer.session.learning import mix_names
from studiotimer.trial.crew import Crew
from studiotimer.trial.luck import Dice, usual_luck
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
