"""Values from an independent build of the same equations, and seconds within the tolerance each can be held to."""

import math

import pytest

from studiotimer.lamps import parse_light
from studiotimer.mixes import mixes
from studiotimer.thermal.criteria import yield_layer_m
from studiotimer.thermal.firmness import advised_freezer_c
from studiotimer.thermal.freezing import ice_fraction, initial_freezing_point
from studiotimer.thermal.properties import conductivity_at, enthalpy
from studiotimer.thermal.scoop import Piece, changes, edge_temperature_after
from studiotimer.thermal.surroundings import chilled, cold_store, room
from studiotimer.thermal.tub import Tub, tempering_hours

A = room(22.0, 0.45, parse_light("LED 2000 lx").absorbed("pale"))
B = room(24.0, 0.50, parse_light("tungsten 20000 lx").absorbed("pale"))
C = chilled(room(22.0, 0.45), 6.0)
BOX_AND_TRAY = (Piece(cold_store(-40.0), 1200.0), Piece(room(22.0, 0.45), 120.0))

SECONDS = [
    ("superpremium", -12.0, (), A, (62.8, 171.0, 275.7, 708)),
    ("superpremium", -12.0, (), B, (41.9, 111.0, 177.1, 345)),
    ("superpremium", -12.0, (), C, (95.5, 269.4, 441.9, 1432)),
    ("superpremium", -18.0, (), A, (115.7, 224.0, 328.6, 1209)),
    ("superpremium", -18.0, (), B, (78.8, 147.9, 214.0, 647)),
    ("premium", -18.0, (), A, (79.2, 217.8, 319.7, 1072)),
    ("premium", -18.0, (), B, (54.3, 142.5, 214.7, 571)),
    ("regular", -18.0, (), A, (75.3, 244.1, 444.7, 1360)),
    ("regular", -18.0, (), B, (51.3, 157.1, 331.6, 749)),
    ("regular", -18.0, (), C, (111.8, 389.4, 637.2, 2460)),
    ("economy", -18.0, (), A, (81.8, 313.9, 1332.0, 2274)),
    ("economy", -18.0, (), B, (55.5, 199.0, 1207.2, 1344)),
    ("economy", -18.0, (), C, (122.3, 510.6, 1546.6, 3911)),
    ("sorbet", -9.7, (), A, (40.2, 267.1, 369.7, 1070)),
    ("sorbet", -9.7, (), B, (26.5, 169.2, 233.2, 506)),
    ("superpremium", -12.0, BOX_AND_TRAY, A, (77.5, 185.7, 290.4, 1110)),
    ("regular", -18.0, BOX_AND_TRAY, A, (10.0, 178.8, 379.4, 1544)),
]


@pytest.mark.parametrize(("name", "start", "history", "on_set", "seconds"), SECONDS)
def test_seconds_on_set(name, start, history, on_set, seconds):
    found = changes(mixes()[name], start, on_set, history)
    assert (found.sheen_s, found.edges_s) == pytest.approx(seconds[:2], rel=0.005)
    assert (found.first_drip_s, found.slump_s) == pytest.approx(seconds[2:], rel=0.01)


@pytest.mark.parametrize(
    ("name", "network", "layer_mm"),
    [("superpremium", 0.10, 0.19), ("premium", 0.30, 0.53), ("regular", 0.50, 1.22), ("economy", 0.80, 3.32)],
)
def test_structure(name, network, layer_mm):
    assert mixes()[name].network == network
    assert 1000 * yield_layer_m(mixes()[name]) == pytest.approx(layer_mm, abs=0.005)


@pytest.mark.parametrize(
    ("name", "start", "leaving_box", "leaving_tray"),
    [("superpremium", -12.0, -39.27, -13.31), ("regular", -18.0, -39.89, -8.86)],
)
def test_edge_in_box_and_on_tray(name, start, leaving_box, leaving_tray):
    mix = mixes()[name]
    assert edge_temperature_after(mix, start, BOX_AND_TRAY[:1]) == pytest.approx(leaving_box, abs=0.02)
    assert edge_temperature_after(mix, start, BOX_AND_TRAY) == pytest.approx(leaving_tray, abs=0.02)


@pytest.mark.parametrize(
    ("name", "h", "k", "x"),
    [
        ("superpremium", (-225.41, -203.13, -107.29, 31.91), (0.749, 0.638), (0.478, 0.711, 0.835)),
        ("regular", (-230.34, -207.70, -108.73, 32.22), (0.460, 0.390), (0.471, 0.707, 0.833)),
    ],
)
def test_properties(name, h, k, x):
    mix = mixes()[name]
    assert enthalpy(mix, [-25.0, -18.0, -5.0, 10.0]) / 1000 == pytest.approx(h, abs=0.005)
    assert conductivity_at(mix, [-18.0, -8.0], ice_fraction(mix, [-18.0, -8.0])) == pytest.approx(k, abs=0.0006)
    assert ice_fraction(mix, [-5.0, -10.0, -18.0]) == pytest.approx(x, abs=0.0006)


@pytest.mark.parametrize(
    ("name", "begins", "freezer"),
    [
        ("superpremium", -2.47, -12.0),
        ("premium", -2.69, -16.3),
        ("regular", -2.51, -18.0),
        ("economy", -2.35, -17.6),
        ("gelato", None, -11.6),
        ("sorbet", None, -9.7),
    ],
)
def test_freezing_point_and_freezer(name, begins, freezer):
    mix = mixes()[name]
    if begins is not None:
        assert initial_freezing_point(mix) == pytest.approx(begins, abs=0.005)
    assert advised_freezer_c(mix) == pytest.approx(freezer, abs=0.05)


@pytest.mark.parametrize(
    ("name", "delivered", "freezer", "hours"),
    [("superpremium", -8.0, -12.0, 21.2), ("regular", -8.0, -18.0, 18.5), ("regular", -25.0, -18.0, 10.4)],
)
def test_tempering(name, delivered, freezer, hours):
    assert tempering_hours(mixes()[name], Tub(0.24, 0.25), delivered, freezer) == pytest.approx(hours, rel=0.005)


def test_rectangular_tub_against_a_finer_build():
    """25.37 h: the same block on 28 nodes a side."""
    assert tempering_hours(mixes()["superpremium"], Tub(0.24, 0.25, 0.3), -8.0, -12.0) == pytest.approx(
        25.37, rel=0.005
    )


def test_tub_already_at_temperature():
    assert tempering_hours(mixes()["regular"], Tub(0.24, 0.25), -18.5, -18.0) == 0.0


def test_crisp_begins_when_the_edge_reaches_the_freezer_setting():
    found = changes(mixes()["regular"], -30.0, A)
    warm = edge_temperature_after(mixes()["regular"], -30.0, [Piece(A, found.crisp_s)])
    assert warm == pytest.approx(advised_freezer_c(mixes()["regular"]), abs=0.01)
    assert changes(mixes()["regular"], -12.0, A).crisp_s == 0.0


def test_never_in_the_cold():
    found = changes(mixes()["regular"], -18.0, cold_store(-10.0))
    assert (found.edges_s, found.first_drip_s, found.slump_s) == (math.inf,) * 3


def test_passed_changes_take_no_time():
    found = changes(mixes()["regular"], -1.0, A)
    assert (found.sheen_s, found.edges_s, found.first_drip_s, found.slump_s) == (0.0, 0.0, 0.0, 0.0)
