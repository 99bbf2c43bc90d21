from __future__ import annotations

import math
from typing import Any

import pytest

from studiotimer import forms
from studiotimer.prep.plan import PlanError, Tub, parse_plan
from studiotimer.prep.plan_numbers import Written
from studiotimer.prep.pulls_needed import products
from studiotimer.prep.tubs import lanes, layer_m, scoops_in, size_names, size_of, trade_sizes, yield_of
from studiotimer.session.tub_ledger import open_of
from tests.session.shoots import told

INCH = 0.0254


@pytest.fixture(scope="module")
def exactly() -> Any:
    """Return the units of pint: a second's work to make."""
    import pint

    return pint.UnitRegistry()


@pytest.mark.parametrize(("inches", "wide"), [(3, 1), (3.5, 1), (4, 1), (8, 3), (9, 3), (10, 4)])
def test_scoops_across_an_open_surface(inches: float, wide: int) -> None:
    """Common practice: 3 to 4 in across is one scoop wide, 8 to 10 in three to four."""
    assert lanes(inches * INCH, 2.5 * INCH) == wide


@pytest.mark.parametrize(
    ("name", "unit", "count"),
    [("pint", "pint", 1), ("quart", "quart", 1), ("half gallon", "gallon", 0.5), ("gallon", "gallon", 1),
     ("three gallon", "gallon", 3), ("5 L pan", "liter", 5), ("10 L pan", "liter", 10)],
)  # fmt: skip
def test_trade_sizes_hold_what_their_names_say(exactly: Any, name: str, unit: str, count: float) -> None:
    """NIST SP 811, appendix B.8: US liquid pint 473.176473 mL, quart 946.352946 mL, gallon 3.785411784 L."""
    exact = exactly.Quantity(count, unit).to("m^3").magnitude
    assert size_of(Tub(size=name)).volume_m3 == pytest.approx(exact, rel=1e-9)


def test_every_size_has_a_believable_shape() -> None:
    for name in size_names():
        size = size_of(Tub(size=name))
        assert 0.04 < size.depth_m < 0.30, name
        assert size.source


def test_sizes_go_by_their_other_names() -> None:
    assert trade_sizes()["3 gal"] is trade_sizes()["three gallon"]
    assert size_of(Tub(size="3-Gallon")).name == "three gallon"


def test_scoops_are_lanes_times_layers_times_pieces() -> None:
    width = 0.065
    whole = scoops_in(Tub(across_m=0.24, depth_m=0.25), width)
    layer = max(width / 3, math.pi / 6 * width**3 / (width * math.pi / 4 * 0.24))
    assert whole.value == 3 * math.floor(0.25 / layer)
    cut = scoops_in(Tub(across_m=0.24, depth_m=0.25, cut=3), width)
    assert cut.value == 3 * 3 * math.floor(0.25 / 3 / layer)
    assert "each of 3 pieces" in cut.how


def test_scoops_never_take_more_than_the_tub_holds() -> None:
    for name in size_names():
        for width in (0.04, 0.065, 0.08):
            size = size_of(Tub(size=name))
            scoops = scoops_in(Tub(size=name), width).value or 0
            assert scoops * math.pi / 6 * width**3 <= size.volume_m3
            assert layer_m(size, width) > 0.999 * width / 3


def test_a_pan_is_crossed_on_its_shorter_side() -> None:
    one = scoops_in(Tub(across_m=0.33, length_m=0.24, depth_m=0.13), 0.065)
    other = scoops_in(Tub(across_m=0.24, length_m=0.33, depth_m=0.13), 0.065)
    assert one.value == other.value == 3 * 6


def test_own_dimensions_go_before_the_trade_size() -> None:
    tub = Tub(size="pint", across_m=Written(0.24, "240 mm"), depth_m=0.25)
    assert size_of(tub).across_m == 0.24


def test_an_unknown_size_names_those_there_are() -> None:
    with pytest.raises(PlanError, match="tub: “bucket” is not a size known here; write one of pint, quart"):
        size_of(Tub(size="bucket"))


def test_a_scoop_wider_than_the_tub_yields_none() -> None:
    assert scoops_in(Tub(size="pint"), 0.1).value == 0


@pytest.mark.parametrize(
    ("form", "across", "length", "depth", "count"),
    [
        ("bar 20 x 60 x 100 mm", 0.1, 0.2, 0.06, 1 * 5 * 2),
        ("bar 20 x 60 x 100 mm", 0.12, 0.2, 0.04, 2 * 2 * 2),
        ("sandwich 25 x 50 x 100 mm", 0.1, 0.1, 0.05, 2 * 2 * 1),
        ("slice", 0.02, 0.5, 0.5, 0),
    ],
)
def test_bars_are_cut_from_a_pan_as_they_lie_best(form, across, length, depth, count):
    """Counted by hand."""
    assert yield_of(Tub(across_m=across, length_m=length, depth_m=depth), form, 0.065).value == count


def test_bars_from_a_round_tub_lie_in_rows_inside_the_circle():
    """By hand: on 240 mm, rows of 60 mm; two beside the middle reach 207.8 mm, four 0 at their far sides."""
    tub = Tub(across_m=0.24, depth_m=0.02)
    assert yield_of(tub, "bar 20 x 60 x 100 mm", 0.065).value == 2 * 2
    for form in ("bar", "sandwich", "slice"):
        found = yield_of(Tub(size="3 gallon"), form, 0.065)
        volume = math.prod(forms.sizes(form))
        assert 0.4 < (found.value or 0) * volume / size_of(Tub(size="3 gallon")).volume_m3 <= 1.0
        cut = yield_of(Tub(size="3 gallon", cut=3), form, 0.065)
        assert 0 < (cut.value or 0) <= (found.value or 0)


def test_what_is_no_bar_is_counted_in_its_own_way():
    tub = Tub(size="5 L")
    assert yield_of(tub, "scoop", 0.065) == scoops_in(tub, 0.065)
    assert yield_of(tub, "cone", 0.065).value == scoops_in(tub, 0.065).value
    assert (yield_of(tub, "pint", 0.065).text, yield_of(tub, "open pint", 0.065).value) == ("1 pint", 1)
    assert (yield_of(tub, "swirl", 0.065).value or 0) > (yield_of(tub, "swirl 80 x 120 mm", 0.065).value or 0) > 0
    assert (yield_of(tub, "quenelle", 0.065).value or 0) > (yield_of(tub, "quenelle 60 x 120 mm", 0.065).value or 0)
    with pytest.raises(PlanError, match=r"^tub, form: “log” is not known"):
        yield_of(tub, "log", 0.065)


def test_packs_are_ordered_by_the_pack():
    plan = parse_plan({
        "flavours": [{"name": "fig", "form": "pint"}, {"name": "plum", "form": "bar"}],
        "shots": [{"name": "one", "heroes": [{"flavour": "fig"}, {"flavour": "plum"}]}],
    })  # fmt: skip
    packs, bars = products(plan, {"one": 2})
    assert packs.tubs.text == f"{int(packs.pulls.value or 0) + 1} × pint"
    assert packs.kind == "pint"
    assert "bars a tub" in bars.tubs.how
    state = told((0, "shot", {"name": "one", "look": "crisp", "lamp": "LED", "lux": 0.0})).state
    assert open_of(plan, state, "fig") is None
    assert open_of(plan, state, "plum").expected == bars.scoops_a_tub.value
