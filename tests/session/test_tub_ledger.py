"""Tubs and their blocks, numbered: pulls left, the next one opened, warned ten pulls ahead; and the truck's delivery."""

import pytest

from studiotimer.session.freezers import question
from studiotimer.session.tub_ledger import low_tubs, open_of, tub_words
from tests.session.shoots import plan
from tests.session.test_cues import Shoot

GALLONS = {"size": "3 gallon", "cut": 3}
"""27 pulls of 65 mm: three blocks of 9, by plain geometry (tests/outside/test_shoot_day.py)."""


@pytest.fixture
def shoot(tmp_path):
    one = Shoot(tmp_path / "tubs.setlog", plan(tub=GALLONS))
    yield one
    one.session.close()


def pulled(shoot, count, flavour="vanilla"):
    for _ in range(count):
        shoot.call("pull", flavour=flavour)
        shoot.call("judge", **{"as": "reject"})


def now(shoot, flavour="vanilla"):
    return open_of(shoot.session.plan, shoot.session.state, flavour)


def test_pulls_are_counted_off_the_block_they_come_from(shoot):
    shoot.call("shot")
    assert (now(shoot).name, now(shoot).expected, now(shoot).left, now(shoot).left_in_tub) == (
        "tub 1 block 1",
        9,
        9,
        27,
    )
    pulled(shoot, 4)
    pulled(shoot, 2, "cherry")
    assert (now(shoot).left, now(shoot).left_in_tub, now(shoot).said) == (5, 23, "tub 1 block 1, about 5 pulls left")
    assert now(shoot, "cherry").left == 7


def test_a_finished_block_opens_the_next_and_the_last_one_a_new_tub(shoot):
    shoot.call("shot")
    pulled(shoot, 7)
    assert now(shoot).next_name == "block 2 of tub 1"
    shoot.call("tub_finished", flavour="vanilla")
    assert (now(shoot).name, now(shoot).left, now(shoot).left_in_tub) == ("tub 1 block 2", 9, 18)
    pulled(shoot, 10)
    assert (now(shoot).left, now(shoot).left_in_tub) == (0, 9), "a block may give more than was expected"
    shoot.call("tub_finished", flavour="vanilla")
    assert now(shoot).next_name == "tub 2"
    shoot.call("tub_finished", flavour="vanilla")
    assert (now(shoot).name, now(shoot).left_in_tub) == ("tub 2 block 1", 27)
    shoot.call("take_back")
    assert now(shoot).name == "tub 1 block 3"


def test_the_call_finishes_the_tub_with_the_fewest_pulls_left(shoot):
    shoot.call("shot")
    shoot.call("shot", name="trio")
    pulled(shoot, 3)
    pulled(shoot, 5, "cherry")
    shoot.call("tub_finished")
    assert shoot.session.state.tubs_finished.keys() == {"cherry"}


def test_it_is_warned_ten_pulls_ahead_and_not_before(shoot):
    shoot.call("shot")
    for _ in range(2):
        pulled(shoot, 8)
        shoot.call("tub_finished", flavour="vanilla")
    assert tub_words(shoot.session.plan, shoot.session.state) == "", "nothing was pulled of the last block yet"
    pulled(shoot, 1)
    assert tub_words(shoot.session.plan, shoot.session.state) == (
        "vanilla: about 8 pulls left in tub 1; have tub 2 at hand."
    )
    shoot.call("lock", which="light", on=True)
    shoot.call("lock", which="set", on=True)
    (note,) = {cue.note for cue in shoot.cues() if cue.kind == "pull"}
    assert note == "tub 1 block 3, about 8 pulls left"


def test_no_warning_while_eleven_are_left(tmp_path):
    whole = Shoot(tmp_path / "tubs.setlog", plan(tub={"size": "gallon"}))
    whole.call("shot")
    pulled(whole, 1)
    assert (now(whole).expected, now(whole).left_in_tub) == (12, 11)
    assert tub_words(whole.session.plan, whole.session.state) == ""
    pulled(whole, 1)
    assert tub_words(whole.session.plan, whole.session.state).startswith("vanilla: about 10 pulls left in tub 1")
    whole.session.close()


def test_an_empty_tub_is_cued_while_it_is_out(shoot):
    shoot.call("shot")
    shoot.call("tub_out", flavour="vanilla")
    pulled(shoot, 8)
    assert "tub_finished" not in shoot.kinds()
    pulled(shoot, 1)
    cue = next(cue for cue in shoot.cues() if cue.kind == "tub_finished")
    assert cue.words == "vanilla: tub 1 block 1 finished, open block 2 of tub 1"
    shoot.call("tub_finished")
    assert "tub_finished" not in shoot.kinds()


def test_what_the_plan_does_not_know_has_no_ledger(shoot, tmp_path):
    assert now(shoot, "mint") is None
    small = plan(tub={"across": "30 mm", "depth": "30 mm"})
    assert open_of(small, shoot.session.state, "vanilla") is None
    odd = small.model_copy(update={"tub": small.tub.model_copy(update={"size": "vat", "across_m": None})})
    assert open_of(odd, shoot.session.state, "vanilla") is None


DELIVERED = {"supplier": "Maison Alder", "contact": "Sam", "phone": "555 0150", "cartons": 9}


def came(tmp_path, **fields):
    """The shoot of 14 June at 9:00 has its truck at 10:00 UTC that day: far too late."""
    one = Shoot(tmp_path / "tubs.setlog", plan(delivery=DELIVERED, timezone="Europe/Paris", date="2026-06-16"))
    one.call("delivery", **fields)
    state, entry = one.session.state, one.session.ledger.entries[-1]
    said = question(one.session.plan, state, entry)
    one.session.close()
    return said, state, entry


def test_a_delivery_is_kept_with_what_was_read_counted_and_damaged(tmp_path):
    said, state, entry = came(tmp_path, core_c=-19.5, cartons=9, damage="a carton crushed")
    assert said == ""
    assert (state.deliveries[-1].core_c, state.deliveries[-1].cartons) == (-19.5, 9)
    assert state.deliveries[-1].damage == "a carton crushed"
    assert entry.kind == "delivery"


def test_missing_cartons_and_soft_product_are_said_at_once(tmp_path):
    said, _, _ = came(tmp_path, core_c=-11.0, cartons=8)
    assert said.startswith("8 of 9 cartons: ring Sam, 555 0150")
    assert "it came at −11 °C, warmer than −15 °C" in said
    assert "stand-ins" in said


def test_a_delivery_that_is_late_says_what_can_still_be_done(tmp_path):
    one = Shoot(tmp_path / "tubs.setlog", plan(timezone="Europe/Paris", date="2026-06-15"))
    one.call("delivery", core_c=-18.0)
    said = question(one.session.plan, one.session.state, one.session.ledger.entries[-1])
    one.session.close()
    assert "it must stand 24 h and would be ready 12:00, after the test pulls at 08:00" in said
    assert "Still possible: " in said
    assert "call time 13:00 or later" in said


TRUCK = {**DELIVERED, "day": "2026-06-14", "from_time": "12:20", "to_time": "13:00"}
"""In Paris; the clock of the tests begins at 12:00 there."""


@pytest.fixture
def awaited(tmp_path):
    one = Shoot(tmp_path / "truck.setlog", plan(delivery=TRUCK, timezone="Europe/Paris", date="2026-06-15"))
    yield one
    one.session.close()


def test_a_truck_is_awaited_read_and_then_no_cue(awaited):
    assert "delivery" not in awaited.kinds(), "more than ten minutes before"
    awaited.clock.advance(15 * 60)
    assert "Read the delivery as it comes in 5:00" in awaited.words()
    awaited.clock.advance(5 * 60)
    first = awaited.cues()[0]
    assert (first.said_at(awaited.session.time()), first.note) == ("Read the delivery as it comes", "")
    assert (first.parts.verb, first.parts.rest) == ("Read", "the delivery")
    awaited.call("delivery", core_c=-18.0, cartons=9)
    assert "delivery" not in awaited.kinds()
    awaited.call("take_back")
    assert awaited.kinds()[0] == "delivery"


def test_a_late_truck_says_whom_to_ring_until_its_day_is_over_or_product_is_pulled(awaited):
    awaited.clock.advance(61 * 60)
    assert awaited.cues()[0].note == "it was due by 13:00: ring Sam, 555 0150"
    awaited.call("shot")
    assert awaited.kinds()[0] == "lock", "what the shot asks comes first"
    assert "delivery" in awaited.kinds()
    awaited.lock()
    awaited.call("pull")
    assert "delivery" not in awaited.kinds()
    awaited.call("take_back")
    assert "delivery" in awaited.kinds()
    awaited.clock.advance(12 * 3600)
    assert "delivery" not in awaited.kinds()


@pytest.mark.parametrize("truck", [{"day": None}, {"day": "2026-06-13"}, {"from_time": None, "to_time": None}])
def test_no_cue_of_a_truck_that_has_no_hour_or_came_another_day(tmp_path, truck):
    one = Shoot(tmp_path / "none.setlog", plan(delivery=TRUCK | truck, timezone="Europe/Paris"))
    one.clock.advance(30 * 60)
    assert "delivery" not in one.kinds()
    one.session.close()


def test_the_least_left_is_told_first_of_two_tubs_that_are_nearly_empty(tmp_path):
    one = Shoot(tmp_path / "two.setlog", plan(tub={"size": "3 gallon"}))
    one.call("shot", name="trio")
    for flavour in ["vanilla"] * 25 + ["cherry"] * 32:
        one.clock.advance(5.0)
        assert one.session.call("pull", {"flavour": flavour}).refused is None
    assert [(low.flavour, low.left_in_tub) for low in low_tubs(one.session.plan, one.session.state)] == [
        ("cherry", 1),
        ("vanilla", 8),
    ]
    assert tub_words(one.session.plan, one.session.state).startswith("cherry: about 1 pull left in tub 1; have tub 2")
    one.session.close()
