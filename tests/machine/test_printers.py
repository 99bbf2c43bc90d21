"""The sheet and the report on a real print server: sent, read back from what came out, and a printer that does not print."""

import os

import pytest

from studiotimer.errors import WorkError
from studiotimer.units import show_in
from studiotimer.window import printing
from studiotimer.window.printing import Printer, print_on, printers
from tests.machine.printers import NAME, needs_print_server, papers, print_server, size_of, words_of

pytestmark = needs_print_server


@pytest.fixture(scope="module")
def both():
    return {units: papers(units) for units in ("metric", "US")}


@pytest.fixture
def server(monkeypatch):
    with print_server() as one:
        monkeypatch.setitem(os.environ, "CUPS_SERVER", one.environment["CUPS_SERVER"])
        monkeypatch.setattr(printing, "LOOK_S", 90.0)
        monkeypatch.setattr(printing, "PRINT_S", 90.0)
        yield one


@pytest.fixture
def shown_in_us():
    show_in("US")
    yield
    show_in("metric")


def test_sheet_and_report_come_out_as_they_are_on_the_screen(server, both):
    sheet, report = both["metric"]
    assert printers() == [Printer(NAME)]
    assert print_on(NAME, sheet) == print_on(NAME, report) == f"Sent to {NAME}."
    first, second = server.printed(2)
    assert size_of(first) == (595, 842)
    assert size_of(second) == (842, 595)
    on_sheet, on_report = words_of(first), words_of(second)
    for what in ("Test pulls, good pulls counted", "Dry ice on set, ", "Top-up, ", "Call time"):
        assert what in on_sheet, what
    assert sheet.title in on_sheet
    assert "°C" in on_sheet
    assert " kg" in on_sheet
    assert "Never shut dry ice in a sealed container" in " ".join(on_sheet.split())
    for table in report.content.tables:
        assert table.title in on_report, table.title
    assert all(row[0] in on_report for row in report.content.tables[0].rows)
    assert "8.0 kg in all; planned 5 kg" in on_report


def test_us_paper_and_units_throughout(server, both, shown_in_us):
    sheet, report = both["US"]
    print_on(NAME, sheet)
    print_on(NAME, report)
    first, second = server.printed(2)
    assert (size_of(first), size_of(second)) == ((612, 792), (792, 612))
    on_sheet, on_report = words_of(first), words_of(second)
    assert "75 °F" in on_sheet
    assert " lb" in on_sheet
    assert "17.6 lb in all; planned 11 lb" in on_report
    assert "cools the set by 0.18 °F, was 0.27 °F" in on_report
    for text in (on_sheet, on_report):
        plain = " ".join(text.split()).replace("at −78.5 °C (−109 °F)", "")
        for metric in (" kg", "°C", "m³", " mm", " K a watt"):
            assert metric not in plain, plain[max(plain.find(metric) - 40, 0) :][:80]


def test_a_paused_printer_is_said_and_prints_what_waited(server, both):
    sheet, _ = both["metric"]
    server.do("cupsdisable", NAME)
    paused = f"{NAME} is paused or stopped: what it is given waits until it goes on, or save it as PDF instead."
    assert printers() == [Printer(NAME, paused)]
    assert print_on(NAME, sheet) == f"{NAME} is paused or stopped: the sheet waits there until it goes on."
    assert list(server.out.iterdir()) == []
    server.do("cupsdisable", "-r", "out of paper", NAME)
    assert printers()[0].trouble.startswith(f"{NAME} is paused or stopped (out of paper): ")
    server.do("cupsenable", NAME)
    server.printed(1)
    assert printers() == [Printer(NAME)]


def test_a_printer_that_takes_nothing_is_said_and_given_nothing(server, both):
    sheet, _ = both["metric"]
    server.do("cupsreject", "-r", "moving house", NAME)
    refused = f"{NAME} takes nothing (moving house); choose another printer, or save it as PDF instead."
    assert printers() == [Printer(NAME, refused)]
    with pytest.raises(WorkError, match=r"^Studio takes nothing \(moving house\); choose another printer"):
        print_on(NAME, sheet)
    server.do("cupsaccept", NAME)
    assert server.ask("lpstat", "-o").stdout == ""


def test_a_printer_that_is_gone_is_said(server, both):
    server.do("lpadmin", "-x", NAME)
    assert printers() == []
    with pytest.raises(WorkError, match=r"^Studio is not there any more; choose another printer, or save it as PDF"):
        print_on(NAME, both["metric"][0])


@pytest.mark.fault("a print server that hangs")
def test_a_print_server_that_hangs_is_given_up(server, both, monkeypatch):
    monkeypatch.setattr(printing, "LOOK_S", 4.0)
    monkeypatch.setattr(printing, "PRINT_S", 4.0)
    with server.hanging():
        for deed in (printers, lambda: print_on(NAME, both["metric"][0])):
            with pytest.raises(WorkError, match=r"^The printers do not answer; save it as PDF instead\.$"):
                deed()
