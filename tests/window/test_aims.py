"""A melting scoop's clock is told as a span, and never to a second that nobody can know."""

import pytest

from studiotimer.session.countdowns import Band, ClimateNow, Forecast, ShotWindow
from studiotimer.session.entries import Shot
from studiotimer.session.state import State
from studiotimer.window.set.face import clock
from tests.session.shoots import SHOT, entry

CLIMATE = ClimateNow(22.0, 0.45, 22.0, -40.0, 0.0, 0.0, None, 0.15, None, None)
WINDOW = ShotWindow(Band(173.0, 275.7, 498.0), Band(218.0, 320.7, 543.0), 1)


def asked(look) -> Shot:
    return entry(1, "shot", **(SHOT | {"look": look}))


@pytest.mark.parametrize(
    ("look", "now", "words", "detail"),
    [
        ("first drip", 0.0, "5:20", "drips in 2:50 to 8:20"),
        ("first drip", 280.0, "0:40", "drips, ends in 0:00 to 4:20"),
        ("run", 0.0, "5:20", "runs in 2:50 to 8:20"),
        ("pool", 400.0, "0:00", "window ended 1:20 ago"),
    ],
)
def test_what_the_clock_says(look, now, words, detail):
    face = clock(Forecast(0.0, CLIMATE, window=WINDOW), State(shot=asked(look)), now)
    assert (face.words, face.label, face.detail) == (words, "life left", detail)


def test_a_crisp_scoop_s_clock_counts_seconds():
    face = clock(Forecast(0.0, CLIMATE, window=WINDOW), State(shot=asked("crisp")), 300.3)
    assert face.words == "0:20"
