"""What the trial says of days that are made by hand, without shooting any."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest

from studiotimer.trial.answer import ICE, LOCKS, TIME, Answer, Help, _short_of, given
from studiotimer.trial.days import Days
from studiotimer.trial.figures import IceStock
from tests.trial.setups import scene, setup, stock

PARTS = {50: 4, 95: 9}
ANSWER = Answer(
    title="t", days=1000, seed=7, left_out="", planned_wrap=dt.datetime(2031, 6, 14, 17, 10), share=0.81, interval=(0.78, 0.84),
    wrap_by={10: dt.datetime(2031, 6, 14, 15), 50: dt.datetime(2031, 6, 14, 16), 90: dt.datetime(2031, 6, 14, 18)},
    short_of={TIME: 0.12, LOCKS: 0.07}, pulls={"lemon": PARTS}, tubs={"lemon": {50: 1, 95: 2}}, ordered={"lemon": 3},
    dry_ice_kg={50: 4.25, 95: 6.5}, bought_kg=8.0, helps=(Help("one more tub of lemon", 0.9),),
)  # fmt: skip


@pytest.mark.parametrize(
    ("share", "helped", "sentence"),
    [
        (0.1, 0.1, "Every shot by 17:10 on 1 of 10 days; nothing tried makes it more."),
        (0.1, 0.4, "Every shot by 17:10 on 1 of 10 days; with one more tub of lemon, on 4."),
        (0.5, 1.0, "Every shot by 17:10 on 5 of 10 days; with one more tub of lemon, on 10."),
        (0.96, 1.0, "Every shot by 17:10 on 96 of 100 days; with one more tub of lemon, on 100."),
    ],
)
def test_few_days_are_said_of_ten_and_where_that_tells_nothing_of_a_hundred(share, helped, sentence):
    assert replace(ANSWER, share=share, helps=(Help("one more tub of lemon", helped),)).sentence == sentence


def test_it_speaks_of_dry_ice_where_some_is_used_or_tried():
    dry = replace(ANSWER, dry_ice_kg=None, bought_kg=None)
    assert (ANSWER.iced, dry.iced) == (True, False)
    assert replace(dry, helps=(Help(f"25 % more {ICE}", 0.9),)).iced


def test_each_part_is_said_with_its_figures():
    said = {name: found.how for name, found in ANSWER.found}
    assert said["every shot"].startswith("1,000 simulated days, 81.0 % of them give every shot before the planned")
    assert "(78.0 % to 84.0 % by chance alone, Wilson)" in said["every shot"]
    assert said["what ended the others"] == f"{TIME} on 12.0 %; {LOCKS} on 7.0 %"
    assert said["the last shot is over"] == "by 15:00 on 10 %, 16:00 on 50 %, 18:00 on 90 % of days"
    assert said["pulls"] == "lemon 4 on half of all days, at most 9 on 95 %"
    assert said["tubs opened"] == "lemon 1 on half of all days, at most 2 on 95 %, 3 ordered"
    assert said["dry ice"] == "4.2 kg on half of all days, at most 6.5 kg on 95 %"
    assert said["tried with the same luck"] == "one more tub of lemon: 90.0 %"
    bare = {name: found.how for name, found in replace(ANSWER, short_of={}, dry_ice_kg=None, helps=()).found}
    assert (bare["what ended the others"], bare["tried with the same luck"]) == ("no day", "nothing")
    assert "dry ice" not in bare


def test_its_values_are_written_with_names_that_json_has():
    values = ANSWER.as_json()
    assert values["dry_ice_kg"] == {"50": 4.25, "95": 6.5, "bought": 8.0}
    assert values["pulls"] == {"lemon": {"50": 4, "95": 9}}
    assert replace(ANSWER, dry_ice_kg=None).as_json()["dry_ice_kg"] is None


def test_a_day_gives_all_that_is_over_as_its_wrap_is_and_while_there_is_ice():
    """What ended each of six days: nothing twice, the wrap, the ice, the locks, the pulls."""
    day = setup([scene()], [stock("lemon")], wrap_s=1000.0, ice=IceStock(1.0, 0.0, 0.0, 0.0, None, 0.0, 0.0))
    days = Days(
        got=np.array([True, True, True, True, True, False]),
        end_s=np.array([900.0, 1000.0, 1001.0, 800.0, 1200.0, 500.0]),
        locks_s=np.array([0.0, 0.0, 0.0, 0.0, 200.0, 0.0]),
        pulls=np.ones((1, 6)),
        lacking=np.array([-1, -1, -1, -1, -1, 0]),
        ice_kg=np.ones(6),
        ice_out_s=np.array([np.inf, 1000.0, np.inf, 799.0, np.inf, np.inf]),
    )
    all_shots = given(day, days)
    assert all_shots.tolist() == [True, True, False, False, False, False]
    sixth = pytest.approx(1 / 6)
    assert _short_of(day, days, all_shots) == {TIME: sixth, ICE: sixth, LOCKS: sixth, "pulls of lemon": sixth}
