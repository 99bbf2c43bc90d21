"""What charts are drawn with: round marks, scales both ways, and words that never stand on each other."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QImage, QPainter

from studiotimer.window import theme
from studiotimer.window.chart import STEPS_S, Scale, Words, marks, round_marks, time_step, write_in


@pytest.fixture
def sheet(qapp):
    image = QImage(200, 40, QImage.Format.Format_RGB32)
    image.fill(QColor("#FFFFFF"))
    painter = QPainter(image)
    yield image, painter
    painter.end()


def inked(image, left=0, right=200):
    """Return the first and the last column of an image that anything is drawn in, None where nothing is."""
    dark = [x for x in range(left, right) if any(image.pixelColor(x, y).lightness() < 200 for y in range(40))]
    return (dark[0], dark[-1]) if dark else None


@given(st.floats(1.0, 86400.0), st.integers(2, 20))
def test_time_is_marked_at_few_whole_steps_to_its_end(span, most):
    step = time_step(span, most)
    at = marks(span, step)
    assert step in STEPS_S
    assert at[0] == 0
    assert span - step - 1e-6 < at[-1] <= span + 1e-6
    assert len(at) <= most + 1 or step == STEPS_S[-1]


@given(st.floats(-100.0, 200.0), st.floats(0.5, 300.0), st.integers(3, 12))
def test_round_marks_are_few_round_and_inside(low, span, most):
    at = round_marks(low, low + span, most)
    assert len(at) <= most + 1
    assert all(low - 1e-6 <= one <= low + span + 1e-6 for one in at)
    steps = {round(after - before, 9) for before, after in pairwise(at)}
    assert len(steps) <= 1
    for step in steps:
        assert round(step / 10 ** math.floor(math.log10(step) + 1e-9)) in (1, 2, 5)


def test_a_scale_goes_both_ways_and_keeps_what_never_comes_at_its_end():
    up = Scale(-20.0, 20.0, 220.0, 20.0)
    assert (up.at(-20.0), up.at(0.0), up.at(20.0)) == (220.0, 120.0, 20.0)
    assert up.value(up.at(7.5)) == pytest.approx(7.5)
    assert up.at(30.0) == -30.0
    along = Scale(0.0, 60.0, 10.0, 130.0)
    assert [along.within(at) for at in (-5.0, 30.0, 90.0, math.inf, math.nan)] == [10.0, 70.0, 130.0, 130.0, 130.0]


def test_words_keep_clear_of_others_and_of_the_ends(sheet):
    image, painter = sheet
    line, font, ink = Words(painter, 20.0, 180.0, 24.0), theme.font(theme.SMALL), QColor("#000000")
    assert line.write(20.0, "first", ink, font)
    assert not line.write(30.0, "on it", ink, font)
    assert line.write(180.0, "last", ink, font)
    left, right = inked(image)
    assert (left, right) >= (19, 100)
    assert right <= 180
    assert inked(image, 60, 140) is None


def test_words_in_a_box_are_shortened_or_left_out(sheet):
    image, painter = sheet
    ink, font = QColor("#000000"), theme.font(theme.BODY)
    write_in(painter, QRectF(0, 0, 60, 40), "much more than has room", ink, font, whole=True)
    assert inked(image) is None
    write_in(painter, QRectF(0, 0, 60, 40), "much more than has room", ink, font)
    assert inked(image)[1] <= 61
    image.fill(QColor("#FFFFFF"))
    write_in(painter, QRectF(100, 0, 80, 40), "end", place=Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
    assert 150 < inked(image)[0] < inked(image)[1] <= 180
