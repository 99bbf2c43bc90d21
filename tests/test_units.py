"""What is typed and what it becomes: one table for screen, files and command line (`python -m tests.test_units`)."""

import datetime as dt
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studiotimer import units
from studiotimer.cli.calls import _number as number_called
from studiotimer.lamps import parse_light
from studiotimer.units import Question, Refused, UnitError, Value, long_duration
from studiotimer.units.quantities import UNITS

WIDTH = units.LENGTH._replace(low=0.01, high=0.3, open_low=False)
EITHER = "metric US"

TYPED = [
    # typed, asked, units shown, what it becomes: a value in SI and the text that keeps it; a question; or a refusal
    ("22", units.WARMTH, "metric", (22.0, "22 °C")),
    ("68", units.WARMTH, "US", (20.0, "68 °F")),
    ("68", units.WARMTH, "metric", "68 °C? F makes it °F"),
    ("68 degrees", units.WARMTH, "US", (20.0, "68 °F")),
    ("68 degrees", units.WARMTH, "metric", "68 °C? F makes it °F"),
    ("68 degrees F", units.WARMTH, "metric", (20.0, "68 °F")),
    ("68f", units.WARMTH, "metric", (20.0, "68 °F")),
    ("20C", units.WARMTH, EITHER, (20.0, "20 °C")),
    ("20 °", units.WARMTH, "metric", (20.0, "20 °C")),
    ("22", units.WARMTH, "US", "22 °F? C makes it °C; Enter keeps °F"),
    ("0", units.FREEZER, "metric", "0 °C? F makes it °F; Enter keeps °C"),
    ("0", units.FREEZER, "US", (-17.7778, "0 °F")),
    ("-18", units.FREEZER, "metric", (-18.0, "-18 °C")),
    ("−18 °C", units.FREEZER, EITHER, (-18.0, "-18 °C")),
    ("-109 F", units.BOX, EITHER, (-78.3333, "-109 °F")),
    ("295 K", units.WARMTH, EITHER, (21.85, "295 K")),
    ("200C", units.WARMTH, EITHER, "200 °C is not possible; give −80 to 60 °C"),
    ("300 F", units.WARMTH, EITHER, "300 °F is not possible; give −112 to 140 °F"),
    ("-300", units.WARMTH, "metric", "−300 °C is not possible; give −80 to 60 °C"),
    ("warm", units.WARMTH, EITHER, "“warm” is not a number with a unit; write 22 °C or 72 °F"),
    ("22 kg", units.WARMTH, EITHER, "“22 kg” is not a temperature; write 22 °C or 72 °F"),
    ("", units.WARMTH, EITHER, "nothing is written; write 22 °C or 72 °F"),
    ("65", WIDTH, "metric", (0.065, "65 mm")),
    ("2.5", WIDTH, "US", (0.0635, "2.5 in")),
    ("2.5", WIDTH, "metric", "2.5 mm? I makes it in"),
    ("65", WIDTH, "US", "65 in? M makes it mm"),
    ('2 1/2"', WIDTH, EITHER, (0.0635, "2 1/2 in")),
    ("6,5 cm", WIDTH, EITHER, (0.065, "6,5 cm")),
    ("0 mm", units.LENGTH, "metric", "0 mm is not possible; give more than 0, up to 100,000 mm"),
    ("2 lb", units.MASS, EITHER, (0.907185, "2 lb")),
    ("1/2 lb", units.MASS, EITHER, (0.226796, "1/2 lb")),
    ("½", units.MASS, "US", (0.226796, "½ lb")),
    ("2 lb 4 oz", units.MASS, EITHER, (1.020583, "2 lb 4 oz")),
    ("1,5", units.MASS, "metric", (1.5, "1,5 kg")),
    ("80 g", units.MASS, EITHER, (0.08, "80 g")),
    ("1/0 kg", units.MASS, EITHER, "“1/0 kg” is not a number; write 2 kg or 5 lb"),
    ("3 gal", units.VOLUME, EITHER, (0.0113562, "3 gal")),
    ("7,000 ft3", units.VOLUME, EITHER, (198.2179, "7,000 ft³")),
    ("200", units.VOLUME, "metric", (200.0, "200 m³")),
    ("5", units.TIME, EITHER, (5.0, "5 s")),
    ("0:45", units.TIME, EITHER, (45.0, "0:45")),
    ("1:02:09", units.TIME, EITHER, (3729.0, "1:02:09")),
    ("1:75", units.TIME, EITHER, "“1:75” is not a time; write 3:25, 75 s or 4 min"),
    ("3 min", units.TIME, EITHER, (180.0, "3 min")),
    ("1 h 30 min", units.TIME, EITHER, (5400.0, "1 h 30 min")),
    ("20", units.MINUTES, EITHER, (1200.0, "20 min")),
    ("12", units.HOURS, EITHER, (43200.0, "12 h")),
    ("1:30", units.HOURS, EITHER, "“1:30” could be hours or minutes; write 1 h 30 min"),
    ("45", units.PERCENT, EITHER, (0.45, "45 %")),
    ("145 %", units.PERCENT, EITHER, "145 % is not possible; give 0 to 100 %"),
    ("EV 12", units.ILLUMINANCE, EITHER, (10240.0, "EV 12")),
    ("12 ev", units.ILLUMINANCE, EITHER, (10240.0, "EV 12")),
    ("6,000 lx", units.ILLUMINANCE, EITHER, (6000.0, "6,000 lx")),
    ("500 fc", units.ILLUMINANCE, EITHER, (5381.955, "500 fc")),
    ("EV 40", units.ILLUMINANCE, EITHER, "EV 40 is not possible; give EV −10 to 16"),
    ("1,240 ppm", units.CO2, EITHER, (1240.0, "1,240 ppm")),
    ("1240", units.CO2, EITHER, (1240.0, "1240 ppm")),
    ("5 lb/day", units.MASS_RATE, EITHER, (2.62495e-5, "5 lb/day")),
    ("0.5", units.MASS_RATE, "metric", (1.388889e-4, "0.5 kg/h")),
    ("2", units.CHANGES, EITHER, (5.555556e-4, "2/h")),
    ("7am", units.time_of_day, EITHER, dt.time(7)),
    ("7:00", units.time_of_day, EITHER, dt.time(7)),
    ("7.30 p.m.", units.time_of_day, EITHER, dt.time(19, 30)),
    ("25:00", units.time_of_day, EITHER, "“25:00” is not a time of day; write 7:00, 7am or 19:30"),
    ("12/3/2026", units.date_of, "metric", dt.date(2026, 3, 12)),
    ("12/3/2026", units.date_of, "US", dt.date(2026, 12, 3)),
    ("12/3/2026", units.date_of, "", "“12/3/2026” can be 12 Mar 2026 or 3 Dec 2026; write it like 2026-03-12"),
    ("3 Dec 2026", units.date_of, EITHER, dt.date(2026, 12, 3)),
    ("31/2/2026", units.date_of, EITHER, "“31/2/2026” is not a date; write 2026-06-14 or 14 Jun 2026"),
    ("20:12:19", units.moment, "", units.At(dt.time(20, 12, 19))),
    ("15 s earlier", units.moment, "", units.Shift(-15.0)),
    ("2 min ago", units.moment, "", units.Ago(120.0)),
]  # fmt: skip


def became(typed, asked, style):
    """Return what a typed text becomes: (value, text), a time, or the sentence that asks or refuses."""
    if not isinstance(asked, units.Quantity):
        try:
            return asked(typed, style) if asked is units.date_of else asked(typed)
        except UnitError as error:
            return str(error).partition(": ")[2]
    read = units.understood(typed, asked, style)
    return (read.number, read.text) if isinstance(read, Value) else read.sentence


def name_of(asked):
    return asked.name if isinstance(asked, units.Quantity) else asked.__name__


@pytest.mark.parametrize(
    ("typed", "asked", "style", "wanted"),
    [(typed, asked, style, wanted) for typed, asked, styles, wanted in TYPED for style in styles.split() or [None]],
    ids=lambda value: value if isinstance(value, str) else None,
)
def test_what_is_typed_becomes(typed, asked, style, wanted):
    found = became(typed, asked, style)
    if isinstance(wanted, tuple) and not isinstance(wanted, str):
        assert found == (pytest.approx(wanted[0], rel=1e-5), wanted[1])
    else:
        assert found == wanted


def test_the_table_has_sixty():
    assert len(TYPED) >= 60


def test_a_question_gives_what_the_one_key_would_and_nothing_by_itself():
    read = units.understood("68", units.WARMTH, "metric")
    assert isinstance(read, Question)
    assert (read.key, read.kept, read.instead.text) == ("F", None, "68 °F")
    assert read.instead.number == pytest.approx(20.0)
    assert units.understood("68" + read.key, units.WARMTH, "metric") == read.instead
    with pytest.raises(UnitError, match=re.escape("room: 68 °C? F makes it °F")):
        units.parse("68", units.WARMTH, "room", "metric")
    possible = units.understood("0", units.FREEZER, "metric")
    assert isinstance(possible, Question)
    assert possible.kept is not None
    assert possible.kept.number == 0.0


def test_without_units_shown_a_number_needs_its_own():
    assert units.understood("68", units.WARMTH) == Refused("“68” has no unit; write 22 °C or 72 °F")
    assert units.understood("5", units.TIME) == Value(5.0, "5 s", None, True)


@given(st.floats(-300, 300).map(lambda number: round(number, 1)), st.sampled_from(["metric", "US"]))
def test_a_bare_number_is_never_taken_for_the_other_system(number, style):
    read = units.understood(f"{number}", units.WARMTH, style)
    value = read if isinstance(read, Value) else read.kept if isinstance(read, Question) else None
    if value is not None:
        assert value.number == pytest.approx(number if style == "metric" else (number - 32) * 5 / 9, abs=1e-9)


@pytest.mark.parametrize("style", ["metric", "US"])
@pytest.mark.parametrize("text", ["65 mm", "2.5 in", "1/2 in", "6,5 cm"])
def test_what_is_kept_is_shown_and_not_rounded(text, style):
    shown = units.as_shown(text, units.LENGTH, style)
    exact, seen = units.parse(text, units.LENGTH), units.parse(shown, units.LENGTH)
    assert seen == pytest.approx(exact, rel=5e-3)
    assert ("in" in shown) == (style == "US")
    assert shown == text or (" in" in text) != (" in" in shown)


@given(st.text(max_size=40))
def test_whatever_is_typed_is_understood_or_refused_in_a_sentence(text):
    for quantity in (units.WARMTH, units.MASS, units.TIME, units.HOURS, units.ILLUMINANCE, units.PERCENT):
        read = units.understood(text, quantity, "US")
        assert isinstance(read, Value | Question | Refused)
        if isinstance(read, Value):
            again = units.understood(read.text, quantity)
            assert isinstance(again, Value)
            assert again.number == read.number
    for reader in (units.time_of_day, units.date_of, units.moment):
        said = became(text, reader, "US")
        assert not isinstance(said, str) or "; write " in said


def test_units_are_what_another_library_says():
    """Every unit but EV against pint, whose factors are those of NIST SP 811."""
    import pint

    registry = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
    there = {
        "°C": "degC", "°F": "degF", "K": "kelvin", "gal": "gallon", "qt": "quart", "pt": "pint", "l": "liter",
        "fl oz": "fluid_ounce", "ft³": "ft**3", "m³": "m**3", "in": "inch", "oz": "ounce", "days": "day", "/h": "1/hour",
        "/s": "1/second", "lb/day": "pound/day", "lb/h": "pound/hour", "kg/h": "kg/hour", "kg/day": "kg/day",
        "g/h": "gram/hour", "km/h": "km/hour", "h": "hour", "W": "watt", "lx": "lux", "klx": "kilolux",
        "fc": "lumen/foot**2",
    }  # fmt: skip
    inside = {"degC": "degC", "m^3": "m**3", "1/s": "1/second", "lx": "lumen/m**2"}
    for internal, unit in {(internal, unit) for (internal, _), unit in UNITS.items()}:
        if internal in ("share", "ppm") or unit.shown == "EV":
            continue
        amount = registry.Quantity(7.25, there.get(unit.shown, unit.shown))
        wanted = amount.to(inside.get(internal, internal)).magnitude
        assert unit.inside(7.25) == pytest.approx(wanted, rel=1e-9), unit
        assert unit.outside(unit.inside(7.25)) == pytest.approx(7.25)


def test_a_lamp_takes_the_same_readings():
    assert parse_light("LED EV 12").lux == parse_light("LED 12 EV").lux == 10240.0
    assert parse_light("LED 2,000 lx").lux == parse_light("LED 2000").lux == 2000.0
    with pytest.raises(UnitError, match="“EV 12” says no lamp; write LED 2,000 lx or tungsten EV 12"):
        parse_light("EV 12")


@pytest.mark.parametrize(
    ("name", "text", "fields", "value"),
    [
        ("value", "68F", {"what": "room_c"}, 20.0),
        ("value", "-41", {"what": "box_c"}, -41.0),
        ("value", "EV 12", {"what": "lux"}, 10240.0),
        ("mass_kg", "2 lb", {}, 0.90718474),
        ("assumed_pull_s", "0:45", {}, 45.0),
    ],
)
def test_the_command_line_reads_the_same(name, text, fields, value):
    assert number_called(name, text, fields) == pytest.approx(value)


def test_the_command_line_refuses_in_the_same_words():
    with pytest.raises(UnitError, match="value: 200 °C is not possible; give −80 to 60 °C"):
        number_called("value", "200C", {"what": "room_c"})
    with pytest.raises(UnitError, match="say what was read, with --what"):
        number_called("value", "68F", {})


if __name__ == "__main__":
    for row in TYPED:
        for shown in row[2].split() or [None]:
            print(f"{row[0]!r:16} {name_of(row[1]):14} {shown or 'no units':8} {became(row[0], row[1], shown)}")


def test_what_a_watt_cools_is_told_in_the_units_shown():
    assert (units.per_watt(0.15, "metric"), units.per_watt(0.15, "US")) == ("0.15 K", "0.27 °F")
    assert [units.per_watt(gain, "metric") for gain in (0.0976, 0.0, 3.04)] == ["0.098 K", "0 K", "3 K"]


@pytest.mark.parametrize(
    ("seconds", "said"), [(59.0, "0:59"), (172_000.0, "47:46:40"), (172_800.0, "2 days"), (1.4e7, "162 days")]
)
def test_a_long_span_is_told_in_days(seconds, said):
    assert long_duration(seconds) == said
