"""The rows of the log and of the line: what is told of a change is what changed, and a view of them is one for every hand."""

import random
from dataclasses import dataclass
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QItemSelectionModel, QPersistentModelIndex, QPoint, Qt
from PySide6.QtGui import QAccessible, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QVBoxLayout, QWidget

from studiotimer.session.live import new_session
from studiotimer.window.set.face import tiles
from studiotimer.window.set.flavours import Palette
from studiotimer.window.set.line_view import AT_ONCE, LineView
from studiotimer.window.set.log_rows import log_rows
from studiotimer.window.set.log_view import FARTHEST, FEW, MOST, LogModel, LogRow, LogView
from studiotimer.window.set.row_model import ROW, Rows
from studiotimer.window.set.tiles import Tile, TilePainter
from tests.window.test_set_said import forecast
from tests.window.test_set_said import waiting as waits

CALLS = (
    *["pull"] * 4,
    *["hero_in"] * 3,
    "move",
    "out",
    "judge",
    "note",
    "frame",
    "amend",
    "take_back",
    "restore",
    "shot",
)
DAYS = range(4)


@dataclass(frozen=True)
class Plain:
    number: int
    figure: int = 0

    @property
    def said(self):
        return f"row {self.number}: {self.figure}"


class Mirror:
    """Knows a model by what it tells alone, and what it told last."""

    def __init__(self, model):
        self._model = model
        self.rows = list(model.rows)
        self.told, self.kinds = [], set()
        model.rowsInserted.connect(self._came)
        model.rowsRemoved.connect(self._left)
        model.layoutChanged.connect(self._ordered)
        model.dataChanged.connect(self._changed)
        model.modelReset.connect(lambda: self.told.append(("reset",)))

    def _read(self, first, last):
        return [self._model.index(at).data(ROW) for at in range(first, last + 1)]

    def _came(self, parent, first, last):
        self.rows[first:first] = self._read(first, last)
        self.told.append(("came", [row.number for row in self._read(first, last)]))

    def _left(self, parent, first, last):
        self.told.append(("left", [row.number for row in self.rows[first : last + 1]]))
        del self.rows[first : last + 1]

    def _ordered(self, *_):
        before = {row.number: row for row in self.rows}
        self.rows = [before[row.number] for row in self._model.rows]
        self.told.append(("ordered",))

    def _changed(self, first, last, *_):
        now = self._read(first.row(), last.row())
        self.told.append(("differ", [row.number for row in now]))
        self.rows[first.row() : last.row() + 1] = now

    def taken(self, what):
        """Return the numbers that were told as having come, left or changed."""
        return sorted(number for kind, *numbers in self.told if kind == what for number in numbers[0])


def check_told(mirror, before, now):
    """Hold what was told to what changed from `before` to `now`, and nothing else."""
    old, new = ({row.number: row for row in rows} for rows in (before, now))
    assert mirror.rows == now
    assert mirror.taken("came") == sorted(new.keys() - old.keys())
    assert mirror.taken("left") == sorted(old.keys() - new.keys())
    assert mirror.taken("differ") == sorted(each for each in old.keys() & new.keys() if old[each] != new[each])
    stayed = [[row.number for row in rows if row.number in old and row.number in new] for rows in (before, now)]
    assert (("ordered",) in mirror.told) == (stayed[0] != stayed[1])
    assert ("reset",) not in mirror.told
    mirror.kinds |= {kind for kind, *_ in mirror.told}
    mirror.told.clear()


LISTS = st.lists(st.builds(Plain, st.integers(0, 9), st.integers(0, 2)), unique_by=lambda row: row.number)


@settings(deadline=None, max_examples=60, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(LISTS, min_size=2, max_size=5))
def test_what_is_told_is_what_changed_and_a_row_that_moves_is_followed(days):
    model = Rows()
    mirror = Mirror(model)
    for rows in days:
        before, followed = list(model.rows), [QPersistentModelIndex(model.index(at)) for at in range(len(model.rows))]
        model.show_rows(rows)
        check_told(mirror, before, rows)
        held = {row.number: row for row in rows}
        assert [one.data(ROW) if one.isValid() else None for one in followed] == [
            held.get(row.number) for row in before
        ]


@pytest.fixture
def day(tmp_path, plan, clock):
    """A session, and what makes some random call of it, a while later."""
    session = new_session(tmp_path / "day.setlog", plan, clock)
    session.call("shot")

    def call(chance):
        clock.advance(chance.choice((1.0, 5.0, 40.0)))
        kind = chance.choice(CALLS)
        given = {"text": f"note {chance.random()}"} if kind == "note" else {}
        if kind == "frame":
            given = {"name": f"{chance.randrange(10**6)}.jpg"}
        session.call(kind, given)

    yield session, call
    session.close()


@pytest.mark.parametrize("seed", DAYS)
def test_a_random_day_of_calls_in_the_log(qtmodeltester, day, seed):
    session, call = day
    chance, given = random.Random(seed), []
    model = LogModel(lambda most: given.append(log_rows(session, most)) or given[-1])
    qtmodeltester.check(model)
    mirror = Mirror(model)
    for _ in range(60):
        before = list(model.rows)
        call(chance)
        model.renew()
        came = [row.number for row in before[:1]] != [given[-1][0].number]
        check_told(mirror, before, given[-1][:MOST] if came else given[-1])
        if chance.random() < 0.2 and model.canFetchMore(model.index(-1)):
            before = list(model.rows)
            model.fetchMore(model.index(-1))
            assert len(model.rows) >= len(before)
            check_told(mirror, before, given[-1])
    assert mirror.kinds >= {"came", "left", "differ"}


@pytest.mark.parametrize("seed", DAYS)
def test_a_random_day_of_calls_in_the_line(qtmodeltester, day, seed):
    session, call = day
    chance, names = random.Random(seed), Palette(tuple(one.name for one in session.plan.flavours))
    model = Rows()
    qtmodeltester.check(model)
    mirror = Mirror(model)
    for _ in range(60):
        before = list(model.rows)
        if chance.random() < 0.7:
            call(chance)
        waiting = [scoop.number for scoop in session.state.line()]
        ranked = chance.sample(waiting, len(waiting)) if chance.random() < 0.3 else waiting
        known = forecast(line=[waits(number) for number in ranked])
        model.show_rows(tiles(known, session.state, session.time(), names, set(waiting[:1])))
        check_told(mirror, before, list(model.rows))
        assert sorted(row.number for row in model.rows) == sorted(waiting)
    assert mirror.kinds >= {"came", "left", "differ", "ordered"}


def entries(many):
    return [LogRow(number, "10:00:00", f"entry {number}") for number in range(many, 0, -1)]


def test_a_long_log_holds_its_newest_entries_and_older_ones_while_somebody_looks_further_back():
    held = entries(5000)
    asked = []
    model = LogModel(lambda most: asked.append(most) or held[:most])
    model.renew()
    assert (model.rowCount(), asked) == (FEW, [FEW])
    while model.canFetchMore(model.index(-1)):
        model.fetchMore(model.index(-1))
    assert model.rows == held[:FARTHEST]
    model.renew()
    assert model.rowCount() == FARTHEST, "it stays as long as nothing new comes"
    held.insert(0, LogRow(5001, "10:00:01", "entry 5001"))
    model.renew()
    assert model.rows == held[:MOST]


@pytest.fixture
def between(qtbot):
    """Put a view between two fields, `view.fields`, on a page 900 pixels wide."""
    page = QWidget()
    qtbot.addWidget(page)

    def put(view):
        view.fields = (QLineEdit(), QLineEdit())
        column = QVBoxLayout(page)
        column.setSizeConstraint(QVBoxLayout.SizeConstraint.SetNoConstraint)
        for part in (view.fields[0], view, view.fields[1]):
            column.addWidget(part)
        page.resize(900, 240)
        with qtbot.waitActive(page):
            page.show()
            page.activateWindow()
        return view

    yield put
    page.hide()


@pytest.fixture
def log(between):
    """A log of 40 entries; `log.held` is what it shows, `log.told` what was picked."""
    held = entries(40)
    view = LogView(lambda most: held[:most])
    view.held, view.told = held, []
    view.picked.connect(view.told.append)
    view.renew()
    return between(view)


def test_a_log_that_had_the_keys_and_was_hidden_shows_the_newest_again(qtbot, log):
    log.setFocus()
    assert log.currentIndex().row() == 0
    log.fields[0].setFocus()
    log.hide()
    for number in range(41, 53):
        log.held.insert(0, LogRow(number, "10:00:01", f"entry {number}"))
        log.renew()
    log.show()
    qtbot.wait(50)
    assert log.in_view()[0] == 0
    assert log.rows[0].number == 52


@pytest.fixture
def line(between):
    """A line of ten scoops, six of them in view; `line.told` is what was chosen."""
    view = LineView()
    view.told = []
    view.chosen.connect(view.told.append)
    view.show_line([a_tile(number) for number in range(1, 11)], "The line is empty.")
    return between(view)


def a_tile(number, **shown):
    return Tile(number, "lemon", "box 0:10", "3:13", "ends 3:51", "pulled 0:10 ago", **shown)


def click(qtbot, view, at):
    place = view.visualRect(view.model().index(at, 0))
    qtbot.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=place.center())


def numbers_in_view(view):
    return [view.rows[at].number for at in view.in_view()]


def scroll(view, by):
    """Turn the wheel over a view."""
    at = view.viewport().rect().center()
    turned = QWheelEvent(
        at, view.viewport().mapToGlobal(at), QPoint(), QPoint(0, by), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(view.viewport(), turned)


def test_rows_in_view_are_those_that_have_room_whole(log):
    seen = numbers_in_view(log)
    assert seen == list(range(40, 40 - len(seen), -1))
    last = log.visualRect(log.model().index(len(seen) - 1, 0))
    assert (
        last.right() - log.gap < log.width() <= last.right() + log.visualRect(log.model().index(len(seen), 0)).width()
    )
    assert log.indexAt(last.center()).row() == len(seen) - 1
    assert not log.indexAt(QPoint(log.width() - 2, last.center().y())).isValid()
    log.held.insert(0, LogRow(41, "10:00:00", "a note " * 60))
    log.renew()
    assert numbers_in_view(log) == [41], "the newest is in view, shortened where it has no room"


def test_the_wheel_goes_to_older_entries_and_a_new_call_brings_back(log):
    scroll(log, -360)
    assert numbers_in_view(log)[0] < 40
    for _ in range(60):
        scroll(log, -360)
        QApplication.processEvents()
    assert numbers_in_view(log)[-1] == 1
    log.held.insert(0, LogRow(41, "10:00:01", "entry 41"))
    log.renew()
    assert numbers_in_view(log)[0] == 41
    assert len(log.rows) <= MOST


def test_tab_goes_through_the_entries_in_view_and_on(log):
    seen = numbers_in_view(log)
    log.fields[0].setFocus()
    went = []
    for key in [Qt.Key.Key_Tab] * len(seen):
        QTest.keyClick(QApplication.focusWidget(), key)
        went.append(log.rows[log.currentIndex().row()].number)
        assert log.hasFocus()
    assert went == seen
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
    assert log.fields[1].hasFocus()
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Backtab)
    assert log.hasFocus()
    assert log.rows[log.currentIndex().row()].number == seen[-1]
    QTest.keyClick(log, Qt.Key.Key_Return)
    assert log.told == [seen[-1]]
    QTest.keyClick(log, Qt.Key.Key_Down)
    QTest.keyClick(log, Qt.Key.Key_Return)
    assert log.told == [seen[-1], seen[-1] - 1], "the arrow goes to one that was not in view"


def test_a_click_presses_an_entry_and_so_does_a_reader_s_choice(qtbot, log):
    click(qtbot, log, 1)
    assert log.told == [39]
    log.selectionModel().select(log.model().index(1, 0), QItemSelectionModel.SelectionFlag.Select)
    assert log.told == [39, 39]
    assert not log.selectionModel().hasSelection()


def test_a_reader_finds_the_words_of_each_entry_and_how_it_stands(log):
    log.held[:2] = [
        LogRow(40, "10:00:00", "entry 40", "not on disk yet"),
        LogRow(39, "10:00:00", "entry 39", undone=True),
    ]
    log.renew()
    told = QAccessible.queryAccessibleInterface(log)
    assert told.role() == QAccessible.Role.List
    names = [told.child(at).text(QAccessible.Text.Name) for at in range(3)]
    assert names == ["10:00:00 entry 40 not on disk yet", "10:00:00 entry 39 taken back", "10:00:00 entry 38"]
    assert {told.child(at).role() for at in range(3)} == {QAccessible.Role.ListItem}


def test_a_click_chooses_a_scoop_and_another_lets_it_go(qtbot, line):
    for at, chosen in ((2, 3), (2, None), (4, 5), (0, 1)):
        click(qtbot, line, at)
        assert line.choice == chosen
    line.selectionModel().select(line.model().index(1, 0), QItemSelectionModel.SelectionFlag.ClearAndSelect)
    assert line.choice == 2, "a reader chooses too"
    line.let_go()
    assert line.told == [3, None, 5, 1, 2, None]
    assert not line.hasFocus(), "the keys stay where they were"


def test_the_chosen_scoop_is_brought_into_view_and_the_rest_is_counted(line):
    assert numbers_in_view(line) == [1, 2, 3, 4, 5, 6]
    assert line.accessibleName() == "the line, 10 waiting, 4 more beside these"
    line.step(-1)
    assert (line.choice, numbers_in_view(line)) == (10, [5, 6, 7, 8, 9, 10])
    line.step(1)
    assert line.choice is None
    line.step(1)
    assert (line.choice, numbers_in_view(line)[0]) == (1, 1)
    for _ in range(6):
        line.step(1)
    assert (line.choice, numbers_in_view(line)) == (7, [2, 3, 4, 5, 6, 7])


def test_who_looks_further_along_is_brought_back_when_a_scoop_comes_or_all_is_let_go(line):
    for bring in (
        lambda: line.show_line([a_tile(number) for number in range(1, 12)], ""),
        lambda: line.show_line([a_tile(number) for number in range(1, 11)], ""),
        line.let_go,
    ):
        scroll(line, -360)
        assert numbers_in_view(line)[0] > 1
        bring()
        assert numbers_in_view(line) == [1, 2, 3, 4, 5, 6]


def test_a_choice_stays_with_its_scoop_and_goes_with_it(line):
    line.step(1)
    line.step(1)
    line.show_line([a_tile(number) for number in (9, 4, 2, 1)], "")
    assert (line.choice, line.told) == (2, [1, 2])
    assert line.accessibleName() == "the line, 4 waiting"
    line.show_line([a_tile(number) for number in (9, 4, 1)], "")
    assert (line.choice, line.told) == (None, [1, 2, None])
    line.show_line([], "The line is empty.")
    assert line.accessibleName() == "the line: The line is empty."


def test_tiles_are_beside_one_another_to_the_right_side_at_every_width(line):
    page = line.parentWidget()
    for wide in range(700, 1500, 37):
        for many in (AT_ONCE, 12):
            page.resize(wide, 240)
            line.show_line([a_tile(number) for number in range(1, many + 1)], "")
            QApplication.processEvents()
            places = [line.visualRect(line.model().index(at, 0)) for at in line.in_view()]
            assert len(places) == min(line._fits, many)
            assert all(other.left() == one.right() + 1 for one, other in pairwise(places))
            if many >= line._fits:
                assert places[-1].right() + 1 - line.gap == line.width() - line.kept
            assert bool(line.kept) == (many > line._fits)


def test_the_keys_go_through_the_tiles_and_return_chooses(line):
    line.fields[0].setFocus()
    for _ in range(3):
        QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
    QTest.keyClick(line, Qt.Key.Key_Return)
    assert line.choice == 3
    QTest.keyClick(line, Qt.Key.Key_Return)
    assert line.choice is None
    for _ in range(4):
        QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
    assert line.fields[1].hasFocus()


def test_a_reader_finds_each_scoop_and_which_is_chosen(line):
    line.step(1)
    told = QAccessible.queryAccessibleInterface(line)
    assert told.role() == QAccessible.Role.List
    first, second = told.child(0), told.child(1)
    assert first.text(QAccessible.Text.Name) == a_tile(1).said
    assert [bool(one.state().selected) for one in (first, second)] == [True, False]
    assert first.state().selectable
    assert first.state().focusable
    assert not told.child(5).state().invisible
    assert told.child(7).state().invisible


def test_only_a_tile_that_changed_is_drawn_anew(qtbot, line, monkeypatch):
    drawn, draw = [], TilePainter.draw

    def noted(self, painter, box, row, stands):
        drawn.append(row.number)
        draw(self, painter, box, row, stands)

    monkeypatch.setattr(TilePainter, "draw", noted)
    line.viewport().repaint()
    assert drawn[-6:] == [1, 2, 3, 4, 5, 6]

    def one_drawn():
        """Whether one tile alone is drawn where it is cued, or no longer; tried again where the screen drew all meanwhile."""
        cued = not line.rows[2].cued
        QApplication.processEvents()
        drawn.clear()
        line.show_line(
            [a_tile(number, cued=cued and number in (3, 9)) for number in range(1, 11)], "The line is empty."
        )
        while not drawn:
            QApplication.processEvents()
        return drawn == [3]

    qtbot.waitUntil(one_drawn)


def test_what_has_no_room_in_a_tile_in_view_is_known(line):
    line.viewport().repaint()
    assert line.cut == []
    line.show_line([a_tile(number, note="a very long note about it") for number in range(1, 11)], "")
    line.viewport().repaint()
    assert line.cut == ["box 0:10, a very long note about it"] * 6
