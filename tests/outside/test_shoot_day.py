"""The days before against what is published: sunset, what a dry-ice chest loses, and tubs by plain geometry."""

from __future__ import annotations

import datetime as dt
import math

import pytest

from studiotimer.prep.daylight import sun_of
from studiotimer.prep.parts import DryIce
from studiotimer.prep.plan import Tub, parse_plan
from studiotimer.prep.sold import USUAL_KG
from studiotimer.prep.tubs import scoops_in, size_of
from studiotimer.units import KG_PER_LB
from tests.prep.plans import CALM

NOAA = [
    ("Chicago", 41.85, -87.65, "America/Chicago", dt.date(2026, 10, 8)),
    ("Reykjavik", 64.13, -21.93, "Atlantic/Reykjavik", dt.date(2026, 3, 20)),
    ("Sydney", -33.87, 151.21, "Australia/Sydney", dt.date(2026, 12, 21)),
]


def sunset_by_hand(latitude: float, longitude: float, date: dt.date) -> dt.datetime:
    """Return sunset (UTC) by the fractional-year equations of NOAA's General Solar Position Calculations.

    https://gml.noaa.gov/grad/solcalc/solareqns.PDF: equation of time and declination as Fourier series of the day of
    the year, the sun's upper edge on the horizon at a zenith of 90.833 degrees.
    """
    gamma = 2 * math.pi / 365 * (date.timetuple().tm_yday - 1 + (18 - 12) / 24)
    eqtime = 229.18 * (
        0.000075 + 0.001868 * math.cos(gamma) - 0.032077 * math.sin(gamma) - 0.014615 * math.cos(2 * gamma)
        - 0.040849 * math.sin(2 * gamma)
    )  # fmt: skip
    decl = (
        0.006918 - 0.399912 * math.cos(gamma) + 0.070257 * math.sin(gamma) - 0.006758 * math.cos(2 * gamma)
        + 0.000907 * math.sin(2 * gamma) - 0.002697 * math.cos(3 * gamma) + 0.00148 * math.sin(3 * gamma)
    )  # fmt: skip
    lat = math.radians(latitude)
    cosine = math.cos(math.radians(90.833)) / (math.cos(lat) * math.cos(decl)) - math.tan(lat) * math.tan(decl)
    minutes = 720 - 4 * (longitude - math.degrees(math.acos(cosine))) - eqtime
    return dt.datetime.combine(date, dt.time(), dt.UTC) + dt.timedelta(minutes=minutes)


@pytest.mark.parametrize(("name", "latitude", "longitude", "zone", "date"), NOAA)
def test_sunset_is_that_of_noaas_equations(
    name: str, latitude: float, longitude: float, zone: str, date: dt.date
) -> None:
    """Within three minutes; astral works by Meeus's longer series, NOAA's short one is an equation of its own."""
    import zoneinfo

    place = {"latitude": latitude, "longitude": longitude}
    sun = sun_of(parse_plan(CALM | {"date": date, "timezone": zone, "place": place}))
    assert sun is not None
    by_hand = sunset_by_hand(latitude, longitude, date).astimezone(zoneinfo.ZoneInfo(zone)).replace(tzinfo=None)
    apart = abs((sun.sets - by_hand).total_seconds())
    assert apart % 86400 < 180.0 or 86400 - apart % 86400 < 180.0, (name, sun.sets, by_hand)
    assert sun.sets.date() == date


@pytest.mark.parametrize(("city", "zone", "latitude"), [("London", "Europe/London", 51.5), ("Chicago", None, 41.9)])
def test_a_city_is_where_it_is(city: str, zone: str | None, latitude: float) -> None:
    """A city by its name has the sunset of its place, in its own time zone (almanac times from memory)."""
    date = dt.date(2026, 6, 16)
    sun = sun_of(parse_plan(CALM | {"date": date, "timezone": zone, "place": {"city": city}}))
    assert sun is not None
    expected = {"London": dt.datetime(2026, 6, 16, 21, 20), "Chicago": dt.datetime(2026, 6, 16, 20, 28)}[city]
    assert abs(sun.sets - expected) < dt.timedelta(minutes=2), latitude


def test_where_the_sun_never_sets_no_end_is_told() -> None:
    place = {"latitude": 69.65, "longitude": 18.96}
    assert sun_of(parse_plan(CALM | {"date": "2026-06-21", "timezone": "Europe/Oslo", "place": place})) is None


def test_a_chest_loses_what_suppliers_reckon_with() -> None:
    """5 to 10 lb for every 24 h: Linde, frequently asked questions, “How long does dry ice last”, lindedirect.com.

    Linde Gas Sweden has 10 kg in a foam box gone in 1 to 2 days and 20 kg in 3 to 4 (linde-gas.se, storing dry ice):
    5 to 10 kg a day in a thin box.
    """
    lost_lb = DryIce().box_loss_kg_per_s * 86400 / KG_PER_LB
    assert 5.0 <= lost_lb <= 10.0
    assert lost_lb * KG_PER_LB < 10.0


def test_a_usual_block_weighs_what_suppliers_say() -> None:
    """10 x 10 in, 2 in thick, about 10 lb each: Stuart Ice, dry ice, stuartice.com. Dry ice is 1,500 to 1,600 kg/m³."""
    by_size = 10 * 10 * 2 * 0.0254**3 * 1550
    assert USUAL_KG["US"] == pytest.approx(10 * KG_PER_LB)
    assert USUAL_KG["US"] == pytest.approx(by_size, rel=0.15)
    assert USUAL_KG["metric"] == pytest.approx(by_size, rel=0.15)


def test_a_three_gallon_tub_cut_in_three_by_plain_geometry() -> None:
    """By hand, from 231 cubic inches a gallon (NIST SP 811, B.8) and a tub 241 mm across.

    Volume 3 x 231 x 2.54³ = 11,356 cm³; face π/4 x 24.1² = 456.2 cm²; depth 24.9 cm, a third 8.30 cm. Scoops of 65 mm:
    3 lanes (3 x 6.5 = 19.5 of 24.1 cm); layers of a third of a scoop, 2.167 cm: 3 in 8.30 cm. So a piece gives 9
    pulls, the tub 27.
    """
    volume_cm3 = 3 * 231 * 2.54**3
    face_cm2 = math.pi / 4 * 24.1**2
    size = size_of(Tub(size="3 gallon"))
    assert size.area_m2 * 1e4 == pytest.approx(face_cm2, rel=1e-6)
    assert size.depth_m * 1e2 == pytest.approx(volume_cm3 / face_cm2, rel=1e-6)
    lanes, layers = math.floor(24.1 / 6.5), math.floor(volume_cm3 / face_cm2 / 3 / (6.5 / 3))
    assert (lanes, layers) == (3, 3)
    assert scoops_in(Tub(size="3 gallon", cut=3), 0.065).value == 3 * 3 * 3
    assert scoops_in(Tub(size="3 gallon"), 0.065).value == 3 * math.floor(volume_cm3 / face_cm2 / (6.5 / 3))


def test_a_pan_by_plain_geometry() -> None:
    """A 5 L pan 165 mm across and 360 mm along is 8.42 cm deep: 2 lanes of 65 mm, 3 layers of 2.167 cm, 6 pulls."""
    assert pytest.approx(8.418, abs=0.001) == 5000 / (16.5 * 36.0)
    assert scoops_in(Tub(size="5 L"), 0.065).value == 2 * math.floor(8.418 / (6.5 / 3))
