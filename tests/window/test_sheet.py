from __future__ import annotations

import dataclasses
import datetime as dt
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from PySide6.QtCore import QSizeF
from PySide6.QtGui import QPageLayout
from pytestqt.qtbot import QtBot

from studiotimer.places import demo_sessions
from studiotimer.prep.loading import load_plan
from studiotimer.prep.plan import parse_plan
from studiotimer.prep.printed import Line, Printed, printed_sheet
from studiotimer.prep.results import results_of
from studiotimer.window.prep.pages import portrait
from studiotimer.window.prep.sheet import FOOT_PT, SIZES_PT, _parts
from tests.prep.plans import CALM, THREE_FLAVOURS, WHOLE_JOB
from tests.window.drawn import sheet_pdf, sheet_pictures

MADE = dt.datetime(2031, 6, 1, 12, 0, tzinfo=dt.UTC)


@pytest.fixture(scope="module")
def sheet() -> Printed:
    return printed_sheet(results_of(parse_plan(THREE_FLAVOURS)), MADE)


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext (poppler-utils) is not installed")
def test_the_pdf_reads_back_whole(qtbot: QtBot, sheet: Printed, tmp_path: Path) -> None:
    (tmp_path / "sheet.pdf").write_bytes(sheet_pdf(sheet, MADE))
    run = subprocess.run(
        ["pdftotext", "-layout", tmp_path / "sheet.pdf", "-"], check=True, capture_output=True, timeout=60
    )
    read = " ".join(run.stdout.decode("utf-8").split())
    wanted = [sheet.title, sheet.subtitle, sheet.footer, sheet.call, *(fact.figure for fact in sheet.facts)]
    wanted += [cell for table in sheet.tables for row in table.rows for cell in row[:1]]
    wanted += [f"{line.time} {line.what}"[:24] for line in sheet.run_sheet]
    wanted += [line.day for line in sheet.run_sheet if line.day]
    wanted += ["Estimated CO₂", "low places: the gas", *(one.who for one in sheet.lists)]
    wanted += [card.title for card in sheet.cards]
    wanted += ["Pistachio", "left", "☐", "_______ at _______"]
    for text in wanted:
        assert " ".join(text.split()) in read, text
    pages = run.stdout.count(b"\f")
    assert f"{pages} of {pages}" in read


def test_people_phones_place_and_blanks_are_on_the_whole_sheet() -> None:
    sheet = printed_sheet(results_of(parse_plan(WHOLE_JOB), "US"), MADE)
    assert sheet.facts[0].figure == "Quay 4, 4 Invented Quay"
    assert ("Stylist, Ines", "555 0117") in [(one.who, one.phone) for one in sheet.lists]
    assert ("Client, Noor", "noor@orchard.example") in [(one.who, one.phone) for one in sheet.lists]
    said = " ".join(line.what for line in sheet.run_sheet)
    assert "Freezers read: freezer 1 _______ °F, freezer 2 _______ °F" in said
    assert "damage noted: _______ °F, _______ cartons" in said
    assert "Dry ice fetched, weighed: _______ lb" in said
    assert sheet.run_sheet[0].day == "Thursday 12 June 2031"
    assert "sunrise 05:15" in " ".join(line.day_note for line in sheet.run_sheet)
    order = sheet.tables[0]
    assert (
        "dry ice, slab",
        "5 blocks of 10 lb, 50 lb",
        "Carbo Nord, 555 0142",
        "Tue 10 June",
        "Sat 06:30",
    ) in order.rows
    assert sheet.cards[0].steps[0] == ("cherry sauce at 68 °F, 15 ml a scoop, 0:08", "stylist")
    assert sheet.cards[0].spots == (("left", "Pistachio"), ("middle", "Hazelnut"), ("right", "Lemon"))


def test_no_top_up_is_under_what_a_hand_can_measure() -> None:
    """A tenth of a kilogram, the least that is worth a walk (own rule)."""
    results = results_of(parse_plan(WHOLE_JOB))
    assert results.ice is not None
    assert min(charge.mass_kg for charge in results.ice.charges) >= 0.1
    told = [line.what for line in printed_sheet(results, MADE).run_sheet if line.what.startswith("Top-up")]
    assert told
    assert min(float(each.split(", ")[1].removesuffix(" g")) for each in told) >= 100.0


def test_it_prints_in_grey(qtbot: QtBot, sheet: Printed) -> None:
    """Text on the sand bars keeps 4.5:1 when both are printed in grey (WCAG 2.2, 1.4.3, by relative luminance)."""

    def luminance(colour: str) -> float:
        parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
        red, green, blue = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    from studiotimer.window.prep import sheet as drawn

    for colour in (drawn.INK, drawn.QUIET, drawn.CAUTION, drawn.BAD):
        assert (luminance(drawn.SAND) + 0.05) / (luminance(colour) + 0.05) >= 4.5, colour


def test_the_same_sheet_gives_the_same_bytes(qtbot: QtBot, sheet: Printed) -> None:
    first = sheet_pdf(sheet, MADE)
    assert sheet_pdf(sheet, MADE) == first
    stamps = set(re.findall(rb"\(D:(\d{14})", first)) | set(re.findall(rb'Date="([^"]+)"', first))
    assert stamps == {b"20310601120000", b"2031-06-01T12:00:00+00:00"}


def test_the_preview_is_the_page(qtbot: QtBot, sheet: Printed) -> None:
    image = sheet_pictures(sheet, 595)[0]
    assert (image.width(), image.height()) == (595, 842)
    dark = sum(image.pixelColor(x, y).lightness() < 128 for x in range(0, 595, 2) for y in range(0, 842, 2))
    assert 0.005 < dark / (298 * 421) < 0.25
    margin = [image.pixelColor(x, y).lightness() for x in range(0, 595, 3) for y in (5, 836)]
    assert min(margin) > 250


def test_the_cards_begin_a_page(qtbot: QtBot, sheet: Printed) -> None:
    without = dataclasses.replace(sheet, cards=())
    assert len(sheet_pictures(sheet, 300)) == len(sheet_pictures(without, 300)) >= 2, (
        "the page of the cards is there either way"
    )
    many = dataclasses.replace(sheet, cards=sheet.cards * 8)
    assert len(sheet_pictures(many, 300)) > len(sheet_pictures(sheet, 300))


def pages_of_parts(sheet: Printed, letter: bool) -> list[int]:
    inner = portrait(letter).paintRect(QPageLayout.Unit.Point).size()
    return [part.pageCount() for part in _parts(sheet, QSizeF(inner.width(), inner.height() - FOOT_PT))]


def test_a_short_day_takes_two_pages_and_one_of_six_shots_four_with_none_cut(qtbot: QtBot) -> None:
    """The day, what it takes, a card a shot: what the third demo has goes on over the foot of its pages."""
    short, full = (load_plan(demo_sessions() / name / "plan.json") for name in ("calm_led", "three_gallon"))
    assert pages_of_parts(printed_sheet(results_of(short), MADE), letter=False) == [1, 1]
    assert pages_of_parts(printed_sheet(results_of(full, "US"), MADE), letter=True) == [2, 2]


def test_a_long_sheet_goes_on_a_second_page(qtbot: QtBot, sheet: Printed) -> None:
    long = dataclasses.replace(sheet, run_sheet=tuple(Line("09:00", f"Shot {n}", "all", "a note") for n in range(120)))
    assert len(sheet_pictures(long, 300)) > len(sheet_pictures(sheet, 300))
    assert sheet_pdf(long, MADE).count(b"/Type /Page\n") == len(sheet_pictures(long, 300))


def test_us_paper(qtbot: QtBot, sheet: Printed) -> None:
    assert {image.height() for image in sheet_pictures(sheet, 612, letter=True)} == {792}


def test_what_a_person_wrote_is_text_and_not_markup(qtbot: QtBot) -> None:
    plan = parse_plan(CALM | {"title": "<b>Bold</b> & <img src='x'>"})
    sheet = printed_sheet(results_of(plan), MADE)
    assert sheet.title == "<b>Bold</b> & <img src='x'>"
    assert len(sheet_pdf(sheet, MADE)) > 1000
    assert not sheet.cautions


def size_of(sheet: Printed) -> float:
    inner = portrait(letter=False).paintRect(QPageLayout.Unit.Point).size()
    found = re.search(r"p \{ color: \S+; font-size: ([\d.]+)px", _parts(sheet, inner)[0].defaultStyleSheet())
    assert found is not None
    return float(found[1])


def test_no_body_is_under_nine_and_a_half_points_and_it_is_as_large_as_its_pages_allow(qtbot: QtBot) -> None:
    sheet = printed_sheet(results_of(parse_plan(CALM)), MADE)
    sizes = []
    for count in range(1, 130, 8):
        lines = tuple(Line("09:00", f"Shot {n}", "all", "") for n in range(count))
        sizes.append(size_of(dataclasses.replace(sheet, run_sheet=lines, lists=())))
    assert sizes[0] == SIZES_PT[0]
    assert min(sizes) >= 9.5
    assert len(set(sizes)) > 1
