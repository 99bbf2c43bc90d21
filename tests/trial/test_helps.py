"""What is tried to help a day: each change where it can help, and only what it says changed."""

import copy
from dataclasses import replace

import pytest

from studiotimer.prep.plan import parse_plan
from studiotimer.prep.results import results_of
from studiotimer.trial.figures import setup_of
from studiotimer.trial.helps import _chilled, _one_freezer_more, changes
from tests.prep.plans import CALM, THREE_FLAVOURS


def tried(values, short=(), iceless=False):
    results = results_of(parse_plan(values))
    setup = setup_of(results)
    return setup, dict(changes(results, setup, list(short), iceless))


def with_ice(**ice):
    return CALM | {"dry_ice": {"holding_box": True, "box": "-20 °C", **ice}}


@pytest.fixture(scope="module")
def three():
    return tried(THREE_FLAVOURS, [1], iceless=True)


def test_of_a_flavour_that_ran_out_there_is_a_tub_more_and_of_the_others_none(three):
    setup, found = three
    tubs = [flavour.tubs for flavour in setup.flavours]
    more = found.pop("one more tub of Hazelnut")
    assert [flavour.tubs for flavour in more.flavours] == [tubs[0], tubs[1] + 1, tubs[2]]
    assert replace(more, flavours=setup.flavours) == setup
    assert not any(what.startswith("one more tub") for what in found)


def test_a_day_has_a_quarter_more_ice_half_the_dressing_or_half_an_hour_more(three):
    setup, found = three
    assert found["25 % more dry ice"].ice.bought_kg == pytest.approx(1.25 * setup.ice.bought_kg)
    assert found["a call time half an hour earlier"] == replace(setup, wrap_s=setup.wrap_s + 1800.0)
    halved = found["dressing in half the time"]
    assert [one.dressing_s for one in halved.shots] == [one.dressing_s / 2 for one in setup.shots]
    assert any(one.dressing_s > 0.0 for one in halved.shots)


def test_what_did_not_run_out_and_what_nobody_does_is_not_tried():
    undressed = copy.deepcopy(CALM)
    undressed["shots"][0]["dressing"] = "0 s"
    _, found = tried(undressed)
    assert list(found) == ["a call time half an hour earlier", "dry ice on set, air at 5 °C"]
    assert "25 % more dry ice" not in tried(THREE_FLAVOURS)[1]


@pytest.mark.parametrize(
    ("values", "said"),
    [
        (with_ice(), {"a box at −35 °C", "dry ice on set, air at 5 °C"}),
        (with_ice(box="-60 °C"), {"a box at −70 °C", "dry ice on set, air at 5 °C"}),
        (with_ice(box="-70 °C"), {"dry ice on set, air at 5 °C"}),
        (with_ice(target_air="2 °C", form="slab"), {"a box at −35 °C", "air at the set at −8 °C"}),
        (CALM | {"room": {"air": "5 °C"}}, set()),
    ],
)
def test_cold_is_made_colder_as_far_as_it_goes(values, said):
    _, found = tried(values)
    assert {what for what in found if "air at" in what or "a box" in what} == said


def test_a_freezer_more_is_tried_where_flavours_share_one_and_would_gain():
    together = copy.deepcopy(THREE_FLAVOURS)
    together["flavours"][2]["freezer"] = 1
    more = _one_freezer_more(parse_plan(together))
    assert [flavour.name for flavour in more.flavours] == ["Pistachio", "Hazelnut", "Lemon"]
    assert sorted({flavour.freezer for flavour in more.flavours}) == [1, 2]
    assert more.flavours[2].freezer != more.flavours[0].freezer, "a sorbet is as soft as a rich mix only when warmer"
    alike = copy.deepcopy(together)
    for flavour in alike["flavours"]:
        flavour["mix"] = "premium"
    for values in (alike, together | {"freezer": "-16 °C"}, CALM):
        assert _one_freezer_more(parse_plan(values)) is None


@pytest.mark.parametrize(
    ("shot", "chilled"),
    [
        ({}, True),
        ({"foot_in_frame": False}, False),
        ({"look": "first drip"}, False),
        ({"plate_is": "chilled", "plate_at": "10 °C"}, True),
        ({"plate_is": "chilled", "plate_at": "4 °C"}, False),
        ({"plate_is": "with its hero"}, False),
    ],
)
def test_a_plate_is_chilled_where_a_foot_in_the_frame_ends_the_look(shot, chilled):
    values = copy.deepcopy(CALM)
    values["shots"][0] |= {"stands_on": "steel", "foot_in_frame": True, "plate": "1 mm", "dressing": "0 s", **shot}
    one = parse_plan(values).shots[0]
    after = _chilled(one)
    assert (after.plate_is, after.plate_at_c) == (("chilled", 4.0) if chilled else (one.plate_is, one.plate_at_c))
