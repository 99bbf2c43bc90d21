"""The answer of many days: its interval, its changes on the same luck, its sentence, and what cannot be tried."""

import copy
import datetime as dt
import json
import math
import subprocess
import sys
from dataclasses import replace

import pytest
from scipy import stats

from studiotimer.cli import main
from studiotimer.errors import StoppedError
from studiotimer.prep.plan import parse_plan
from studiotimer.prep.results import results_of
from studiotimer.trial.answer import Help, answer_of, given, wilson
from studiotimer.trial.days import Draws, try_days
from studiotimer.trial.figures import TrialError, setup_of
from studiotimer.trial.helps import changes
from studiotimer.trial.luck import ACCIDENTS, usual_luck
from tests.prep.plans import CALM, THREE_FLAVOURS
from tests.trial.setups import NO_ACCIDENTS


@pytest.fixture(scope="module")
def results():
    return results_of(parse_plan(THREE_FLAVOURS))


@pytest.fixture(scope="module")
def answer(results):
    return answer_of(results, 1000, 1)


def test_what_goes_wrong_is_set_to_none_by_choice(results, answer):
    """The same people and scoops: without accidents, and without one of them, no fewer days give every shot."""
    luck = usual_luck()
    none, locked = luck.without(["accidents"]), luck.without(["Late lock"])
    assert {what for what, rate in none.rates.items() if rate == 0.0} == {*ACCIDENTS}
    assert {what for what, rate in locked.rates.items() if rate == 0.0} == {"late_lock"}
    assert none.people == luck.people
    calm, sooner = (answer_of(results, 1000, 1, one) for one in (none, locked))
    assert calm.share >= sooner.share >= answer.share
    assert calm.wrap_by[90] < answer.wrap_by[90]
    assert (answer.left_out, calm.left_out, sooner.left_out) == ("", "without accidents", "without late locks")
    assert "without accidents" in calm.found[0][1].how
    assert calm.as_json()["left_out"] == "without accidents"


@pytest.mark.parametrize(
    ("good", "tried", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_the_interval_is_wilsons(good, tried, low, high):
    """Newcombe, Statistics in Medicine 17 (1998) 857, table I, score method (memory); and scipy.stats.binomtest."""
    assert wilson(good, tried) == pytest.approx((low, high), abs=6e-5)
    book = stats.binomtest(good, tried).proportion_ci(0.95, method="wilson")
    assert wilson(good, tried) == pytest.approx((book.low, book.high), abs=1e-12)


def test_changes_tried_on_the_same_luck_agree_with_brute_force(results):
    """Each change on fresh days of another seed: the difference it makes is the same within what chance allows."""
    setup, luck = setup_of(results), usual_luck()
    base = given(setup, try_days(setup, Draws(luck, 4000, 1)))
    fresh = given(setup, try_days(setup, Draws(luck, 16_000, 99)))
    tried = list(changes(results, setup, [0, 2], iceless=True))
    assert len(tried) >= 7
    for what, changed in tried:
        same = given(changed, try_days(changed, Draws(luck, 4000, 1)))
        other = given(changed, try_days(changed, Draws(luck, 16_000, 77)))
        paired = (same.astype(int) - base).std() / math.sqrt(4000)
        apart = math.hypot(fresh.std(), other.std()) / math.sqrt(16_000)
        helped = (same.mean() - base.mean(), other.mean() - fresh.mean())
        assert abs(helped[0] - helped[1]) <= 4 * math.hypot(paired, apart), what
        assert paired < math.hypot(base.std(), same.std()) / math.sqrt(4000), what


def test_more_of_what_ran_out_never_takes_a_day_away(results):
    setup, luck = setup_of(results), usual_luck()
    base = given(setup, try_days(setup, Draws(luck, 2000, 1)))
    for what, changed in changes(results, setup, [0, 1, 2], iceless=True):
        if what.startswith(("one more tub", "25 % more dry ice", "a call")):
            after = given(changed, try_days(changed, Draws(luck, 2000, 1)))
            assert (after | ~base).all() or what.startswith("one more tub"), what
            assert after.sum() >= base.sum(), what


def test_the_answer_adds_up(answer, results):
    assert answer.share + sum(answer.short_of.values()) == pytest.approx(1.0)
    low, high = answer.interval
    assert low < answer.share < high
    assert answer.wrap_by[10] <= answer.wrap_by[50] <= answer.wrap_by[90]
    assert answer.planned_wrap == results.day.wrap
    assert len(answer.helps) == 5
    assert [one.share for one in answer.helps] == sorted((one.share for one in answer.helps), reverse=True)
    for name, parts in answer.tubs.items():
        assert 1 <= parts[50] <= parts[95] <= answer.ordered[name]
    assert answer.dry_ice_kg[50] < answer.dry_ice_kg[95]
    assert all(found.how and found.source for _, found in answer.found)


def test_pulls_are_about_those_that_prep_reckons_with(answer, results):
    """Prep's pulls give heroes and spares with 95 %; a day without many spares used takes no more on most days."""
    for product in results.products:
        assert answer.pulls[product.flavour][50] <= product.pulls.value


def test_two_processes_give_the_same_bits(tmp_path):
    plan = tmp_path / "plan.json"
    plan.write_text(json.dumps(THREE_FLAVOURS))
    said = [
        subprocess.run(
            [sys.executable, "-m", "studiotimer", "trial", str(plan), "--days", "300", "--seed", "7", "--json"],
            check=True, capture_output=True, timeout=120, env={"PYTHONHASHSEED": seed},
        ).stdout
        for seed in ("0", "3")
    ]  # fmt: skip
    assert said[0] == said[1]
    values = json.loads(said[0])
    assert set(values) >= {"all_shots", "wrap_by", "short_of", "pulls", "tubs", "dry_ice_kg", "helps"}
    assert set(values["wrap_by"]) == {"10", "50", "90"}


@pytest.mark.parametrize(
    ("share", "helped", "sentence"),
    [
        (0.81, 0.89, "Every shot by 17:10 on 8 of 10 days; one more tub of hazelnut makes it 9."),
        (0.81, 0.84, "Every shot by 17:10 on 81 of 100 days; one more tub of hazelnut makes it 84."),
        (0.81, 0.812, "Every shot by 17:10 on 8 of 10 days; nothing tried makes it more."),
        (0.998, 1.0, "Every shot by 17:10 on 99 of 100 days; nothing tried makes it more."),
        (1.0, 1.0, "Every shot by 17:10 on every one of 1,000 days."),
        (0.0, 0.0, "Every shot by 17:10 on none of 1,000 days; nothing tried makes it more."),
        (0.0, 0.34, "Every shot by 17:10 on none of 1,000 days; one more tub of hazelnut makes it 3 of 10."),
        (0.004, 0.3, "Every shot by 17:10 on 1 of 100 days; one more tub of hazelnut makes it 30."),
    ],
)
def test_one_sentence_says_it(answer, share, helped, sentence):
    made = replace(
        answer, share=share, planned_wrap=dt.datetime(2031, 6, 14, 17, 10),
        helps=(Help("one more tub of hazelnut", helped),),
    )  # fmt: skip
    assert made.sentence == sentence


def test_it_can_be_stopped(results):
    with pytest.raises(StoppedError):
        answer_of(results, 100, 1, stopped=lambda: True)


def test_a_day_that_gives_all_needs_no_help():
    sure = copy.deepcopy(CALM) | {"good_share": 1, "room": {"air": "15 °C"}}
    sure["shots"][0] |= {"frames": 1, "dressing": "0 s", "locks": "1 min"}
    results = results_of(parse_plan(sure))
    answer = answer_of(results, 50, 1, NO_ACCIDENTS)
    assert (answer.share, answer.helps) == (1.0, ())
    assert answer.dry_ice_kg is None


def test_a_chilled_plate_and_a_freezer_more_are_tried_where_they_can_help(results):
    said = [what for what, _ in changes(results, setup_of(results), [], iceless=False)]
    assert "plates at 4 °C" not in said
    assert "one freezer more" not in said
    foot = copy.deepcopy(THREE_FLAVOURS)
    foot["shots"][0] |= {"stands_on": "steel", "foot_in_frame": True, "plate": "1 mm"}
    foot["flavours"][2]["freezer"] = 1
    setup = setup_of(results := results_of(parse_plan(foot)))
    tried = dict(changes(results, setup, [], iceless=False))
    assert {"plates at 4 °C", "one freezer more"} <= set(tried)
    days = {what: given(one, try_days(one, Draws(usual_luck(), 1000, 1))).mean() for what, one in tried.items()}
    assert days["plates at 4 °C"] > given(setup, try_days(setup, Draws(usual_luck(), 1000, 1))).mean()
    assert [flavour.freezer for flavour in setup.flavours] == [1, 1, 1]


HOT = {"room": {"air": "35 °C"}, "dry_ice": {"holding_box": False}}


@pytest.mark.parametrize(
    ("change", "options", "sentence"),
    [
        ({}, ["--days", "0"], "days: 0 cannot be tried; give 1 to 100,000"),
        ({}, ["--days", "1000000"], "days: 1,000,000 cannot be tried"),
        ({}, ["--days", "many"], "days: “many” is not a whole number"),
        ({}, ["--days", "1.5"], "days: “1.5” is not a whole number"),
        ({}, ["--days", "9" * 5000], "days: a number of 5000 digits is too large"),
        ({}, ["--seed", "luck"], "seed: “luck” is not a whole number; write one like 7"),
        ({}, ["--seed=-1"], "seed: “-1” is not a whole number"),
        ({}, ["--seed", "²"], "seed: “²” is not a whole number"),
        ({}, ["--seed", ""], "seed: “” is not a whole number"),
        ({}, ["--without", "rain"], "without: “rain” is nothing that goes wrong on a trial day; write one of dropped,"),
        ({"tub": {"size": "pint"}, "width": "120 mm"}, [], "flavour Vanilla: no day can give it, a scoop is wider"),
        ({"width": "65"}, [], "width: “65” has no unit"),
    ],
)
def test_bad_input_is_one_sentence(change, options, sentence, tmp_path, capsys):
    (tmp_path / "p.json").write_text(json.dumps(CALM | change))
    assert main(["trial", str(tmp_path / "p.json"), *options]) == 2
    said = capsys.readouterr()
    assert sentence in said.err
    assert said.err.count("\n") == 1
    assert not said.out


def test_a_shot_that_no_hero_can_give_is_named(tmp_path, capsys):
    plan = copy.deepcopy(CALM) | HOT
    plan["shots"][0] |= {"light": "tungsten 60000 lx", "dressing": "90 s"}
    (tmp_path / "p.json").write_text(json.dumps(plan))
    assert main(["trial", str(tmp_path / "p.json")]) == 2
    said = capsys.readouterr().err
    assert "shot Scoop: no day can give it, no frame fits in one hero" in said
    assert said.count("\n") == 1


def test_a_day_too_long_or_too_much_to_try_is_refused():
    plan = copy.deepcopy(THREE_FLAVOURS)
    for shot in plan["shots"]:
        shot.update(takes=50, frames=200, between="90 s")
    with pytest.raises(TrialError, match="which is no day"):
        answer_of(results_of(parse_plan(plan)), 100, 1)
    quick = copy.deepcopy(CALM) | {"pull_to_set": "0 s", "reset": "0 s"}
    quick["shots"][0] |= {"takes": 200, "frames": 1, "dressing": "0 s"}
    quick["shots"][0]["heroes"] = [{"flavour": "Vanilla", "spot": f"spot {n}"} for n in range(40)]
    with pytest.raises(TrialError, match="are too many to try; give at most 2,500"):
        answer_of(results_of(parse_plan(quick)), 10_000, 1)


def test_the_command_prints_the_sentence_first(tmp_path, capsys):
    (tmp_path / "p.json").write_text(json.dumps(CALM))
    assert main(["trial", str(tmp_path / "p.json"), "--days", "200"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[2].startswith("Every shot by 10:00 on ")
    assert any(line.startswith("what ended the others: ") for line in lines)
    assert "dry ice on set" in "".join(lines)
    assert "monitor decides" in lines[-1]
