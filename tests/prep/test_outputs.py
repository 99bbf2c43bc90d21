from __future__ import annotations

import csv
import datetime as dt
import email
import email.policy
import io
import json

import icalendar
import pytest
import vobject

from studiotimer.prep.cautions import DRY_ICE
from studiotimer.prep.messages import messages_of
from studiotimer.prep.outputs import files_of, made_now
from studiotimer.prep.plan import parse_plan
from studiotimer.prep.results import Results, results_of
from studiotimer.prep.shopping import COLUMNS, harmless
from tests.prep.plans import CALM, THREE_FLAVOURS, WHOLE_JOB

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
    assert abs(made_now() - dt.datetime.now(dt.UTC)) < dt.timedelta(seconds=90)


@pytest.fixture(scope="module")
def whole() -> Results:
    return results_of(parse_plan(WHOLE_JOB), "US")


def test_what_must_be_got_ready_for_has_an_alarm_before_it(whole: Results) -> None:
    data = files_of(whole, MADE)["run_sheet.ics"]
    events = list(icalendar.Calendar.from_ical(data).walk("VEVENT"))
    alarms = {str(event["summary"]): [alarm["trigger"].dt for alarm in event.walk("VALARM")] for event in events}
    assert alarms["Call time"] == [dt.timedelta(hours=-1)]
    assert alarms["Dry ice fetched"] == [dt.timedelta(hours=-1)]
    assert alarms["Coupe: 2 groups of 3 heroes"] == [dt.timedelta(minutes=-10)]
    assert alarms["Wrap"] == []
    assert {str(event["location"]) for event in events} == {"Quay 4, 4 Invented Quay, Chicago"}
    read = vobject.readOne(data.decode("utf-8"))
    assert sum(hasattr(each, "valarm") for each in read.vevent_list) == sum(map(bool, alarms.values()))


def test_messages_say_what_how_much_when_and_what_the_studio_must_have(whole: Results) -> None:
    client, photographer, supplier = messages_of(whole)
    for part in ("9 × 10 L pan (Pistachio 3, Hazelnut 3, Lemon 3)", "At 0 °F or colder", "Fri 13 Jun, 07:00 to 07:30",
                 "at the latest Fri 13 Jun, 08:00", "your approval about 09:55", "a socket on a circuit of its own",
                 "Ventilation that runs", "A CO₂ monitor with an alarm", "9 cartons"):  # fmt: skip
        assert part in client.text, part
    assert client.email == "noor@orchard.example"
    for part in ("locked by 09:30", "2 takes of 8 frames", "daylight until 20:26", "incident meter"):
        assert part in photographer.text, part
    for part in ("5 blocks of 10 lb, 50 lb", "We fetch it Sat 14 Jun, 06:30", "lb to be lost until then", "Tue 10 Jun 2031",
                 "safety data sheet", "never in a closed car"):  # fmt: skip
        assert part in supplier.text, part
    assert supplier.name == "Carbo Nord"
    for message in (client, photographer, supplier):
        assert DRY_ICE in message.text, message.to


def test_without_dry_ice_the_supplier_is_that_of_the_product() -> None:
    messages = messages_of(results_of(parse_plan(CALM)))
    assert "Vanilla (premium): 2 × three gallon tub" in messages[2].text
    assert not any("ry ice" in message.text for message in messages)


def test_a_message_is_mail_that_reads_back(whole: Results) -> None:
    """Read back by the standard library's own parser (RFC 5322, RFC 2045)."""
    for message in messages_of(whole):
        data = message.eml(MADE)
        assert message.eml(MADE) == data
        mail = email.message_from_bytes(data, policy=email.policy.default)
        assert mail["Subject"] == message.subject
        assert mail["Date"].datetime == MADE
        assert mail.get_content().replace("\r\n", "\n") == message.body
        assert not mail.defects
        assert max(map(len, data.split(b"\r\n"))) <= 998
    assert email.message_from_bytes(messages_of(whole)[0].eml(MADE))["To"] == "Noor <noor@orchard.example>"


@pytest.mark.parametrize("address", ["no address", "a@b, c@d", "x@y>", ""])
def test_what_is_no_address_is_left_out_of_a_mail(address: str) -> None:
    people = [{"role": "client", "name": 'Noor, "the" <boss>', "email": address}]
    client = messages_of(results_of(parse_plan(WHOLE_JOB | {"people": people, "title": "Café é=?utf-8?"})))[0]
    mail = email.message_from_bytes(client.eml(MADE), policy=email.policy.default)
    assert mail["To"] is None
    assert mail["Subject"] == client.subject


def test_messages_are_among_the_files(whole: Results) -> None:
    files = files_of(whole, MADE)
    for message in messages_of(whole):
        assert files[message.file_name].decode("utf-8") == message.text


def test_sauce_and_who_sells_what_are_on_the_shopping_list(whole: Results) -> None:
    rows = list(csv.DictReader(io.StringIO(files_of(whole, MADE)["shopping.csv"].decode("utf-8"))))
    by_item = {row["item"]: row for row in rows}
    assert (by_item["wafer"]["quantity"], by_item["wafer"]["unit"]) == ("11", "wafer")
    assert (by_item["cherry sauce"]["quantity"], by_item["cherry sauce"]["unit"]) == ("6", "fl oz")
    ice = by_item["dry ice, slab"]
    assert (ice["quantity"], ice["unit"], ice["from"]) == ("5", "blocks of 10 lb, 50 lb", "Carbo Nord, 555 0142")
    assert (ice["order by"], ice["needed by"]) == ("2031-06-10", "2031-06-14 06:30")
    assert "spare tub" in by_item["Lemon (sorbet)"]["note"]
