"""The answer of many days: its interval, its changes on the same luck, its sentence, and what cannot be tried."""

import copy
import datetime as dt
import json
import math
import subprocess
import sys
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from scipy import stats

from studiotimer.cli import main
from studiotimer.errors import StoppedError
from studiotimer.prep.plan import parse_plan
from studiotimer.prep.results import results_of
from studiotimer.trial import answer as answers
from studiotimer.trial.answer import ICE, Help, answer_of, days_worth, given, wilson
from studiotimer.trial.days import Days, Draws, try_days
from studiotimer.trial.figures import TrialError, setup_of
from studiotimer.trial.helps import changes
from studiotimer.trial.luck import ACCIDENTS, usual_luck
from tests.prep.plans import CALM, THREE_FLAVOURS
from tests.trial import setups
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


@pytest.mark.parametrize("what", [*ACCIDENTS])
def test_whatever_can_be_left_out_makes_a_difference(results, what, capsys):
    """To the minutes, pulls or ice of the days; and the command offers it by that name."""
    luck = usual_luck()
    always = replace(luck, rates=luck.rates | {what: 1.0})
    wrong, right = (answer_of(results, 100, 1, one).as_json() for one in (always, always.without([what])))
    assert any(wrong[part] != right[part] for part in ("wrap_by", "pulls", "dry_ice_kg"))
    main(["trial", "--help"])
    offered = " ".join(capsys.readouterr().out.split()).partition("never go wrong: ")[2].partition(", or accidents")[0]
    assert what.replace("_", " ") in offered.split(", ")
    assert len(offered.split(", ")) == len(ACCIDENTS)


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
        (0.81, 0.89, "Every shot by 17:10 on 8 of 10 days; with one more tub of hazelnut, on 9."),
        (0.81, 0.84, "Every shot by 17:10 on 81 of 100 days; with one more tub of hazelnut, on 84."),
        (0.81, 0.812, "Every shot by 17:10 on 8 of 10 days; nothing tried makes it more."),
        (0.998, 1.0, "Every shot by 17:10 on 99 of 100 days; nothing tried makes it more."),
        (1.0, 1.0, "Every shot by 17:10 on every one of 1,000 days."),
        (0.0, 0.0, "Every shot by 17:10 on none of 1,000 days; nothing tried makes it more."),
        (0.0, 0.34, "Every shot by 17:10 on none of 1,000 days; with one more tub of hazelnut, on 3 of 10."),
        (0.004, 0.3, "Every shot by 17:10 on 1 of 100 days; with one more tub of hazelnut, on 30."),
    ],
)
def test_one_sentence_says_it(answer, share, helped, sentence):
    made = replace(
        answer, share=share, planned_wrap=dt.datetime(2031, 6, 14, 17, 10),
        helps=(Help("one more tub of hazelnut", helped),),
    )  # fmt: skip
    assert made.sentence == sentence


def test_an_answer_is_read_off_its_days_part_by_part(results, monkeypatch):
    """A hundred days made by hand: the 10th, 50th and 90th of their ends, the 50th and 95th of their amounts."""
    setup, number = setup_of(results), np.arange(1.0, 101.0)
    holds = [one.scoops_a_tub for one in setup.flavours]
    days = Days(
        got=number <= 60, end_s=60.0 * number, locks_s=np.zeros(100),
        pulls=np.array([holds[0] + 0.0 * number, number, 2 * number]),
        lacking=np.where(number <= 60, -1, np.where(number <= 90, 1, 2)), ice_kg=number / 10.0,
        ice_out_s=np.where(number <= 50, np.inf, 0.0),
    )  # fmt: skip
    shares = iter((0.50, 0.20, 0.70, 0.60, 0.90, 0.80, 0.30, 0.40, 0.10))

    def tried(changed, *_):
        return days if changed is setup else next(shares)

    monkeypatch.setattr(answers, "setup_of", lambda _: setup)
    monkeypatch.setattr(answers, "try_days", tried)
    monkeypatch.setattr(answers, "given", lambda of, one: given(of, one) if one is days else np.array([one]))
    answer = answer_of(results, 100, 1)
    assert answer.share == 0.5
    assert answer.short_of == {"pulls of Hazelnut": 0.3, "pulls of Lemon": 0.1, ICE: 0.1}
    call = results.day.call
    assert answer.wrap_by == {part: call + dt.timedelta(minutes=part) for part in (10, 50, 90)}
    assert answer.pulls == {
        "all": {50: holds[0] + 150, 95: holds[0] + 285}, "Pistachio": {50: holds[0], 95: holds[0]},
        "Hazelnut": {50: 50, 95: 95}, "Lemon": {50: 100, 95: 190},
    }  # fmt: skip
    assert answer.tubs["Pistachio"] == {50: 1, 95: 1}
    assert answer.tubs["Lemon"] == {part: math.ceil(2 * part / holds[2]) for part in (50, 95)}
    assert answer.dry_ice_kg == {50: 5.0, 95: 9.5}
    assert [one.share for one in answer.helps] == [0.9, 0.8, 0.7, 0.6, 0.5][: len(answer.helps)]
    whats = [what for what, _ in changes(results, setup, [1, 2], iceless=True)]
    assert {one.what for one in answer.helps} <= set(whats)
    assert answer.helps[0].what == whats[4]
    assert "25 % more dry ice" in whats[:3]
    assert next(one.share for one in answer.helps if one.what == "25 % more dry ice") == 0.7


def test_of_the_flavours_that_ran_out_on_most_days_three_are_helped(results, monkeypatch):
    setup = setups.setup([setups.scene()], [setups.stock(name) for name in "abcd"])
    ran_out = np.repeat([1, 3, 0, 2], [5, 7, 2, 4])
    none = np.zeros(ran_out.size)
    days = Days(none > 0, none, none, np.ones((4, ran_out.size)), ran_out, none, none + np.inf)
    asked = []
    monkeypatch.setattr(answers, "setup_of", lambda _: setup)
    monkeypatch.setattr(answers, "try_days", lambda *_: days)
    monkeypatch.setattr(answers, "changes", lambda _, __, short, iceless: asked.append((short, iceless)) or [])
    answer = answer_of(results, ran_out.size, 1)
    assert asked == [([3, 1, 2], False)]
    assert (answer.dry_ice_kg, answer.bought_kg) == (None, None)
    assert list(answer.short_of) == ["pulls of d", "pulls of b", "pulls of c", "pulls of a"]


@pytest.mark.parametrize(
    ("groups", "days"), [([1], 1000), ([100, None], 1000), ([101, 0], 990), ([250, 250], 200), ([5000, 0], 100)]
)
def test_of_a_large_plan_fewer_days_are_tried_while_it_is_written(groups, days):
    """Two heroes a group: two hundred thousand are carried at most, but a hundred days are tried of any."""
    results = SimpleNamespace(
        shots=[SimpleNamespace(groups=SimpleNamespace(value=one)) for one in groups],
        plan=SimpleNamespace(shots=[SimpleNamespace(heroes=(1, 2)) for _ in groups]),
    )
    assert days_worth(results) == days


@pytest.mark.parametrize(
    ("share", "sentence"),
    [(0.949, "9 of 10"), (0.96, "96 of 100"), (0.05, "5 of 100"), (0.06, "1 of 10")],
)
def test_a_share_near_all_or_none_is_said_of_a_hundred(answer, share, sentence):
    made = replace(answer, share=share, helps=(Help("more", share),))
    assert f"on {sentence} days; nothing tried" in made.sentence


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
