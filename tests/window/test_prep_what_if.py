"""What if: sliders move the curve and the window of the chosen shot, and the plan stays as it is."""

import subprocess
import sys

import numpy as np
import pytest
from PySide6.QtCore import Qt

from studiotimer.prep.whatif import Instead, what_if
from tests.window.prep_helpers import worked, write

K = Qt.Key


@pytest.fixture
def strip(qtbot, hot):
    hot.view.what_if.heading.setFocus()
    qtbot.keyClick(hot.view.what_if.heading, K.Key_Return)
    qtbot.waitUntil(lambda: hot.what_if.said.text() != "", timeout=20_000)
    return hot.what_if


def drawn(strip):
    """Return the curves in the picture, thickest first."""
    curves = strip.view.plot.getPlotItem().listDataItems()
    return sorted(curves, key=lambda curve: -curve.opts["pen"].widthF())


def test_the_library_waits_until_the_strip_is_unfolded(qtbot, hot):
    assert hot.what_if.view is None
    assert not hot.what_if.isVisibleTo(hot)
    hot.view.what_if.heading.click()
    assert hot.what_if.view is not None
    assert "pyqtgraph" in sys.modules


def test_the_page_opens_without_the_library():
    code = (
        "import sys; from studiotimer.window.app import application; app = application();"
        "from studiotimer.window.prep.page import PrepPage; page = PrepPage('metric', lambda: False); page.show();"
        "app.processEvents(); page.end(); sys.exit('pyqtgraph' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], timeout=120).returncode == 0


def test_the_curve_is_the_models(qtbot, hot, strip):
    plan = hot.results.plan
    curve = what_if(plan, plan.shots[0])
    body, edge = drawn(strip)[:2]
    assert np.allclose(edge.yData, curve.edge_c)
    assert np.allclose(body.yData, curve.body_c)
    assert np.allclose(edge.xData, curve.seconds)
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
    qtbot.waitUntil(lambda: np.allclose(drawn(strip)[1].yData, wanted.edge_c), timeout=20_000)
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


def test_us_units(qtbot, hot, strip):
    edge = drawn(strip)[1].yData
    hot.head.units.parts["US"].click()
    worked(qtbot, hot)
    qtbot.waitUntil(lambda: np.allclose(drawn(strip)[1].yData, edge * 9 / 5 + 32), timeout=20_000)
    assert "°F" in strip.sliders["room_c"].accessibleName()
