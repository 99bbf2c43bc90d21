"""A closed pack's frost and dew: what settles, what dries, and the forms of packs."""

import math
from dataclasses import replace

import numpy as np
import pytest

from studiotimer import forms
from studiotimer.mixes import mixes
from studiotimer.thermal.air import heat_flux, settling
from studiotimer.thermal.body import Piece
from studiotimer.thermal.horizon import HORIZON_S
from studiotimer.thermal.lookup import outer_c
from studiotimer.thermal.pack import (
    RUNS_KG_M2,
    SHOWS_KG_M2,
    Packed,
    _first,
    _gathered,
    _wet,
    changes_of_packs,
    sweat,
    sweats,
)
from studiotimer.thermal.scoop import Scoop
from studiotimer.thermal.surroundings import carrying, cold_store, pulling, room
from tests.thermal.walls import settled_on

ROOM = room(22.0, 0.5)
PINT = forms.build("pint", 0.065, 0.0012).body


def test_what_reaches_the_wall_goes_through_it():
    inner = np.array([-30.0, -18.0, -5.0, 5.0])
    outer = outer_c(inner, PINT, ROOM)
    through = (outer - inner) / PINT.wall_m2k_w
    assert through == pytest.approx(heat_flux(outer, ROOM, PINT.along_m, PINT.flow), abs=1e-6)
    assert np.all(outer > inner)


@pytest.mark.parametrize("name", ["superpremium", "regular", "sorbet"])
def test_frost_then_dew_then_drops(name):
    found = sweat(mixes()[name], PINT, -18.0, ROOM)
    assert 0.0 < found.frost_s < 180.0 < found.dew_s <= found.runs_s
    assert float(np.interp(found.dew_s, found.times, found.wall_c)) == pytest.approx(0.0, abs=0.1)
    assert np.all(np.diff(found.wall_c) >= -1e-6)


def test_a_colder_pack_stays_frosted_longer_and_dry_air_leaves_it_bare():
    mix = mixes()["premium"]
    assert sweat(mix, PINT, -24.0, ROOM).dew_s > sweat(mix, PINT, -14.0, ROOM).dew_s
    desert = sweat(mix, PINT, -18.0, room(22.0, 0.0))
    assert (desert.frost_s, desert.dew_s, desert.runs_s) == (math.inf,) * 3
    assert not desert.settled.any()


def test_a_wall_that_warms_past_the_dew_point_dries():
    times = np.linspace(0.0, 7200.0, 200)
    wall = np.where(times < 600.0, 5.0, 20.0)
    found = settled_on(times, wall, ROOM, PINT)
    assert found.settled.max() > 0.0
    assert found.settled[-1] == 0.0
    assert found.dew_s == pytest.approx(SHOWS_KG_M2 / float(settling(5.0, ROOM, PINT.along_m, PINT.flow)), rel=0.01)
    assert found.frost_s == math.inf


def test_it_is_told_from_the_moment_it_came_on_set():
    for before in ((), (Piece(ROOM, 60.0), Piece(carrying(ROOM), 15.0))):
        times = sweat(mixes()["premium"], PINT, -4.0, room(24.0, 0.8), list(before)).times
        assert times[0] == pytest.approx(0.0, abs=1e-6)
        assert (np.diff(times) >= 0.0).all()


def test_it_runs_when_the_wall_holds_no_more():
    found = sweat(mixes()["premium"], PINT, -4.0, room(24.0, 0.8))
    assert float(np.interp(found.runs_s, found.times, found.settled)) >= RUNS_KG_M2 * 0.999


def test_an_opened_pack_has_a_face_and_no_wall():
    face = forms.build("open pint", 0.065, 0.0012).body
    assert (face.exponent, face.wall_m2k_w) == (1.0, 0.0)


def test_what_it_brings_from_the_pull_counts():
    mix, walk = mixes()["premium"], Piece(carrying(ROOM), 15.0)
    brought = sweat(mix, PINT, -18.0, ROOM, [Piece(pulling(ROOM), 60.0), walk])
    assert brought.frost_s < sweat(mix, PINT, -18.0, ROOM).frost_s
    assert brought.times[0] == 0.0
    assert brought.settled[0] > 0.0
    cold = sweat(mix, PINT, -18.0, ROOM, [Piece(cold_store(-18.0), 3600.0)])
    assert cold.settled[0] == pytest.approx(0.0, abs=1e-6)


def test_wiped_it_begins_anew():
    mix, on_set = mixes()["premium"], (Piece(ROOM, HORIZON_S),)
    left, frost, dew, late = sweats([
        Packed(mix, PINT, -18.0, on_set, 0.0, wiped) for wiped in ((), (600.0,), (2400.0,), (600.0, 2400.0))
    ])  # fmt: skip
    assert frost.frost_s > 600.0 > left.frost_s
    assert frost.dew_s == pytest.approx(left.dew_s, abs=1.0)
    assert frost.runs_s > left.runs_s
    assert 2400.0 < dew.dew_s < 2700.0
    assert dew.runs_s > frost.runs_s
    assert late.dew_s == pytest.approx(dew.dew_s, abs=1.0)
    assert dew.settled[0] == 0.0


def test_many_packs_at_once_are_as_each_by_itself():
    packs = [
        Packed(mixes()[name], forms.build(form, 0.065, 0.0012).body, start, (Piece(ROOM, 5000.0),))
        for name, form, start in (("premium", "pint", -18.0), ("sorbet", "carton", -22.0), ("economy", "tub", -14.0))
    ]
    for together, alone in zip(sweats(packs), (sweats([pack])[0] for pack in packs), strict=True):
        assert together.dew_s == pytest.approx(alone.dew_s, rel=1e-6)
        assert together.settled == pytest.approx(alone.settled)


def test_a_slower_pack_takes_longer_by_as_much():
    scoop = Scoop(mixes()["premium"], -18.0, ROOM, build=forms.build("pint", 0.065, 0.0012))
    usual, slow = changes_of_packs([scoop, replace(scoop, tau=0.2)])
    assert slow.dew_s == pytest.approx(usual.dew_s * math.exp(0.2), rel=1e-3)
    assert slow.frost_s == pytest.approx(usual.frost_s * math.exp(0.2), rel=1e-3)


def test_what_settles_is_the_area_under_its_rate_and_never_less_than_nothing():
    times, rate = np.array([0.0, 1.0, 3.0, 4.0]), np.array([1.0, 3.0, 2.0, -8.0])
    assert _gathered(times, rate, 0.5) == pytest.approx([0.5, 2.5, 7.5, 4.5])
    assert _gathered(times, -rate, 0.5) == pytest.approx([0.5, 0.0, 0.0, 3.0])


TIMES = np.array([0.0, 10.0, 20.0, 40.0])


@pytest.mark.parametrize(
    ("values", "at"),
    [
        ([0.0, 1.0, 3.0, 4.0], 15.0),
        ([0.0, 1.0, 2.0, 4.0], 20.0),
        ([2.0, 3.0, 3.0, 3.0], 0.0),
        ([0.0, 1.0, 1.5, 2.5], 30.0),
        ([0.0, 2.5, 0.0, 5.0], 8.0),
        ([0.0, 1.0, 1.5, 1.9], np.inf),
    ],
)
def test_something_comes_to_an_amount_between_two_times_in_proportion(values, at):
    assert _first(TIMES, np.array(values), 2.0) == pytest.approx(at)


@pytest.mark.parametrize(
    ("wall", "mass", "at"),
    [
        ([1.0, 1.0, 1.0, 1.0], [0.0, 1.0, 3.0, 4.0], 15.0),  # over 0 °C all the while: as the water gathers
        ([-4.0, -1.0, 3.0, 5.0], [2.0, 3.0, 4.0, 5.0], 12.5),  # enough all the while: as the wall thaws
        ([-1.0, -1.0, 1.0, 2.0], [0.0, 1.0, 3.0, 4.0], 15.0),  # both at once
        ([-1.0, -1.0, 3.0, 3.0], [0.0, 1.0, 2.25, 4.0], 18.0),  # it thaws at 12.5 and has gathered at 18
        ([-3.0, -3.0, 1.0, 1.0], [0.0, 1.5, 3.5, 4.0], 17.5),  # it has gathered at 12.5 and thaws at 17.5
        ([0.0, 1.0, 1.0, 1.0], [2.0, 3.0, 4.0, 5.0], 0.0),
        ([1.0, 1.0, 1.0, 1.0], [0.0, 1.0, 1.5, 1.9], np.inf),
        ([-1.0, -1.0, -1.0, -0.1], [2.0, 3.0, 4.0, 5.0], np.inf),
        ([0.5, 0.5, 0.5, 0.5], [0.0, 1.0, 2.0, 4.0], 20.0),
    ],
)
def test_a_wall_is_wet_once_it_is_thawed_and_enough_is_on_it(wall, mass, at):
    assert _wet(TIMES, np.array(wall), np.array(mass), 2.0) == pytest.approx(at)


def test_what_settles_adds_up_and_no_more_dries_than_there_is():
    """By the trapezium: half of both rates over the time between them."""
    rates = np.array([0.2, 0.4, -0.5, -0.1])
    assert _gathered(TIMES, rates, 1.0).tolist() == pytest.approx([1.0, 4.0, 3.5, 0.0])
