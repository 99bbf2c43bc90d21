from __future__ import annotations

import dataclasses
import datetime as dt
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from PySide6.QtGui import QPageLayout
from pytestqt.qtbot import QtBot

from studiotimer.prep.plan import parse_plan
from studiotimer.prep.printed import Line, Printed, printed_sheet
from studiotimer.prep.results import results_of
from studiotimer.window.prep.pages import portrait
from studiotimer.window.prep.sheet import SIZES_PT, _document, pdf_bytes, pictures, write_pdf
from tests.prep.plans import CALM, THREE_FLAVOURS

MADE = dt.datetime(2031, 6, 1, 12, 0, tzinfo=dt.UTC)


@pytest.fixture(scope="module")
def sheet() -> Printed:
    return printed_sheet(results_of(parse_plan(THREE_FLAVOURS)), MADE)


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext (poppler-utils) is not installed")
def test_the_pdf_reads_back_whole(qtbot: QtBot, sheet: Printed, tmp_path: Path) -> None:
    write_pdf(sheet, tmp_path / "sheet.pdf", MADE)
    run = subprocess.run(
        ["pdftotext", "-layout", tmp_path / "sheet.pdf", "-"], check=True, capture_output=True, timeout=60
    )
    read = " ".join(run.stdout.decode("utf-8").split())
    wanted = [sheet.title, sheet.subtitle, sheet.footer, *(fact.figure for fact in sheet.facts)]
    wanted += [cell for table in sheet.tables for row in table.rows for cell in row[:1]]
    wanted += [f"{line.time} {line.what}"[:24] for line in sheet.run_sheet]
    wanted += ["Estimated CO₂", "low places: the gas", *(who for who, _ in sheet.lists)]
    for text in wanted:
        assert text in read, text
    assert run.stdout.count(b"\f") == 1


def test_the_same_sheet_gives_the_same_bytes(qtbot: QtBot, sheet: Printed) -> None:
    first = pdf_bytes(sheet, MADE)
    assert pdf_bytes(sheet, MADE) == first
    stamps = set(re.findall(rb"\(D:(\d{14})", first)) | set(re.findall(rb'Date="([^"]+)"', first))
    assert stamps == {b"20310601120000", b"2031-06-01T12:00:00+00:00"}


def test_the_preview_is_the_page(qtbot: QtBot, sheet: Printed) -> None:
    (image,) = pictures(sheet, 595)
    assert (image.width(), image.height()) == (595, 842)
    dark = sum(image.pixelColor(x, y).lightness() < 128 for x in range(0, 595, 2) for y in range(0, 842, 2))
    assert 0.005 < dark / (298 * 421) < 0.25
    margin = [image.pixelColor(x, y).lightness() for x in range(0, 595, 3) for y in (5, 836)]
    assert min(margin) > 250


def test_a_long_sheet_goes_on_a_second_page(qtbot: QtBot, sheet: Printed) -> None:
    long = dataclasses.replace(sheet, run_sheet=tuple(Line("09:00", f"Shot {n}", "all", "a note") for n in range(120)))
    assert len(pictures(long, 300)) > 1
    assert pdf_bytes(long, MADE).count(b"/Type /Page\n") == len(pictures(long, 300))


def test_us_paper(qtbot: QtBot, sheet: Printed) -> None:
    (image,) = pictures(sheet, 612, letter=True)
    assert image.height() == 792


def test_what_a_person_wrote_is_text_and_not_markup(qtbot: QtBot) -> None:
    plan = parse_plan(CALM | {"title": "<b>Bold</b> & <img src='x'>"})
    sheet = printed_sheet(results_of(plan), MADE)
    assert sheet.title == "<b>Bold</b> & <img src='x'>"
    assert len(pdf_bytes(sheet, MADE)) > 1000
    assert not sheet.cautions


def size_of(sheet: Printed) -> float:
    inner = portrait(letter=False).paintRect(QPageLayout.Unit.Point).size()
    found = re.search(r"p \{ color: \S+; font-size: ([\d.]+)px", _document(sheet, inner).defaultStyleSheet())
    assert found is not None
    return float(found[1])


def test_the_type_is_as_large_as_the_page_allows(qtbot: QtBot) -> None:
    sheet = printed_sheet(results_of(parse_plan(CALM)), MADE)
    sizes = []
    for count in (1, 30, 45, 60, 120):
        lines = tuple(Line("09:00", f"Shot {n}", "all", "") for n in range(count))
        sizes.append(size_of(dataclasses.replace(sheet, run_sheet=lines, lists=())))
    assert sizes[0] == SIZES_PT[0]
    assert sizes[-1] == SIZES_PT[-1]
    assert sizes == sorted(sizes, reverse=True)
    assert len(set(sizes)) > 2
