"""What a call does not change is not drawn anew: a key is shown the sooner."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from studiotimer.window.set.line_view import LineView
from studiotimer.window.set.tiles import Tile, TilePainter


@pytest.fixture
def drawn(qtbot, monkeypatch):
    """Show tiles in a line that is there, and return the scoops drawn anew for it."""
    scoops = []
    draw = TilePainter.draw

    def noted(self, painter, box, row, stands):
        scoops.append(row.number)
        draw(self, painter, box, row, stands)

    monkeypatch.setattr(TilePainter, "draw", noted)
    line = LineView()
    qtbot.addWidget(line)
    line.resize(1280, 122)
    line.show_line([tile(number) for number in (1, 2, 3)], "empty")
    with qtbot.waitExposed(line):
        line.show()
    qtbot.waitUntil(lambda: set(scoops) == {1, 2, 3}, timeout=30_000)
    QApplication.processEvents()

    def shown(*one_after_another):
        scoops.clear()
        for tiles in one_after_another:
            line.show_line(tiles, "empty")
            QApplication.processEvents()
        qtbot.waitUntil(lambda: bool(scoops), timeout=30_000)
        return set(scoops)

    return shown


def tile(scoop, **changes):
    return Tile(scoop, "lemon", **({"where": "box 0:10", "shoot": "3:13"} | changes))


def test_only_a_tile_that_changed_is_drawn_anew(drawn):
    seen = []
    for second in range(20):  # a window that was just shown is drawn whole once more
        same = [tile(1), tile(2, where=f"box 0:{second}"), tile(3)]
        seen.append(drawn(same, same))
        if seen[-1] == {2}:
            return
    raise AssertionError(f"drawn anew, time after time: {seen}")


def test_the_tiles_stand_within_half_a_second_and_a_scoop_pulled_in_it_came_just_now(shoot, press):
    press(shoot, Qt.Key.Key_P)
    page = shoot.page
    at = int(page.now()) + 10
    shown = []
    for now in (at + 0.1, at + 0.4, at + 1.1):
        page._show_moving(now)
        shown.append(list(page.line.rows))
    assert shown[0] == shown[1] != shown[2]
    page._show_moving(shoot.running.state.scoops[1].pulled - 0.3)
    assert "0:00" in page.line.rows[0].pulled


def test_locks_that_stand_as_they_did_are_not_fitted_anew(shoot, monkeypatch):
    header = shoot.page.header
    updated = []
    for button in header.locks.values():
        monkeypatch.setattr(button, "update", lambda: updated.append(True))
    shoot.page.refresh()
    shoot.page.refresh()
    assert updated == []
    shoot.running.call("lock", {"which": "light", "on": True})
    assert updated != []


def test_a_call_over_which_half_a_second_goes_by_is_shown_once(shoot, monkeypatch):
    page = shoot.page
    at, shown = iter(range(1000, 2000)), []
    page._tick.stop()
    monkeypatch.setattr(page, "now", lambda: next(at))
    monkeypatch.setattr(page.header, "show_frames", lambda *_, **__: shown.append(True))
    page.refresh()
    assert shown == [True]


def test_the_times_of_the_line_go_on_with_the_next_tick_not_with_a_call(shoot, press, clock):
    press(shoot, Qt.Key.Key_P)
    page = shoot.page
    page._tick.stop()
    clock.advance(0.7)
    page.tick()
    before = list(page.line.rows)
    clock.advance(0.6)
    page.refresh()
    assert page.line.rows == before
    page.tick()
    assert page.line.rows != before
    clock.advance(2.0)  # where no tick came for so long, a call has all of it shown
    before = list(page.line.rows)
    page.refresh()
    assert page.line.rows != before
