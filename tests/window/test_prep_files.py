"""Plans opened and saved, the sheet printed, all files written, from the Prep page."""

import errno
import os
import threading

import pytest
from PySide6.QtCore import Qt
from PySide6.QtPrintSupport import QPrinter

from studiotimer.cli import main
from studiotimer.errors import WorkError
from studiotimer.places import data_folder, demo_sessions, sessions_folder
from studiotimer.prep.loading import load_plan
from studiotimer.prep.outputs import made_now
from studiotimer.prep.plan import plan_text
from studiotimer.prep.printed import printed_sheet
from studiotimer.window import preview as preview_module
from studiotimer.window import printing
from studiotimer.window.main import MainWindow
from studiotimer.window.paper import draw_on
from studiotimer.window.prep import unsaved
from studiotimer.window.prep.pages import Upright
from studiotimer.window.prep.sheet import sheet_pages
from studiotimer.window.prep.written_fields import first_editor
from studiotimer.window.printing import Printer
from studiotimer.window.recent import recent_sessions
from tests.window.prep_fixtures import HOT
from tests.window.prep_helpers import CTRL, Keys, field, needs_pdftotext, pdf_words, worked, write

K = Qt.Key


@pytest.fixture
def full_disk(monkeypatch):
    """Let every write fail half-way, and let it go through again when told to."""
    real = os.fsync

    def refuse(handle):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("studiotimer.files.os.fsync", refuse)
    return lambda: monkeypatch.setattr("studiotimer.files.os.fsync", real)


def preview(qtbot, page):
    keys = Keys(qtbot)
    page.focus_plan()
    keys.press(K.Key_P, CTRL)
    worked(qtbot, page)
    qtbot.waitUntil(lambda: page.stack.currentWidget() is page.preview)
    qtbot.waitUntil(lambda: page.preview.about.text() not in ("", preview_module.DRAWING))
    return keys


def test_a_plan_is_saved_and_opened_again(qtbot, page, tmp_path):
    keys = Keys(qtbot)
    write(qtbot, page, ("title",), "Invented pear cup")
    assert "not saved yet" in page.head.about.text()
    keys.press(K.Key_S, CTRL)
    assert keys.here is page.bar.line
    assert page.bar.line.text() == str(sessions_folder() / "invented-pear-cup.json")
    keys.write(str(tmp_path / "pear.json"))
    keys.press(K.Key_Return)
    assert not page.bar.isVisible()
    assert "saved in pear.json at " in page.head.about.text()
    assert load_plan(tmp_path / "pear.json") == page.results.plan
    write(qtbot, page, ("title",), "Another title")
    assert "changed" in page.head.about.text()
    keys.press(K.Key_S, CTRL)
    assert load_plan(tmp_path / "pear.json").title == "Another title"
    assert (tmp_path / "pear.json").resolve() in recent_sessions()
    keys.press(K.Key_O, CTRL)
    keys.write(str(HOT))
    keys.press(K.Key_Return)
    assert worked(qtbot, page).plan.title == "Three in a coupe"
    assert keys.here is first_editor(page.inputs)


def test_a_failing_write_leaves_the_old_file(qtbot, page, tmp_path, full_disk):
    path = tmp_path / "kept.json"
    path.write_text(plan_text(load_plan(HOT)), encoding="utf-8")
    before = path.read_bytes()
    page.open_plan(path)
    write(qtbot, page, ("title",), "Written half")
    keys = Keys(qtbot)
    keys.press(K.Key_S, CTRL)
    assert "cannot be written: no space left on device" in page.message.text()
    assert path.read_bytes() == before
    assert list(tmp_path.iterdir()) == [path]
    assert page.bar.isVisible()
    assert "changed" in page.head.about.text()
    full_disk()
    keys.press(K.Key_Return)
    assert load_plan(path).title == "Written half"
    assert not page.bar.isVisible()


def test_files_that_cannot_be_written_are_said_and_nothing_is_lost(qtbot, hot, tmp_path, full_disk):
    (tmp_path / "shopping.csv").write_text("old", encoding="utf-8")
    keys = preview(qtbot, hot)
    keys.tab_to("Write all files")
    keys.press(K.Key_Return)
    keys.write(str(tmp_path))
    keys.press(K.Key_Return)
    assert "cannot be written: no space left" in hot.message.text()
    assert (tmp_path / "shopping.csv").read_text(encoding="utf-8") == "old"
    assert list(tmp_path.iterdir()) == [tmp_path / "shopping.csv"]


@pytest.mark.parametrize("bad", ["no such file.json", "a folder", "no plan.json"])
def test_what_cannot_be_opened_is_said_and_the_plan_stays(qtbot, hot, tmp_path, bad):
    (tmp_path / "a folder").mkdir()
    (tmp_path / "no plan.json").write_text('{"flavours": []}', encoding="utf-8")
    keys = Keys(qtbot)
    hot.focus_plan()
    keys.press(K.Key_O, CTRL)
    keys.write(str(tmp_path / bad))
    keys.press(K.Key_Return)
    assert bad in hot.message.text() or "flavours" in hot.message.text()
    assert hot.bar.isVisible()
    assert hot.head.title.text() == "Three in a coupe"
    keys.press(K.Key_Escape)
    assert not hot.bar.isVisible()
    assert keys.here is first_editor(hot.inputs)


def test_a_plan_that_is_not_saved_is_said_before_it_is_left(qtbot, window, page):
    write(qtbot, page, ("title",), "Precious")
    keys = Keys(qtbot)
    keys.press(K.Key_O, CTRL)
    assert "not saved" in page.message.text()
    assert not page.bar.isVisible()
    keys.press(K.Key_O, CTRL)
    assert page.bar.isVisible()
    keys.press(K.Key_Escape)
    write(qtbot, page, ("title",), "More precious")
    assert not window.close()
    assert window.isVisible()
    assert keys.here is page.head.save
    keys.press(K.Key_P)
    assert page.draft["title"] == "More precious"
    assert window.nav.may_close()


@needs_pdftotext
@pytest.mark.parametrize("name", ["calm_led", "hot_tungsten"])
def test_all_files_are_those_of_the_command(qtbot, page, tmp_path, monkeypatch, name):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1900000000")
    path = demo_sessions() / name / "plan.json"
    page.open_plan(path)
    worked(qtbot, page)
    keys = preview(qtbot, page)
    keys.tab_to("Write all files")
    keys.press(K.Key_Return)
    keys.write(str(tmp_path / "page"))
    keys.press(K.Key_Return)
    assert "All files are in" in page.message.text()
    assert main(["prep", str(path), "--out", str(tmp_path / "command")]) == 0
    names = {"sheet.pdf", "flags.pdf", "shopping.csv", "run_sheet.ics", "plan.json",
             "to_client.txt", "to_photographer.txt", "to_supplier.txt"}  # fmt: skip
    assert {file.name for file in (tmp_path / "page").iterdir()} == names
    for file in names - {"plan.json"}:
        assert (tmp_path / "page" / file).read_bytes() == (tmp_path / "command" / file).read_bytes(), file
    assert load_plan(tmp_path / "page" / "plan.json") == load_plan(path)
    assert page.results.plan.title in pdf_words(tmp_path / "page" / "sheet.pdf")


def test_the_preview_shows_the_pages_and_comes_back(qtbot, hot):
    keys = preview(qtbot, hot)
    picture = hot.preview.pages[0].pixmap().toImage()
    dark = sum(
        picture.pixelColor(x, y).lightness() < 128
        for x in range(0, picture.width(), 3)
        for y in range(0, picture.height(), 3)
    )
    assert dark > 1000
    name = hot.preview.pages[0].accessibleName()
    assert name == f"page 1 of {len(hot.preview.pages)} of the sheet: Three in a coupe"
    assert "A4" in hot.preview.about.text()
    keys.press(K.Key_Escape)
    assert hot.stack.currentWidget() is not hot.preview
    assert keys.here is hot.head.print
    hot.head.units.parts["US"].click()
    preview(qtbot, hot)
    qtbot.waitUntil(lambda: "US Letter" in hot.preview.about.text())


def test_until_its_pages_are_drawn_the_preview_says_so(qtbot, hot, monkeypatch):
    go_on, real = threading.Event(), preview_module.pages_of
    monkeypatch.setattr(preview_module, "pages_of", lambda *asked: go_on.wait(30) and real(*asked))
    hot.preview_sheet()
    qtbot.waitUntil(lambda: hot.preview.about.text() == preview_module.DRAWING)
    go_on.set()
    qtbot.waitUntil(lambda: "A4" in hot.preview.about.text())


@pytest.fixture
def studio_laser(monkeypatch):
    """Let there be one printer; the list that is returned has what it is to say of itself."""
    trouble = [""]
    monkeypatch.setattr(preview_module, "printers", lambda: [Printer("Studio laser", trouble[0])])
    return trouble


def with_printer(qtbot, page):
    keys = preview(qtbot, page)
    qtbot.waitUntil(lambda: keys.here is page.preview.print_it)
    return keys


def test_without_a_printer_only_the_pdf_is_offered(qtbot, hot, monkeypatch):
    asked = threading.Event()
    monkeypatch.setattr(preview_module, "printers", lambda: asked.set() or [])
    keys = preview(qtbot, hot)
    qtbot.waitUntil(asked.is_set)
    qtbot.wait(50)
    assert not hot.preview.print_it.isVisible()
    assert keys.here is hot.preview.pdf


def test_a_printer_that_does_not_take_the_sheet_is_said(qtbot, hot, monkeypatch, studio_laser):
    def refuse(name, paper):
        raise WorkError(f"{name} did not take the {paper.noun}; save it as PDF instead.")

    monkeypatch.setattr(preview_module, "print_on", refuse)
    with_printer(qtbot, hot).press(K.Key_Return)
    qtbot.waitUntil(lambda: hot.message.text() == "Studio laser did not take the sheet; save it as PDF instead.")
    assert hot.message.property("role") == "warning"
    qtbot.waitUntil(lambda: hot.preview.print_it.isEnabled() and hot.preview.print_it.hasFocus())


def test_a_printer_that_takes_the_sheet_is_said(qtbot, hot, monkeypatch, studio_laser):
    taken = []
    monkeypatch.setattr(preview_module, "print_on", lambda name, paper: taken.append(paper) or f"Sent to {name}.")
    with_printer(qtbot, hot).press(K.Key_Return)
    qtbot.waitUntil(lambda: hot.message.text() == "Sent to Studio laser.")
    assert hot.message.property("role") == "quiet", "what went well is no warning"
    assert (taken[0].title, taken[0].noun, taken[0].letter) == ("Three in a coupe", "sheet", False)


def test_a_paused_printer_is_said_before_anything_is_sent_to_it(qtbot, hot, studio_laser):
    studio_laser[0] = "Studio laser is paused."
    with_printer(qtbot, hot)
    assert hot.preview.trouble.text() == "Studio laser is paused."
    assert hot.preview.trouble.isVisible()


def test_printers_that_do_not_answer_are_said_and_the_pdf_stays(qtbot, hot, monkeypatch):
    monkeypatch.setattr(printing, "LOOK_S", 0.0)
    keys = preview(qtbot, hot)
    qtbot.waitUntil(lambda: hot.preview.trouble.text() == "The printers do not answer; save it as PDF instead.")
    assert keys.here is hot.preview.pdf
    assert not hot.preview.print_it.isVisible()


@needs_pdftotext
def test_what_goes_to_a_printer_is_the_sheet(qtbot, hot, tmp_path):
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "printed.pdf"))
    sheet = printed_sheet(hot.results, made_now())
    paper = Upright(sheet_pages(sheet), "sheet")
    printer.setPageLayout(paper.layout())
    assert draw_on(printer, printer.resolution(), paper)
    read = pdf_words(tmp_path / "printed.pdf")
    assert sheet.title in read
    assert all(line.what in read for line in sheet.run_sheet if len(line.what) < 30)


def test_no_dialog_is_offered_beside_a_running_session(qtbot, window, shoot):
    window.nav.go("prep")
    page = window.nav.prep
    worked(qtbot, page)
    page.open()
    assert page.bar.isVisible()
    assert not page.bar.browse.isVisible()


def test_the_command_line_opens_a_plan_and_refuses_what_is_none(tmp_path, monkeypatch, capsys):
    opened = []
    monkeypatch.setattr("studiotimer.window.app.run", lambda path, *_, **__: opened.append(path) or 0)
    assert main([str(HOT)]) == 0
    assert opened == [HOT]
    (tmp_path / "none.json").write_text("{}", encoding="utf-8")
    assert main([str(tmp_path / "none.json")]) == 2
    assert "flavours" in capsys.readouterr().err
    assert opened == [HOT]


def again(qtbot, window):
    """Close the window and open another."""
    window.close()
    window.close()
    fresh = MainWindow()
    qtbot.addWidget(fresh, before_close_func=lambda one: setattr(one.nav.prep, "_saved", one.nav.prep.draft))
    with qtbot.waitActive(fresh):
        fresh.show()
        fresh.activateWindow()
    return fresh


def test_a_plan_that_was_not_saved_is_there_again_bad_values_and_all(qtbot, window, page, tmp_path):
    write(qtbot, page, ("title",), "Precious")
    write(qtbot, page, ("room", "air"), "warm")
    fresh = again(qtbot, window)
    fresh.nav.go("prep")
    prep = fresh.nav.prep
    assert prep.draft["title"] == "Precious"
    assert prep.draft["room"]["air"] == "warm"
    assert "not saved when the window closed" in prep.message.text()
    assert prep.changed
    worked(qtbot, prep)
    assert "“warm”" in field(prep, "room", "air").message.text()
    write(qtbot, prep, ("room", "air"), "21 °C")
    prep.path = tmp_path / "kept.json"
    prep.save()
    qtbot.waitUntil((tmp_path / "kept.json").exists, timeout=20_000)
    qtbot.waitUntil(lambda: unsaved.kept() is None, timeout=20_000)


def test_a_plan_that_is_opened_leaves_the_unsaved_one_for_later(qtbot, window, page, tmp_path):
    write(qtbot, page, ("title",), "Precious")
    fresh = again(qtbot, window)
    fresh.nav.plan(HOT)
    prep = fresh.nav.prep
    assert prep.draft["title"] == "Three in a coupe"
    write(qtbot, prep, ("title",), "Another")
    prep.path = tmp_path / "another.json"
    prep.save()
    qtbot.waitUntil((tmp_path / "another.json").exists, timeout=20_000)
    assert unsaved.kept().draft["title"] == "Precious"


def test_a_plan_that_was_left_knowingly_does_not_come_back(qtbot, window, page):
    write(qtbot, page, ("title",), "Precious")
    fresh = again(qtbot, window)
    fresh.nav.go("prep")
    keys = Keys(qtbot)
    keys.press(K.Key_N, CTRL)
    assert "not saved" in fresh.nav.prep.message.text()
    assert fresh.nav.prep.draft["title"] == "Precious"
    keys.press(K.Key_N, CTRL)
    assert fresh.nav.prep.draft["title"] != "Precious"
    assert unsaved.kept() is None


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"draft": {}, "good": {}, "path": null}', '{"draft": 3}'])
def test_what_is_no_unsaved_plan_is_left_alone(qtbot, window, home, text):
    (data_folder() / unsaved.NAME).write_text(text)
    window.nav.go("prep")
    assert not window.nav.prep.changed
