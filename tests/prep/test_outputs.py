from __future__ import annotations

import csv
import datetime as dt
import io
import json

import icalendar
import pytest
import vobject

from studiotimer.prep.outputs import files_of, made_now
from studiotimer.prep.plan import parse_plan
from studiotimer.prep.results import Results, results_of
from studiotimer.prep.shopping import COLUMNS, harmless
from tests.prep.plans import THREE_FLAVOURS

MADE = dt.datetime(2031, 6, 1, 12, 0, tzinfo=dt.UTC)


@pytest.fixture(scope="module")
def three() -> Results:
    return results_of(parse_plan(THREE_FLAVOURS))


def test_the_calendar_reads_back_in_its_library(three: Results) -> None:
    calendar = icalendar.Calendar.from_ical(files_of(three, MADE)["run_sheet.ics"])
    events = list(calendar.walk("VEVENT"))
    assert [(str(each["summary"]), each["dtstart"].dt) for each in events] == [
        (event.what, event.at) for event in three.run_sheet
    ]
    assert len({str(each["uid"]) for each in events}) == len(events)
    assert {each["dtstamp"].dt for each in events} == {MADE}


def test_the_calendar_reads_back_in_a_second_parser(three: Results) -> None:
    calendar = vobject.readOne(files_of(three, MADE)["run_sheet.ics"].decode("utf-8"))
    read = [(each.summary.value, each.dtstart.value, each.dtend.value) for each in calendar.vevent_list]
    assert [each[:2] for each in read] == [(event.what, event.at) for event in three.run_sheet]
    assert all(end > start for _, start, end in read)


def test_a_time_zone_is_told_when_the_plan_has_one() -> None:
    results = results_of(parse_plan(THREE_FLAVOURS | {"timezone": "Europe/Paris"}))
    data = files_of(results, MADE)["run_sheet.ics"]
    assert b"BEGIN:VTIMEZONE" in data
    start = next(iter(icalendar.Calendar.from_ical(data).walk("VEVENT")))["dtstart"].dt
    assert start.utcoffset() == dt.timedelta(hours=2)


def test_an_event_keeps_its_name_when_the_plan_changes(three: Results) -> None:
    warmer = THREE_FLAVOURS | {"call_time": "10:00", "freezer": "-14 °C"}
    other = results_of(parse_plan(warmer))
    names = [
        [str(each["uid"]) for each in icalendar.Calendar.from_ical(files_of(one, MADE)["run_sheet.ics"]).walk("VEVENT")]
        for one in (three, other)
    ]
    assert names[0][0] == names[1][0]


def test_the_shopping_list_names_product_and_dry_ice(three: Results) -> None:
    rows = list(csv.DictReader(io.StringIO(files_of(three, MADE)["shopping.csv"].decode("utf-8"))))
    assert tuple(rows[0]) == COLUMNS
    assert [row["item"] for row in rows] == [
        "Pistachio (superpremium)", "Hazelnut (gelato)", "Lemon (sorbet)", "dry ice, slab", "CO₂ monitor with an alarm",
    ]  # fmt: skip
    assert rows[0]["quantity"] == str(three.products[0].tubs.value)
    assert rows[0]["unit"] == "10 L pan"
    assert three.ice is not None
    assert f"{rows[3]['quantity']} {rows[3]['unit']}" == three.ice.buy.text
    assert "sealed container" in rows[3]["note"]


@pytest.mark.parametrize("cell", ["=1+1", "+1", "-1", "@x", "\t=1", "\r=1", "  =1"])
def test_no_cell_is_taken_for_a_formula(cell: str) -> None:
    assert harmless(cell) == f"'{cell}"
    assert harmless("Lemon = sour") == "Lemon = sour"


def test_a_flavour_named_like_a_formula_is_harmless() -> None:
    text = json.dumps(THREE_FLAVOURS).replace("Pistachio", "=HYPERLINK(1)")
    results = results_of(parse_plan(json.loads(text)))
    rows = list(csv.reader(io.StringIO(files_of(results, MADE)["shopping.csv"].decode("utf-8"))))
    assert rows[1][0].startswith("'=HYPERLINK(1)")
    assert not any(cell.startswith(("=", "+", "-", "@")) for row in rows for cell in row)


def test_the_plan_written_is_the_plan_read(three: Results) -> None:
    assert parse_plan(json.loads(files_of(three, MADE)["plan.json"])) == three.plan


def test_the_date_made_can_be_fixed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1000000000")
    assert made_now() == dt.datetime(2001, 9, 9, 1, 46, 40, tzinfo=dt.UTC)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "soon")
    assert abs(made_now() - dt.datetime.now(dt.UTC)) < dt.timedelta(seconds=5)
