"""Tab goes through a page as it is read, and finding out how leaves nothing behind that Qt may delete alone."""

from PySide6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QLayout,
    QLayoutItem,
    QLineEdit,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)
from shiboken6 import Shiboken

from studiotimer.window.flow import flowing
from studiotimer.window.tab_order import in_order


def items():
    """Return how many items of layouts are known to Python."""
    known = Shiboken.getAllValidWrappers()
    return sum(isinstance(one, QLayoutItem) and not isinstance(one, QLayout) for one in known)


def page():
    """Return fields and the order in which they are read: a row, a grid made bottom up, a row that flows, an area."""
    fields = [QLineEdit() for _ in range(9)]
    row, grid, column = QHBoxLayout(), QGridLayout(), QVBoxLayout()
    row.addWidget(fields[0])
    row.addStretch(1)
    row.addWidget(fields[1])
    for number in (5, 4, 3, 2):
        grid.addWidget(fields[number], (number - 2) // 2, (number - 2) % 2)
    area = QScrollArea()
    area.setWidget(flowing(8, fields[8]))
    column.addLayout(row)
    column.addLayout(grid)
    column.addWidget(flowing(8, *fields[6:8]))
    column.addWidget(area)
    whole = QWidget()
    whole.setLayout(column)
    return whole, fields


def test_in_the_order_in_which_a_page_is_read(qtbot):
    whole, fields = page()
    qtbot.addWidget(whole)
    assert [one for one in in_order(whole) if isinstance(one, QLineEdit)] == fields


def test_no_item_of_a_layout_is_left_with_python(qtbot):
    whole, _ = page()
    qtbot.addWidget(whole)
    before = items()
    assert list(in_order(whole))
    assert items() == before
