"""A closed pack's frost and dew: what settles, what dries, and the forms of packs."""

import math

import numpy as np
import pytest

from studiotimer import forms
from studiotimer.mixes import mixes
from studiotimer.prep.plan import Plan, PlanError
from studiotimer.prep.scene import build_of
from studiotimer.thermal.air import heat_flux
from studiotimer.thermal.lookup import outer_c
from studiotimer.thermal.pack import RUNS_KG_M2, settled_on, sweat
from studiotimer.thermal.surroundings import room

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
    assert found.dew_s == pytest.approx(0.0, abs=40.0)
    assert found.frost_s == math.inf


def test_it_runs_when_the_wall_holds_no_more():
    found = sweat(mixes()["premium"], PINT, -4.0, room(24.0, 0.8))
    assert float(np.interp(found.runs_s, found.times, found.settled)) >= RUNS_KG_M2 * 0.999


def test_an_opened_pack_has_a_face_and_no_wall():
    face = forms.build("open pint", 0.065, 0.0012).body
    assert (face.exponent, face.wall_m2k_w) == (1.0, 0.0)


def test_a_closed_pack_in_a_plan_is_refused_with_what_tells_of_it():
    plan = Plan.model_validate({
        "title": "packs", "flavours": [{"name": "fig", "form": "pint"}],
        "shots": [{"name": "one", "heroes": [{"flavour": "fig"}]}],
    })  # fmt: skip
    with pytest.raises(PlanError, match="a closed pack has no window here"):
        build_of(plan, plan.flavours[0])
