"""When the clock is told: at its moments, once each."""

from types import SimpleNamespace

from studiotimer.session.countdowns import Forecast
from studiotimer.window.set.told import told


def at(end, start=0.0):
    """A forecast whose window is between these seconds, as much of it as is asked for."""
    span = lambda likely: SimpleNamespace(likely=likely)  # noqa: E731
    made = SimpleNamespace(window=SimpleNamespace(start=span(start), end=span(end)))
    assert set(vars(made)) <= set(Forecast.__dataclass_fields__)
    return made


def test_the_moments_are_told_once_and_nothing_between():
    forecast = at(400.0, start=50.0)
    said = [(now, words) for now in range(1, 420) if (words := told(forecast, now - 1, now))]
    assert said == [
        (50, "the window is open"),
        (100, "5 minutes of working time left"),
        (280, "2 minutes of working time left"),
        (340, "1 minute of working time left"),
        (370, "30 seconds of working time left"),
        (390, "10 seconds of working time left"),
        (400, "the window has ended"),
    ]


def test_without_an_end_nothing_is_told():
    assert told(None, 0.0, 1.0) == ""
    assert told(at(float("inf")), 0.0, 1e6) == ""
