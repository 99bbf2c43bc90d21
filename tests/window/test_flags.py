"""Flags and slot maps: what is on them, at the size it must have, on both papers and without colour."""

import datetime as dt
import shutil
import subprocess

import pytest
from PySide6.QtGui import QPageLayout

from studiotimer.prep.flags import flags_of
from studiotimer.prep.plan import parse_plan
from studiotimer.prep.results import results_of
from studiotimer.prep.slots import slots
from studiotimer.window.prep.flags_drawn import FLAG, HEAD, flag_pages, flags_a_page
from studiotimer.window.prep.pages import portrait
from tests.prep.plans import THREE_FLAVOURS
from tests.window.drawn import pages_pdf, pages_pictures
from tests.window.prep_helpers import field, worked, write

MADE = dt.datetime(2031, 6, 1, 12, 0, tzinfo=dt.UTC)
DOTS_A_MM = 4


@pytest.fixture(scope="module")
def results():
    ice = THREE_FLAVOURS["dry_ice"] | {"box_grid": "4 x 3", "tray_grid": "3 x 2"}
    return results_of(parse_plan(THREE_FLAVOURS | {"dry_ice": ice}))


def inner(letter):
    return portrait(letter).paintRect(QPageLayout.Unit.Point).size()


def test_there_are_flags_for_every_planned_pull_and_some_more(results):
    flagged = flags_of(results)
    assert flagged.numbers[0] == 1
    assert len(flagged.numbers) >= 1.25 * results.pulls.value
    assert [one.where for one in flagged.maps] == ["box", "tray"]
    assert flagged.maps[0].names == slots("4 x 3")
    assert "Local codes" in flagged.maps[0].cautions[0]
    assert not flagged.maps[1].cautions


def test_without_slots_or_box_there_is_no_map():
    ice = {"holding_box": False, "box_grid": "4 x 3", "tray_grid": ""}
    assert not flags_of(results_of(parse_plan(THREE_FLAVOURS | {"dry_ice": ice}))).maps


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext (poppler-utils) is not installed")
@pytest.mark.parametrize("letter", [False, True])
def test_the_pdf_has_every_number_slot_and_caution(qtbot, results, tmp_path, letter):
    flagged = flags_of(results)
    path = tmp_path / "flags.pdf"
    path.write_bytes(pages_pdf(flag_pages(flagged), MADE, letter))
    run = subprocess.run(["pdftotext", "-layout", path, "-"], check=True, capture_output=True, timeout=60)
    *pages, _ = run.stdout.decode().split("\f")
    columns, rows = flags_a_page(inner(letter))
    sheets = -(-len(flagged.numbers) // (columns * rows))
    assert len(pages) == sheets + 2
    words = " ".join(pages[:sheets]).split()
    for number in flagged.numbers:
        assert words.count(str(number)) >= 2, number
    for page, one in zip(pages[sheets:], flagged.maps, strict=True):
        assert set(one.names) <= set(page.split())
    said = " ".join(pages[sheets].split())
    for caution in ("gloves and eye protection", "sealed container", "closed car", "CO₂ monitor decides"):
        assert caution in said
    lowest = [line for line in pages[-1].splitlines() if line.split()[:1] == ["A1"]]
    assert lowest == [line for line in pages[-1].splitlines() if line.split()[:1] in (["A1"], ["A2"])][-1:]


@pytest.mark.parametrize("letter", [False, True])
def test_a_flags_number_is_large_and_nothing_leaves_the_page(qtbot, results, letter):
    flagged = flags_of(results)
    layout = portrait(letter)
    paper = layout.fullRect(QPageLayout.Unit.Millimeter)
    images = pages_pictures(flag_pages(flagged), round(paper.width() * DOTS_A_MM), letter)
    at = layout.paintRect(QPageLayout.Unit.Millimeter).topLeft()
    mm = 25.4 / 72.0
    left, top = at.x() + 2, at.y() + HEAD * mm + 1
    ink = [
        y
        for y in range(round(top * DOTS_A_MM), round((top + FLAG.height() * mm * 0.84) * DOTS_A_MM))
        for x in range(round(left * DOTS_A_MM), round((left + 26) * DOTS_A_MM))
        if images[0].pixelColor(x, y).lightness() < 60
    ]
    assert (max(ink) - min(ink)) / DOTS_A_MM > 14.0
    for image in images:
        edges = [image.pixelColor(x, y) for x in range(image.width()) for y in (8, image.height() - 8)]
        edges += [image.pixelColor(x, y) for y in range(image.height()) for x in (8, image.width() - 8)]
        assert min(colour.lightness() for colour in edges) > 250
        shown = [image.pixelColor(x, y) for x in range(0, image.width(), 5) for y in range(0, image.height(), 5)]
        assert all(colour.red() == colour.green() == colour.blue() for colour in shown)


def test_the_same_flags_give_the_same_bytes(qtbot, results):
    pages = flag_pages(flags_of(results))
    assert pages_pdf(pages, MADE) == pages_pdf(pages, MADE)


def test_prep_asks_for_the_slots_and_shows_their_map(qtbot, hot):
    write(qtbot, hot, ("dry_ice", "box_grid"), "5 x 2")
    worked(qtbot, hot)
    assert hot.results.plan.dry_ice.box_grid == "5 x 2"
    hot.preview_sheet()
    preview = hot.preview
    qtbot.waitUntil(lambda: hot.stack.currentWidget() is preview)
    preview.which.setCurrentIndex(1)
    qtbot.waitUntil(lambda: "flags and slot maps" in preview.about.text())
    shown = sum(page.isVisibleTo(preview) for page in preview.pages)
    columns, rows = flags_a_page(inner(letter=False))
    flagged = flags_of(hot.results)
    assert shown == -(-len(flagged.numbers) // (columns * rows)) + len(flagged.maps)
    assert "flags and slot maps" in preview.about.text()
    assert preview.pages[0].accessibleName().startswith("page 1 of")
    hot.leave_preview()
    write(qtbot, hot, ("dry_ice", "box_grid"), "a lot")
    qtbot.waitUntil(lambda: "no grid" in field(hot, "dry_ice", "box_grid").message.text())
    write(qtbot, hot, ("dry_ice", "box_grid"), "")
    worked(qtbot, hot)
    assert hot.results.plan.dry_ice.box_grid == ""
