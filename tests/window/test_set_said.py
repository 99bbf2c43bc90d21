"""What the Set page says at a moment, worked out without a window."""

import math

import pytest
from PySide6.QtGui import QFontMetricsF

from studiotimer.session.countdowns import (
    AHEAD_S,
    Band,
    Changes,
    ClimateNow,
    Forecast,
    HeroForecast,
    LineForecast,
    ShotWindow,
)
from studiotimer.session.cue import Chip, Cue, Parts
from studiotimer.session.entries import Shot
from studiotimer.session.scoops import Scoop, Stay
from studiotimer.session.state import State
from studiotimer.window import theme
from studiotimer.window.ribbon import STAGE_COLOURS
from studiotimer.window.set import face, hero_ribbons
from studiotimer.window.set.clock_face import fitting
from studiotimer.window.set.cue_face import Line, cue_face, in_order
from studiotimer.window.set.flavours import COLOURS, OTHER, Palette, shorter
from studiotimer.window.set.hero_bands import hero_bands
from studiotimer.window.set.hero_ribbons import HeroRibbons

CLIMATE = ClimateNow(22, 0.5, 20, -40, 0, 0, None, 0.15, None, None)
NAMES = Palette(("brown butter", "brown sugar", "hazelnut"))
STATE = State(
    shot=Shot(n=1, run=1, at="2026-06-14T10:00:00Z", tick=0.0, name="coupe", look="crisp", lamp="LED", lux=2000.0,
              flavours=["hazelnut"], spots=["left"], takes=1, spares=0, dressing_s=20.0),
    scoops={4: Scoop(4, "hazelnut", (Stay("box", 0.0), Stay("set", 100.0)), hero=True, spot="left")},
)  # fmt: skip


def once(at):
    return Band(at, at, at)


def hero(number=4, since=100.0, end=300.0, spot="left"):
    changes = Changes(once(since + 10), once(since + 60), once(end), once(end + 60), once(end + 400))
    start = once(since + 40.0)
    return HeroForecast(number, "hazelnut", spot, True, since, changes, start, Band(end - 40, end, end + 50), -8.0)


def forecast(*heroes, line=()):
    last = min(heroes, key=lambda one: one.end.likely, default=None)
    window = (
        ShotWindow(max((one.start for one in heroes), key=lambda band: band.likely), last.end, last.scoop)
        if last
        else None
    )
    return Forecast(100.0, CLIMATE, heroes, tuple(line), window)


@pytest.mark.parametrize(
    ("now", "words", "detail"),
    [
        (101.0, "3:19", "frosted, dressing, window opens in 0:39"),
        (125.0, "2:55", "matte, window opens in 0:15"),
        (170.0, "2:10", "sheen, in the window"),
        (299.4, "0:00", "sheen, in the window"),
        (320.0, "0:00", "edges gone, window ended 0:20 ago"),
        (1000.0, "0:00", "slumped, window ended 11:40 ago"),
    ],
)
def test_the_figures_are_the_time_to_the_end_of_the_window_and_nothing_else(now, words, detail):
    said = face.clock(forecast(hero()), STATE, now)
    assert (said.label, said.words, said.detail) == ("life left", words, detail)
    assert said.colour == theme.lightened(STAGE_COLOURS[detail.partition(",")[0]])


def test_of_several_the_first_to_end_counts():
    said = face.clock(forecast(hero(4, end=300.0), hero(5, since=140.0, end=260.0)), STATE, 200.0)
    assert (said.words, said.detail) == ("1:00", "sheen, in the window")


def test_without_a_hero_or_a_forecast_there_are_no_figures():
    assert face.clock(forecast(), State(), 5.0) == face.Face("", "", label="no hero on set")
    assert face.clock(None, STATE, 5.0).words == ""
    assert face.clock(None, STATE, 5.0).detail == "working out"


@pytest.mark.parametrize(("seconds", "words"), [(-3, "0:00"), (59.99, "0:59"), (3599, "59:59"), (3661, "1 h 01")])
def test_hours_are_no_minutes(seconds, words):
    assert face.figures(seconds) == words


def test_beside_the_figures_stand_the_dressing_the_opening_and_the_band():
    known = forecast(hero())
    assert face.beside(known, STATE, 105.0) == (
        "on set 0:05, dressing 0:15 more, window opens in 0:35, likely 2:35 to 4:05 left"
    )
    assert face.beside(known, STATE, 250.0) == "on set 2:30, likely 0:10 to 1:40 left"
    assert face.beside(known, STATE, 400.0) == "on set 5:00"


def waiting(number=8, start=40.0, end=204.0):
    return LineForecast(number, "brown butter", 100.0, (start,) * len(AHEAD_S), (end,) * len(AHEAD_S), -9.0)


def a_tile(one, stays, judged=None, cued=()):
    state = State(scoops={8: Scoop(8, "brown butter", stays, judged)})
    return face.tiles(forecast(line=[one] if one else []), state, 410.0, NAMES, frozenset(cued))[0]


def test_a_tile_tells_the_time_to_shoot_and_where_the_scoop_is_since_when():
    tile = a_tile(waiting(), (Stay("box", 14.0), Stay("tray", 400.0)), "hero", (8,))
    assert (tile.shoot, tile.ends, tile.where, tile.pulled) == ("2:44", "ends 3:24", "tray 0:10", "pulled 6:36 ago")
    assert (tile.note, tile.cued, tile.colour) == ("hero", True, COLOURS[0])
    assert tile.said == (
        "scoop 8, brown butter, tray 0:10, hero, 2:44 to shoot if placed now, ends 3:24, pulled 6:36 ago, cued"
    )


@pytest.mark.parametrize(
    ("one", "shoot", "ends"),
    [
        (waiting(start=300.0, end=204.0), "no window", ""),
        (waiting(start=math.inf, end=math.inf), "no window", ""),
        (waiting(start=10.0, end=math.inf), "over 3 h", ""),
        (None, "–:––", ""),
    ],
)
def test_a_tile_without_a_time(one, shoot, ends):
    tile = a_tile(one, (Stay("box", 14.0),))
    assert (tile.shoot, tile.ends, tile.window is None) == (shoot, ends, shoot != "over 3 h")


def test_the_question_never_stands_before_what_has_to_be_done():
    look = Cue("look", "1: edges gone, or not yet?", 5.0, {"scoop": 1}, parts=Parts("Edges gone?"))
    swap = Cue("swap", "Swap left: 8 for 4", 72.0, {"out": 4, "in": 8}, note="3 of 8 frames fit",
               parts=Parts("Swap", "left", (Chip(8, "brown butter", "box", "left"), Chip(4, "hazelnut", "left", "out")), "for"))  # fmt: skip
    ice = Cue("top_up", "Top up the dry ice", 192.0, parts=Parts("Top up", rest="dry ice"))
    ordered = in_order([look, swap, ice])
    assert [cue.kind for cue in ordered] == ["swap", "top_up", "look"]
    shown = cue_face(ordered, 10.0, NAMES, State(), {"look": "L"})
    assert (shown.verb, shown.place, shown.time, shown.due, shown.joined) == ("Swap", "left", "in 1:02", False, "for")
    assert [(chip.number, chip.came, chip.to) for chip in shown.chips] == [("8", "box", "left"), ("4", "left", "out")]
    assert shown.lines == (
        Line("", "3 of 8 frames fit"), Line("L", "1: edges gone, or not yet?"), Line("then", "top up the dry ice", "in 3:02"),
    )  # fmt: skip
    assert cue_face(in_order([look]), 10.0, NAMES, State(), {}).verb == "Edges gone?"
    assert cue_face(ordered, 80.0, NAMES, State(), {}).time == "now"


def test_what_makes_nothing_is_not_due():
    fog = Cue(None, "Wait: let the fog clear", 5.0, parts=Parts("Wait", rest="let the fog clear"))
    shown = cue_face([fog], 10.0, NAMES, State(), {})
    assert (shown.verb, shown.rest, shown.time, shown.due) == ("Wait", "let the fog clear", "", False)


def test_a_flavour_shrinks_to_the_shortest_name_that_still_differs():
    assert NAMES.forms("brown butter") == ("brown butter", "brown but", "brown bu", "brown b") or NAMES.forms(
        "brown butter"
    )[-1].startswith("brown b")
    assert NAMES.forms("hazelnut")[-1] == "haz"
    assert shorter("blood orange and Campari", ["blood pressure"])[:3] == (
        "blood orange and Campari", "blood orange", "blood orang",
    )  # fmt: skip
    for name in NAMES.names:
        for form in NAMES.forms(name):
            assert not any(other.startswith(form) for other in NAMES.names if other != name)


def hue(colour):
    from PySide6.QtGui import QColor

    shown = QColor(colour)
    return shown.hslHueF() * 360, shown.hslSaturationF()


def test_colours_of_flavours_keep_off_the_stages_and_ink_is_read_on_them():
    stages = [hue(theme.FROST)[0], hue(theme.CUSTARD)[0], hue(theme.CARAMEL)[0], hue(theme.CHERRY)[0]]
    for colour in (*COLOURS, OTHER):
        here, saturation = hue(colour)
        apart = min(min(abs(here - one), 360 - abs(here - one)) for one in stages)
        assert saturation < 0.12 or apart >= 20, (colour, here)
        assert theme.contrast(colour, theme.INK) >= 7.0
        assert theme.contrast(colour, theme.PANEL) >= 4.5
    assert len(set(COLOURS)) == len(COLOURS)


@pytest.mark.parametrize("stage", STAGE_COLOURS)
def test_the_figures_stand_out_seven_to_one_in_every_stage(stage):
    shown = theme.lightened(STAGE_COLOURS[stage])
    assert theme.contrast(shown, theme.INK) >= 7.0
    if stage in ("frosted", "matte", "sheen"):
        assert shown.upper() == STAGE_COLOURS[stage].upper(), "light enough as it is"
    assert theme.contrast(theme.FROST, theme.PANEL) >= 7.0
    assert theme.contrast(theme.CREAM, theme.PANEL) >= 7.0


def test_each_hero_has_its_own_band_with_its_own_time():
    swap = Cue("swap", "Swap top: 9 for 5", 240.0, {"out": 5, "in": 9})
    bands = hero_bands(forecast(hero(4), hero(5, since=140.0, end=260.0, spot="top")), STATE, [swap], 280.0, NAMES)
    one, other = bands.bands
    assert (one.number, one.spot, one.left, one.dressed, one.opens, one.ends) == (
        "4",
        "left",
        "0:20",
        20.0,
        40.0,
        200.0,
    )
    assert (other.number, other.left, other.swap, other.ends) == ("5", "0:00", 140.0, 160.0)
    assert math.isnan(one.swap)
    assert (bands.first, bands.now) == (1, 180.0)
    assert one.left_colour == theme.CREAM
    assert other.left_colour == theme.lightened(STAGE_COLOURS["edges gone"])
    assert bands.words.startswith(
        "melt ribbon of 4 left, hazelnut 0:20 left; 5 top, hazelnut 0:00 left: now 3:00, window"
    )


def test_the_words_below_the_bands_say_when_the_window_of_all_opens(qtbot, monkeypatch):
    """Hero 4 is ready at 0:40, hero 5 not before 1:20: the clock says that the window opens at 1:20."""
    written = []
    monkeypatch.setattr(hero_ribbons, "_write", lambda line, x, words, *rest: written.append(words))
    ribbons = HeroRibbons()
    qtbot.addWidget(ribbons)
    ribbons.resize(600, 200)
    both = forecast(hero(4), hero(5, since=140.0, end=400.0, spot="top"))
    assert face.clock(both, STATE, 150.0).detail.endswith("window opens in 0:30")
    ribbons.show_bands(hero_bands(both, STATE, [], 150.0, NAMES))
    ribbons.grab()
    assert "opens 1:20" in written
    assert not [words for words in written if words.startswith("opened")]


def test_the_words_over_the_figures_end_with_a_whole_part(qtbot):
    metrics = QFontMetricsF(theme.font(15.0, "strong"))
    said = "matte, dressing, window opens in 0:58"
    for room, whole in ((1000, said), (metrics.horizontalAdvance(said) - 1, "matte, dressing")):
        assert fitting(said, metrics, room) == whole
    assert fitting(said, metrics, metrics.horizontalAdvance("mat")).endswith("…")
