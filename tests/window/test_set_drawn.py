"""What is drawn on the Set page and the crew screen, measured: heights of capitals and figures, and that nothing is cut."""

import math
from itertools import pairwise

import pytest
from PySide6.QtCore import QPoint, QRect, QRectF
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtWidgets import QApplication, QWidget

from studiotimer.session import lining, placing
from studiotimer.window import theme
from studiotimer.window.set import cue_large
from studiotimer.window.set.arrangement import LEAST_CUE, LEAST_LINE
from studiotimer.window.set.crew_screen import CREW_CUE_SHARE
from studiotimer.window.set.cue_face import ChipFace, CueFace, Line
from studiotimer.window.set.cue_paint import CHIP, HEIGHT, paint_cue
from studiotimer.window.set.cue_parts import CUE_SHARE, Setting
from studiotimer.window.set.line_view import LineView
from studiotimer.window.set.row_strip import Stands
from studiotimer.window.set.tiles import TILE_GAP, Tile, TilePainter, last_words, where_words
from studiotimer.window.theme import DARK
from tests.set_pictures import FIVE, LONG, show, states

DIGITS, CUE = 0.20, 0.105
WHOLE = {"verb", "time", "number", "then time", "joined", "lock", "locked", "about"}
"""What is never cut."""
ON_SET = ("dressing", "hero", "due", "past", "one", "long-hero", "six-hero")
COMING = ("Hero in", "Swap", "Out", "Pull", "Move", "Top up", "Tub back", "Lamp off", "Edges")
DUE = (*COMING, "Begin", "Resume", "Lock light", "Lock camera", "Lock set", "Lamp on")
NO_CALL = ("Wait", "No frame fits", "Nothing to call", "Every shot is got")


def test_how_old_a_scoop_is_is_never_told_as_if_it_were_a_time_of_day():
    tile = Tile(1, "lemon", "box 10:05", "3:13", "ends 3:51", "pulled 10:05 ago")
    said = {last_words(tile, 13.0, room) for room in range(400)}
    assert said == {"ends 3:51, pulled 10:05 ago", "ends 3:51, 10:05 old", "ends 3:51"}


def test_what_a_scoop_is_for_is_said_before_since_when_it_is_where_it_is():
    tile = Tile(8, "lemon", "box A2 10:05", "3:13", note="spare", place="box A2")
    said = [where_words(tile, 13.0, room) for room in range(300, 0, -1)]
    assert list(dict.fromkeys(said)) == ["box A2 10:05, spare", "box A2, spare"]


@pytest.fixture(autouse=True)
def untempered(monkeypatch):
    """Let the next cue of a hero be its swap: what is measured is how that is drawn."""
    monkeypatch.setattr(lining, "TEMPER_WORTH_S", math.inf)
    monkeypatch.setattr(placing, "TOGETHER", 0.0)


@pytest.fixture
def at(qtbot, window, tmp_path):
    """Bring the window to a state at a size."""

    def bring(name, size=None):
        show(window, tmp_path, name)
        qtbot.waitUntil(lambda: window.running.forecast is not None, timeout=20_000)
        window.page.stand("")
        window.page.say("")
        if size is not None:
            resized(window, size)
        return window.page

    return bring


def resized(window, size):
    window.resize(*FIVE[size])
    for _ in range(3):
        QApplication.processEvents()
    window.page.refresh()
    window.page.cue_label.repaint()
    window.page.line.viewport().repaint()
    assert (window.width(), window.height()) == FIVE[size]


def rows_of(widget, colour):
    """Return the height in pixels of the longest run of rows in which a widget shows a colour."""
    image = widget.grab().toImage()
    wanted = QColor(colour).rgb()
    rows = [y for y in range(image.height()) if any(image.pixel(x, y) == wanted for x in range(0, image.width(), 2))]
    run, longest = 1, 1
    for before, after in pairwise(rows):
        run = run + 1 if after == before + 1 else 1
        longest = max(longest, run)
    return longest / widget.devicePixelRatioF()


def cap_seen(widget, box):
    """Return how high a letter is that stands in a box of a widget, by its pixels."""
    image = widget.grab(QRect(math.floor(box.x()), math.floor(box.y()) - 6, 60, math.ceil(box.height()) + 12)).toImage()
    lit = lambda x, y: image.pixelColor(x, y).lightness() > 110  # noqa: E731
    rows = [y for y in range(image.height()) if any(lit(x, y) for x in range(image.width()))]
    return rows[-1] - rows[0] + 1


def parts(page, *names):
    return [one for one in page.cue_label.drawn if one.part in names]


@pytest.mark.parametrize("name", states())
def test_capitals_are_high_enough_and_nothing_is_cut_at_five_sizes(at, window, name):
    page = at(name)
    for size, (_, height) in FIVE.items():
        resized(window, size)
        where = f"{name}, {size}"
        drawn = page.cue_label.drawn
        assert drawn, where
        for one in drawn:
            assert one.part not in WHOLE or one.shown == one.wanted, (where, one)
            inside = page.cue_label.rect().adjusted(0, -1, 1, 1).contains(one.box.toAlignedRect())
            assert inside, (where, one)
        caps = [one.cap for one in parts(page, "verb", "time", "number")]
        assert min(caps) >= CUE * height, (where, min(caps) / height)
        for one, other in pairwise(sorted(parts(page, "verb", "place", "time"), key=lambda one: one.box.x())):
            assert one.box.right() < other.box.x(), where
        assert page.line.cut == [], where
        if name in ON_SET:
            assert page.clock.figure_height >= DIGITS * height, where
        assert page.cue_label.large == (name not in ON_SET), where


@pytest.mark.parametrize("size", FIVE)
def test_figures_and_the_cue_are_as_high_in_pixels(at, size):
    page = at("hero", size)
    height = FIVE[size][1]
    assert rows_of(page.clock, page.clock.colour) >= DIGITS * height
    verb = parts(page, "verb")[0]
    assert verb.shown == "Swap"
    assert cap_seen(page.cue_label, verb.box) >= CUE * height


@pytest.mark.parametrize("size", FIVE)
def test_parts_stand_apart_and_within_the_page(at, size):
    for name in ("hero", "waiting", "empty"):
        page = at(name, size)
        shown = [page.header, page.cue_label, page.below, page.log, page.cue_button, page.calls]
        shown += [page.clock, page.ribbon] if name == "hero" else []
        boxes = [QRect(part.mapTo(page, QPoint(0, 0)), part.size()) for part in shown]
        for index, box in enumerate(boxes):
            assert page.rect().contains(box), (name, shown[index])
            assert not any(box.intersects(other) for other in boxes[index + 1 :]), (name, shown[index])
        assert len(page.line.in_view()) == (0 if name == "empty" else 6)


@pytest.mark.parametrize("size", FIVE)
@pytest.mark.parametrize(("time", "verbs"), [("now", DUE), ("in 12:30", COMING), ("", NO_CALL)])
@pytest.mark.parametrize("large", [False, True])
def test_every_verb_with_the_longest_time_and_flavours(at, size, time, verbs, large):
    page = at("hero" if not large else "pull", size)
    height = FIVE[size][1]
    view = page.cue_label
    view.setFixedHeight(round((HEIGHT * CUE_SHARE + (0.24 if large else 0.0)) * height))
    chips = tuple(ChipFace(str(number), (name, name.split()[0]), "box", "left", "#9CCB86") for number, name in
                  zip((118, 99, 100), LONG, strict=True))  # fmt: skip
    for verb in verbs:
        for count in (0, 1, 2, 3):
            place = "behind, at the far right of the coupe" if verb == "Swap" else ""
            joined = "for" if count == 2 else ""
            lines = (Line("then", "top up the dry ice", "in 12:30"),)
            cue = CueFace(verb, place, time, time == "now", chips[:count], joined, "" if count else "dry ice", lines)
            view.show_cue(cue, verb, large)
            view.repaint()
            for one in view.drawn:
                assert one.part not in WHOLE or one.shown == one.wanted, one
                assert view.rect().adjusted(0, -2, 1, 2).contains(one.box.toAlignedRect()), (verb, count, one)
            caps = {one.part: one.cap for one in view.drawn if one.part in ("verb", "time", "number")}
            assert min(caps.values()) >= CUE * height, (verb, count, caps, height)


@pytest.mark.parametrize("name", ["long-hero", "long-waiting", "six-hero", "empty"])
def test_the_crew_screen_cuts_no_number_and_no_time(at, window, second, name):
    at(name, "1280x800")
    window.show_crew()
    crew = window.crew
    crew.show()
    crew.showNormal()
    for width, height in ((1920, 1080), (1366, 768)):
        crew.resize(width, height)
        crew.tick()
        crew.grab()
        assert min(one.cap for one in crew.drawn if one.part in ("verb", "time", "number")) >= CUE * height
        assert all(one.shown == one.wanted for one in crew.drawn if one.part in WHOLE)
        assert all(one.box.right() <= width for one in crew.drawn)


def test_the_crew_screen_is_as_high_outlined_and_dark(qtbot, at, window, second):
    page = at("hero", "1280x800")
    window.show_crew()
    crew = window.crew
    crew.show()
    for width, height in ((1920, 1080), (1366, 768), (1280, 1024)):
        crew.showNormal()
        crew.resize(width, height)
        crew.tick()
        crew.grab()
        caps = [one.cap for one in crew.drawn if one.part in ("verb", "time", "number")]
        assert min(caps) >= CUE * height
        assert all(one.shown == one.wanted for one in crew.drawn if one.part in WHOLE)
    crew.resize(1920, 1080)
    crew.grab()
    assert [one.shown for one in crew.drawn if one.part == "way"] == ["box → left", "left → out"]
    image = crew.grab().toImage()
    chip = QColor(page.colours.colour("brown butter")).rgb()
    seen = [image.pixel(x, y) for x in range(0, image.width(), 3) for y in range(0, image.height(), 3)]
    assert 0 < seen.count(chip) < 0.01 * len(seen), "a flavour is outlined"


def test_a_lock_is_made_by_a_press_on_its_card(qtbot, at, window):
    from PySide6.QtCore import Qt

    from studiotimer.window.set.cue_large import lock_boxes

    page = at("empty", "1280x800")
    box = lock_boxes(page.cue_label.setting())[1]
    qtbot.mouseClick(page.cue_label, Qt.MouseButton.LeftButton, pos=box.center().toPoint())
    assert window.running.state.locks["set"]
    assert "freezer" in page.cold.accessibleName()
    assert page.cold.isVisible()
    assert not page.line.isVisible()


def test_without_a_hero_there_are_no_figures(at):
    page = at("waiting", "1280x800")
    assert page.clock.words == ""
    assert not page.clock.isVisible()
    assert page.cue_label.text() == "Move 3 to the tray"
    assert any(one.part == "about" and "were placed now: window to" in one.shown for one in page.cue_label.drawn)


@pytest.mark.parametrize("size", FIVE)
@pytest.mark.parametrize("part", ["settings", "how"])
def test_a_part_that_is_opened_beside_a_hero_has_a_good_share_and_the_time_stays(at, window, size, part):
    page = at("hero", size)
    height = FIVE[size][1]
    high = page.clock.figure_height
    page.act(part)
    resized(window, size)
    assert page.below.height() >= 0.25 * height
    assert page.clock.isVisible()
    assert page.clock.figure_height >= 0.1 * height
    assert rows_of(page.clock, page.clock.colour) >= 0.1 * height
    assert all(one.shown == one.wanted for one in page.cue_label.drawn if one.part in WHOLE)
    assert min(one.cap for one in parts(page, "verb", "time", "number")) >= 0.07 * height
    for one in page.cue_label.drawn:
        assert page.cue_label.rect().adjusted(0, -1, 1, 1).contains(one.box.toAlignedRect()), one
    page.act(part)
    resized(window, size)
    assert page.clock.figure_height == high


@pytest.mark.parametrize("size", FIVE)
def test_cards_of_the_cold_end_where_the_page_does(at, size):
    image = at("empty", size).cold.grab().toImage()
    cards = QColor(DARK.panel).rgb()
    middle = image.height() // 3
    assert any(image.pixel(image.width() - off, middle) == cards for off in range(1, 6))


def test_cards_of_freezers_doors_and_tubs_are_drawn_whole_at_five_sizes(at, window):
    page = at("warm")
    for size in FIVE:
        resized(window, size)
        page.cold.grab()
        assert len(page.cold.cards) == 5
        assert page.cold.cut == [], size


@pytest.mark.parametrize("name", ["hero", "empty", "begin"])
def test_what_stands_in_the_strip_stands_apart_in_a_window_that_grew_smaller(at, window, name):
    page = at(name, "1920x1080")
    for size in ("1280x800", "1024x640"):
        resized(window, size)
        top = page.header.top
        shown = [page.header.shot, page.header.about, *page.header.locks.values(), *window.nav.buttons.values()]
        boxes = [QRect(one.mapTo(window, QPoint(0, 0)), one.size()) for one in shown if one.isVisibleTo(window)]
        for one, other in pairwise(sorted(boxes, key=lambda box: box.x())):
            assert one.right() <= other.x(), (name, size, one, other)
        assert top.width() >= page.header.shot.width()
        assert page.header.shot.isVisibleTo(window)


@pytest.mark.parametrize("name", ["hero", "waiting"])
def test_a_bar_and_a_warning_leave_the_line_room_and_give_it_back(at, window, name):
    page = at(name)
    bar = QWidget()
    for size in FIVE:
        resized(window, size)
        before = page.clock.figure_height
        bar.setFixedHeight(52)
        window.nav.frame.layout().insertWidget(1, bar)
        bar.show()
        page.stand("Keys are not heard: click this screen. " + "The clock of this machine may have been set. " * 3)
        for _ in range(2):
            resized(window, size)
        tile = page.line.visualRect(page.line.model().index(page.line.in_view()[0], 0))
        assert min(tile.height(), page.line.viewport().height()) >= LEAST_LINE * 0.9, size
        assert page.clock.figure_height >= LEAST_CUE * before
        bar.hide()
        page.stand("")
        for _ in range(2):
            resized(window, size)
        assert page.clock.figure_height == before


@pytest.mark.parametrize("name", ["due", "waiting"])
def test_now_stands_in_the_middle_of_its_box(at, name):
    page = at(name, "1280x800")
    image = page.cue_label.grab().toImage()
    box = parts(page, "time")[0].box
    ratio = page.cue_label.devicePixelRatioF()
    cream, ink = QColor(theme.CREAM).rgb(), QColor(theme.INK).rgb()
    columns = range(int(box.left() * ratio), int(box.right() * ratio))
    filled = [y for y in range(image.height()) if image.pixel(columns[0] - 6, y) == cream]
    dark = [y for y in filled if any(image.pixel(x, y) == ink for x in columns)]
    above, below = dark[0] - filled[0], filled[-1] - dark[-1]
    assert abs(above - below) <= 3
    assert min(above, below) >= 0.1 * len(filled)


@pytest.mark.parametrize(
    ("width", "way"), [(900, ["box B3 → left"]), (300, ["box B3", "→ left"]), (238, ["→ left"]), (110, [])]
)
def test_a_large_cue_says_where_each_scoop_is_and_goes_as_far_as_there_is_room(qtbot, width, way):
    """Nothing on a tray says which scoop is 8 but its slot."""
    chip = ChipFace("8", ("lemon",), "box B3", "left", "#9CCB86")
    image = QImage(width, 260, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    setting = Setting(QRectF(0, 0, width, 800), 800.0, large=True, outlined=True)
    drawn = cue_large._scoop(painter, chip, QRectF(0, 0, width, 220), 60.0, setting)
    painter.end()
    assert [one.shown for one in drawn if one.part == "way"] == way
    assert all(one.shown == one.wanted for one in drawn)


def test_where_three_scoops_go_is_written_smaller_before_it_is_cut(qapp):
    """As wide as on a crew screen of 1920 x 1080, and wider."""
    routes = {"1": ("left", "out"), "2": ("top", "out"), "3": ("right", "out")}
    chips = tuple(ChipFace(number, (), came, to, "#9CCB86") for number, (came, to) in routes.items())
    image = QImage(2600, 540, QImage.Format.Format_RGB32)
    sizes = []
    for width in (1792, 2600):
        setting = Setting(QRectF(0, 0, width, 540), 1080.0, outlined=True, ways=True, share=CREW_CUE_SHARE)
        painter = QPainter(image)
        ways = [one for one in paint_cue(painter, CueFace("Out", time="now", due=True, chips=chips), setting)
                if one.part == "way"]  # fmt: skip
        painter.end()
        assert [one.shown for one in ways] == ["left → out", "top → out", "right → out"]
        sizes.append(ways[0].cap)
    assert sizes[0] < sizes[1]


@pytest.mark.parametrize("words", ["pistachio", "Coupe, gypsy", "vanilla"])
@pytest.mark.parametrize("kind", ["chips", "rest"])
def test_what_hangs_below_its_line_stays_within_its_box(qapp, words, kind):
    parts = {"chips": (ChipFace("", (words,), "", "", "#9CCB86"),)} if kind == "chips" else {"rest": words}
    setting = Setting(QRectF(0, 0, 1216, 245), 800.0)
    image = QImage(1216, 245, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    paint_cue(painter, CueFace("Pull", time="now", due=True, **parts), setting)
    painter.end()
    ends = math.ceil((1.16 + 0.31 + CHIP) * setting.cap)
    below = {image.pixelColor(x, y).name() for x in range(40, 1176) for y in range(ends + 1, 240)}
    assert below == {QColor(DARK.panel).name()}


@pytest.mark.parametrize("size", [(150, 84), (196, 92), (196, 122), (300, 92), (300, 116), (300, 180)], ids=str)
def test_no_letter_of_a_tile_is_cut_below_its_line(qtbot, size):
    view = LineView()
    qtbot.addWidget(view)
    painter = TilePainter(view)
    painter.step = float(size[0] + TILE_GAP)

    def rows(words):
        """The first and the last row of the picture in which the words of a tile's last line are."""
        image = QImage(*size, QImage.Format.Format_RGB32)
        with QPainter(image) as onto:
            painter.draw(onto, QRectF(0, 0, *size), Tile(1, "", "", "", pulled=words), Stands(False, False, False))
        found = [y for y in range(size[1] // 2, size[1] - 2) if any(image.pixel(x, y) != panel for x in range(14, 60))]
        return found[0], found[-1]

    panel = QColor(DARK.panel).rgb()
    (top, base), (_, foot) = rows("nnn"), rows("ggg")
    assert foot - base >= 0.3 * (base - top), "a g hangs below its line by a third of an n"
