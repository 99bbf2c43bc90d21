"""The foot: values from an independent build, what shifts it, and how much the cells matter."""

import dataclasses
import math

import numpy as np
import pytest

from studiotimer import plates
from studiotimer.mixes import mixes
from studiotimer.thermal.foot import FAR, MESH, SPREAD, Base, Foot, Melt, foot, layer_m, melt, reached, standing_c
from studiotimer.thermal.form import ball
from studiotimer.thermal.scoop import Piece
from studiotimer.thermal.surroundings import cold_store
from studiotimer.units import UnitError

A = 0.018


def base(mix="superpremium", start=-12.0, on="slate", mm=8.0, at=22.0, radius=A, air=22.0):
    return Base(mixes()[mix], start, plates.plate(on, mm / 1000, at), radius, air)


@pytest.mark.parametrize(
    ("standing", "seconds", "within"),
    [
        (base(), 9.6, 0.04),
        (base(at=4.0), 242.0, 0.04),
        (base(at=-18.0), math.inf, 0.04),
        (base(on="porcelain", mm=5.0), 12.1, 0.04),
        (base(on="glass", mm=3.0), 145.0, 0.06),
        (base(on="stainless steel", mm=1.0), 26.5, 0.04),
        (base("regular", -18.0), 13.9, 0.04),
        (base("regular", -18.0, "glass", 3.0), 265.0, 0.06),
        (base("regular", -18.0, "oak", 15.0), math.inf, 0.04),
    ],
)
def test_foot_of_an_independent_build(standing, seconds, within):
    assert foot(standing).seconds == pytest.approx(seconds, rel=within)


def test_oak_comes_a_little_after_the_quarter_hour():
    """933 s in an independent build."""
    times, depths = melt(base("regular", -18.0, "oak", 15.0), layer_m(A), horizon_s=1200.0)
    assert reached(times, depths, layer_m(A)) == pytest.approx(933.0, rel=0.04)


@pytest.mark.parametrize("standing", [base(), base(on="glass", mm=3.0), base("regular", -18.0)])
def test_its_band_is_that_of_the_layer(standing):
    found = foot(standing)
    times, depths = melt(standing, 2 * layer_m(A))
    assert [found.sooner, found.seconds, found.later] == pytest.approx(
        [
            reached(times, depths, share * layer_m(A))
            for share in (math.exp(-FAR * SPREAD), 1.0, math.exp(FAR * SPREAD))
        ],
        rel=1e-6,
    )
    assert found.sooner < found.seconds < found.later


@pytest.mark.parametrize("standing", [base(), base(on="glass", mm=3.0), base("regular", -18.0), base(at=4.0)])
def test_finer_cells_and_steps_change_it_by_no_more_than_is_told(standing):
    fine = dataclasses.replace(
        MESH, rim_m=0.02e-3, ring_growth=1.2, layer_m=0.015e-3, layer_growth=1.15, mix_growth=1.04, step_growth=1.06
    )
    times, depths = melt(standing, layer_m(A), fine)
    assert foot(standing).seconds == pytest.approx(reached(times, depths, layer_m(A)), rel=0.035)


def test_what_helps():
    warm = foot(base())
    for better in (base(at=4.0), base(on="glass", mm=3.0), base(on="oak", mm=15.0), base(start=-16.0), base(mm=3.0)):
        assert foot(better).seconds > warm.seconds


def test_a_scoop_already_melting_has_its_foot_at_once():
    assert foot(base(start=-1.0)) == Foot(0.0, 0.0, 0.0)


def test_a_scoop_stands_down_as_cold_as_its_body():
    mix = mixes()["premium"]
    assert standing_c(mix, -16.0, (), ball(0.065)) == -16.0
    boxed = standing_c(mix, -16.0, [Piece(cold_store(-40.0), 600.0)], ball(0.065))
    assert -40.0 < boxed < -16.0
    assert boxed * 2 == round(boxed * 2)


def test_plates_each_with_a_source():
    table = plates._table()
    assert [row.name for row in table.plates] == [
        "slate", "marble", "porcelain", "glass", "stainless steel", "aluminium", "oak", "acrylic",
    ]  # fmt: skip
    assert all(row.source.strip() for row in (*table.plates, *table.footless))


@pytest.mark.parametrize(("said", "name"), [("Slate", "slate"), ("stoneware", "porcelain"), ("wooden  board", "oak")])
def test_a_plate_is_found_however_it_is_called(said, name):
    assert plates.plate(said, None, 22.0).stuff == plates.stuff(name)


@pytest.mark.parametrize("said", ["cone", "another scoop", "Frozen base"])
def test_what_has_no_foot(said):
    assert plates.plate(said, None, 22.0) is None


def test_bad_plates():
    with pytest.raises(UnitError, match=r"^on: “jelly” is not something a scoop stands on; write one of slate"):
        plates.plate("jelly", None, 22.0)
    with pytest.raises(UnitError, match=r"^plate: 0 mm is not possible; give 0.2 to 100 mm"):
        plates.plate("slate", 0.0, 22.0)
    with pytest.raises(UnitError, match="is not a plate"):
        plates.stuff("cone")


def test_a_layer_is_told_no_farther_from_what_shows_than_three_times():
    """An own rule: where hardly anything has melted a look says no more than that, nor where very much has."""
    melted = Melt(np.array([0.0, 10.0, 20.0, 30.0]), np.array([0.0, 0.5e-3, 2e-3, 9e-3]), 1e-3)
    found = [melted.log_layer(at) for at in (0.0, 10.0, 20.0, 30.0, 900.0)]
    assert found == pytest.approx([-math.log(3.0), -math.log(2.0), math.log(2.0), math.log(3.0), math.log(3.0)])
