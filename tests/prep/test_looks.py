"""Between which stages a look is right, the aims of a melting scoop among them."""

import pytest

from studiotimer.prep.looks import AIMS, CHANGES, LOOKS, STAGES, USUAL_LOOKS, look_ends, look_window
from studiotimer.prep.plan import parse_plan
from studiotimer.prep.windows import windows_of

STARTS = (0.0, 10.0, 60.0, 200.0, 300.0, 900.0)


@pytest.mark.parametrize(
    ("look", "window"),
    [
        ("crisp", (10.0, 200.0)),
        ("sheen", (60.0, 200.0)),
        ("melt", (300.0, 900.0)),
        ("first drip", (300.0, 345.0)),
        ("run", (345.0, 435.0)),
        ("pool", (300.0, 900.0)),
    ],
)
def test_windows(look, window):
    assert look_window(look, STARTS) == window


def test_each_look_has_its_window_and_ends_with_a_change():
    assert USUAL_LOOKS == ("crisp", "sheen", "melt")
    assert set(AIMS) == set(LOOKS) - {"crisp", "sheen"}
    assert {CHANGES[look_ends(look)] for look in LOOKS} == {"edges", "slump", "first drip"}
    assert len(CHANGES) == len(STAGES)


def test_a_plan_may_want_a_drip_and_an_old_one_opens_as_it_was():
    def window(look):
        plan = parse_plan({
            "flavours": [{"name": "a", "mix": "superpremium"}], "freezer": "-12 °C", "pull": "0 s", "carry": "0 s",
            "shots": [{"name": "one", "look": look, "light": "LED 2000 lx", "heroes": [{"flavour": "a"}]}],
        })  # fmt: skip
        return windows_of([(plan, plan.shots[0], False)])[0]

    melt, drip, run, pool = (window(look) for look in ("melt", "first drip", "run", "pool"))
    assert (melt.start_s, melt.end_s) == pytest.approx((275.7, 708.0), rel=0.01)
    assert (drip.start_s, drip.end_s) == pytest.approx((275.7, 320.7), rel=0.01)
    assert (run.start_s, run.end_s) == pytest.approx((320.7, 410.7), rel=0.01)
    assert (pool.start_s, pool.end_s) == (melt.start_s, melt.end_s)
