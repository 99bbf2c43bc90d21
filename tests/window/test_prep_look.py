"""The Prep page at every size: nothing clipped, nothing on anything else, every control named."""

import pytest
from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtGui import QFontMetrics, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractSlider,
    QComboBox,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QScrollArea,
    QScrollBar,
    QWidget,
)

from studiotimer.prep.found import Found
from studiotimer.window.prep.fitted import Fitted
from studiotimer.window.prep.how import How
from studiotimer.window.spoken import plain_of
from tests.window.prep_helpers import worked, write

SIZES = [(1024, 640), (1280, 800), (1920, 1080)]
LEAVES = QAbstractButton | QAbstractSlider | QComboBox | QLabel | QLineEdit | QPlainTextEdit


def leaves(root):
    return [
        widget
        for widget in root.findChildren(QWidget)
        if isinstance(widget, LEAVES)
        and not isinstance(widget, QScrollBar)
        and widget.isVisible()
        and not isinstance(widget.parentWidget(), QComboBox)
    ]


def words(widget):
    return widget.accessibleName() or getattr(widget, "text", lambda: "")() or repr(widget)


def box(root, widget):
    return QRect(widget.mapTo(root, QPoint(0, 0)), widget.size())


def clipped(widget):
    """Return why what a widget says does not fit into it."""
    metrics = QFontMetrics(widget.font())
    if isinstance(widget, Fitted):
        return ""  # all of it is in its tip and, for the field that has the keys, at the foot of the page
    if isinstance(widget, QLabel) and widget.text():
        if not widget.pixmap().isNull():
            return ""
        if widget.wordWrap() and widget.heightForWidth(widget.width()) > widget.height() + 1:
            return f"needs {widget.heightForWidth(widget.width())} high, has {widget.height()}"
        if not widget.wordWrap() and metrics.horizontalAdvance(widget.text()) > widget.width() + 1:
            return f"needs {metrics.horizontalAdvance(widget.text())} wide, has {widget.width()}"
    if isinstance(widget, QAbstractButton) and widget.text() and widget.sizeHint().width() > widget.width() + 1:
        return f"needs {widget.sizeHint().width()} wide, has {widget.width()}"
    if isinstance(widget, QLineEdit) and metrics.horizontalAdvance(widget.text()) > widget.width() - 20:
        return f"{widget.text()!r} needs {metrics.horizontalAdvance(widget.text())} wide"
    if isinstance(widget, QComboBox) and metrics.horizontalAdvance(widget.currentText()) > widget.width() - 32:
        return f"{widget.currentText()!r} needs {metrics.horizontalAdvance(widget.currentText())} wide"
    return ""


def check(qtbot, page, size):
    page.window().resize(*size)
    qtbot.wait(60)
    assert (page.window().width(), page.window().height()) == size
    qtbot.waitUntil(lambda: fits(page), timeout=5_000)  # what is laid out anew takes a moment


def fits(page):
    """Hold that nothing is clipped, outside its side or on anything else."""
    for root in (page.head, page.inputs, page.view):
        shown = leaves(root)
        assert shown
        bad = [f"{words(widget)}: {why}" for widget in shown if (why := clipped(widget))]
        assert bad == []
        boxes = [
            (words(widget), box(root, widget))
            for widget in shown
            if not isinstance(widget.parentWidget(), QAbstractButton)
        ]
        assert [name for name, each in boxes if not root.rect().contains(each)] == []
        for number, (name, one) in enumerate(boxes):
            for other, two in boxes[number + 1 :]:
                assert not one.adjusted(1, 1, -1, -1).intersects(two.adjusted(1, 1, -1, -1)), f"{name} on {other}"
    assert page.area.widget().width() <= page.area.viewport().width()


def test_wrong_fields_and_shots_that_cannot_work_fit(qtbot, hot):
    write(qtbot, hot, ("room", "humidity"), "some")
    write(qtbot, hot, ("shots", 0, "frames"), "90")
    write(qtbot, hot, ("flavours", 1, "freezer"), "2")
    write(qtbot, hot, ("flavours", 2, "freezer"), "3")
    for size in SIZES:
        check(qtbot, hot, size)


def test_unfolded_it_fits(qtbot, hot):
    hot.view.figures.cells[0].click()
    hot.view.work.link.click()
    hot.view.what_if.unfold(True)
    qtbot.waitUntil(lambda: hot.what_if.said.text() != "", timeout=20_000)
    hot.what_if.sliders["room_c"].setValue(31)
    qtbot.waitUntil(lambda: "31" in hot.what_if.about.text(), timeout=20_000)
    for size in SIZES:
        check(qtbot, hot, size)


def test_both_sides_fit_and_shrink_again(qtbot, hot):
    for size in (*reversed(SIZES), *SIZES):
        check(qtbot, hot, size)


def test_the_preview_fits(qtbot, hot):
    hot.preview_sheet()
    hot.save_pdf()
    qtbot.waitUntil(lambda: "A4" in hot.preview.about.text())
    for size in SIZES:
        hot.window().resize(*size)
        qtbot.waitUntil(lambda: hot.preview.pages[0].width() <= hot.preview.area.viewport().width(), timeout=5_000)
        for root in (hot.preview, hot.bar):
            shown = [widget for widget in leaves(root) if widget is not hot.bar.line]
            assert [f"{words(widget)}: {why}" for widget in shown if (why := clipped(widget))] == []
        assert hot.preview.width() + hot.preview.x() <= hot.width()


def test_every_control_names_itself(qtbot, hot):
    hot.view.what_if.unfold(True)
    worked(qtbot, hot)
    hot.save_pdf()
    for shown in (hot, hot.preview):
        if shown is hot.preview:
            hot.preview_sheet()
        controls = [
            widget
            for widget in hot.findChildren(QWidget)
            if isinstance(
                widget, QAbstractButton | QAbstractSlider | QComboBox | QLineEdit | QPlainTextEdit | QScrollArea
            )
            and not isinstance(widget, QScrollBar)
            and not isinstance(widget.parentWidget(), QComboBox)
            and widget.isVisibleTo(hot)
        ]
        assert len(controls) > 10
        assert [repr(widget) for widget in controls if not widget.accessibleName()] == []
    inputs = [widget.accessibleName() for widget in leaves(hot.inputs) if isinstance(widget, QLineEdit | QComboBox)]
    assert len(set(inputs)) == len(inputs)


def test_tab_reaches_everything_in_the_order_it_is_read(qtbot, hot):
    from studiotimer.window.tab_order import in_order

    wanted = [widget for widget in in_order(hot.inputs) if widget.isVisible() and widget.isEnabled()]
    tops = [(box(hot.inputs, widget).center().y() // 20, widget.x()) for widget in wanted]
    assert [top for top, _ in tops] == sorted(top for top, _ in tops)
    reached = [wanted[0]]
    while reached[-1] is not wanted[-1]:
        following = reached[-1].nextInFocusChain()
        while not (following.focusPolicy().value & 1 and following.isVisible() and following.isEnabled()):
            following = following.nextInFocusChain()
        reached.append(following)
        assert len(reached) <= len(wanted)
    assert reached == wanted


def test_every_label_says_its_words_to_a_reader_and_no_markup(hot):
    hot.view.figures.cells[0].click()
    said = {}
    for label in hot.findChildren(QLabel):
        words = plain_of(label.text()) if label.textFormat() == Qt.TextFormat.RichText else label.text()
        if words.strip(" ●"):
            said[label] = words, label.accessibleName() or words
    assert len(said) > 60
    for words, name in said.values():
        assert " ".join(words.split()) in " ".join(name.split()), (words, name)
        assert "<" not in name, name
    assert hot.view.short.accessibleName().startswith("in short: ▲  Dry ice: Gloves and eye protection.")
    lines = hot.view.run_sheet.accessibleName().splitlines()
    assert lines[0].startswith("run sheet: ")
    assert "08:30, Call time, everyone" in lines
    assert (
        hot.view.product.accessibleName().splitlines()[0].startswith("product to order: flavour, mix, freezer, heroes")
    )


def test_how_a_result_was_found_may_be_sized_before_it_says_anything(qtbot):
    how = How()
    qtbot.addWidget(how)
    how.resizeEvent(QResizeEvent(QSize(300, 80), QSize()))
    how.tell("pulls", [("", Found(1, "1", "63 % of 2.5 kg", "own rule"))])
    assert how.text == "63 % of 2.5 kg.\nSource: own rule."
    assert "63\u00a0% of 2.5\u00a0kg" in how._text.text(), "a number stays with its unit"


@pytest.mark.parametrize(
    ("rich", "said"),
    [
        ("plain", "plain"),
        ("<table><tr><td>09:00</td><td style='x'><b>Call</b>&nbsp; all</td></tr></table>", "09:00, Call all"),
        ("<tr><th>a</th> <th>b</th></tr><tr><td colspan='2'>1 &lt; 2</td></tr>", "a, b\n1 < 2"),
        ("<p>one</p><p>two<br>three</p>", "one\ntwo\nthree"),
    ],
)
def test_rich_text_is_said_plainly(rich, said):
    assert plain_of(rich) == said


@pytest.mark.parametrize("size", SIZES)
def test_the_fields_of_a_list_stand_in_columns(qtbot, window, page, size):
    window.resize(*size)
    page.inputs.flavours.add()
    page.inputs.shots.heroes.more_items()
    worked(qtbot, page)
    for rows in (page.inputs.flavours.forms, [page.inputs.shots.heroes]):
        at = {}
        for field in (field for form in rows for field in form.all_fields()):
            place = box(page, field.editor)
            at.setdefault(field.ask.words, set()).add((place.left(), place.width()))
        assert all(len(places) == 1 for places in at.values()), at
