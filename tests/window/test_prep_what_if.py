"""What if: sliders move the curve and the window of the chosen shot, and the plan stays as it is."""

import numpy as np
import pytest
from PySide6.QtCore import Qt

from studiotimer.prep.whatif import Instead, what_if
from studiotimer.units import duration, temperature
from studiotimer.window.prep.curve import LEFT, RIGHT
from tests.window.prep_helpers import worked, write

K = Qt.Key


@pytest.fixture
def strip(qtbot, hot):
    hot.view.what_if.heading.setFocus()
    qtbot.keyClick(hot.view.what_if.heading, K.Key_Return)
    qtbot.waitUntil(lambda: hot.what_if.said.text() != "", timeout=20_000)
    return hot.what_if


def drawn(strip):
    """Return the lines in the picture, those of the curve itself first."""
    return sorted(strip.view.lines, key=lambda line: line.planned)


def test_nothing_is_worked_out_until_the_strip_is_unfolded(qtbot, hot):
    assert hot.what_if.view is None
    assert not hot.what_if.isVisibleTo(hot)
    assert hot.what_if.said.text() == ""
    hot.view.what_if.heading.click()
    assert hot.what_if.view is not None
    qtbot.waitUntil(lambda: hot.what_if.said.text() != "", timeout=20_000)


def test_the_curve_is_the_models(qtbot, hot, strip):
    plan = hot.results.plan
    curve = what_if(plan, plan.shots[0])
    body, edge = drawn(strip)[:2]
    assert np.allclose(edge.values, curve.edge_c)
    assert np.allclose(body.values, curve.body_c)
    assert np.allclose(edge.seconds, curve.seconds)
    assert curve.window.text in strip.said.text()
    assert "sheen at" in strip.view.accessibleDescription()
    assert strip.about.text() == "as planned"


SLIDERS = [
    ("room_c", 5, Instead(room_c=29.0)),
    ("humidity", -2, Instead(humidity=0.4)),
    ("light", -3, Instead(light="tungsten 3000 lx")),
    ("dry_ice_air_c", -7, Instead(dry_ice_air_c=5.0)),
    ("freezer_c", -8, Instead(freezer_c=-18.0)),
    ("width_m", 4, Instead(width_m=0.072)),
]


def test_each_slider_moves_the_window_by_key(qtbot, hot, strip):
    for slider in SLIDERS:
        moved(qtbot, hot, strip, *slider)


def moved(qtbot, hot, strip, key, presses, instead):
    """Move one slider by key, and put all of it back."""
    before = strip.said.text()
    slider = strip.sliders[key]
    slider.setFocus()
    for _ in range(abs(presses)):
        qtbot.keyClick(slider, K.Key_Right if presses > 0 else K.Key_Left)
    plan = hot.results.plan
    wanted = what_if(plan, plan.shots[0], instead)
    qtbot.waitUntil(lambda: strip.said.text().endswith(wanted.window.text), timeout=20_000)
    qtbot.waitUntil(lambda: len(drawn(strip)) == 4, timeout=20_000)
    qtbot.waitUntil(lambda: np.allclose(drawn(strip)[1].values, wanted.edge_c), timeout=20_000)
    assert strip.said.text() != before
    assert f"as planned {before.rpartition(': ')[2]}" in strip.about.text() or "as planned" in strip.about.text()
    assert hot.results.plan == plan
    strip.again.setFocus()
    qtbot.keyClick(strip.again, K.Key_Return)
    qtbot.waitUntil(lambda: strip.said.text() == before, timeout=20_000)
    assert len(drawn(strip)) == 2


def test_it_follows_the_chosen_shot_and_the_plan(qtbot, hot, strip):
    hot.view.work.names[1].click()
    qtbot.waitUntil(lambda: strip.said.text().startswith("Coupe, running, melt"), timeout=20_000)
    assert "slump at" in strip.view.accessibleDescription()
    assert hot.inputs.shot == 1
    before = strip.said.text()
    write(qtbot, hot, ("room", "air"), "30 °C")
    qtbot.waitUntil(lambda: strip.said.text() != before, timeout=20_000)
    assert strip.sliders["room_c"].value() == 30


def test_dragging_shows_the_last_place_and_keeps_the_window_alive(qtbot, hot, strip):
    for place in range(15, 36):
        strip.sliders["room_c"].setValue(place)
    plan = hot.results.plan
    wanted = what_if(plan, plan.shots[0], Instead(room_c=35.0)).window.text
    qtbot.waitUntil(lambda: strip.said.text().endswith(wanted), timeout=20_000)
    assert worked(qtbot, hot).plan == plan


def test_the_pointer_is_told_the_curve_under_it(qtbot, hot, strip):
    plan = hot.results.plan
    curve, view = what_if(plan, plan.shots[0]), strip.view
    told = view.told_at(LEFT)
    assert told == f"0:00  edge {temperature(curve.edge_c[0], digits=1)}, body {temperature(curve.body_c[0], digits=1)}"
    assert view.told_at(LEFT - 5) == view.told_at(view.width() - 5) == ""
    last = view.told_at(view.width() - RIGHT)
    assert last.startswith(f"{duration(curve.seconds[-1])}  edge {temperature(curve.edge_c[-1], digits=1)}")


def test_us_units(qtbot, hot, strip):
    edge = drawn(strip)[1].values
    hot.head.units.parts["US"].click()
    worked(qtbot, hot)
    qtbot.waitUntil(lambda: np.allclose(drawn(strip)[1].values, edge * 9 / 5 + 32), timeout=20_000)
    assert "°F" in strip.sliders["room_c"].accessibleName()
