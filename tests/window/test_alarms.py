"""When a cue sounds: once it is due, again while nobody answers, and never after that."""

import pytest
from PySide6.QtCore import Qt

from studiotimer.session.cue import Cue, mark_of
from studiotimer.window.set.alarms import AGAIN_S, KEPT_S, MOST, Alarms
from tests.window.test_set_page import forecast_after, make

K = Qt.Key
SWAP = Cue("swap", "Swap left: 8 for 4", 100.0, {"out": 4, "in": 8}, "swap")
PULL = Cue("pull", "Pull vanilla", 100.0, {"flavour": "vanilla"}, "pull")


def heard(alarms, cues, times, pulled=5):
    return [at for at in times if alarms.sounding(cues, None, pulled, at)]


def test_a_cue_sounds_when_it_is_due_and_again_every_twenty_seconds_three_times():
    times = [float(at) for at in range(90, 300)]
    assert heard(Alarms(), [SWAP], times) == [100.0, 100.0 + AGAIN_S, 100.0 + 2 * AGAIN_S]
    assert len(heard(Alarms(), [PULL], times)) == MOST


def test_one_that_is_due_a_moment_ago_sounds():
    """The cue is worked out a fraction of a millisecond before it is looked at, or after."""
    now = 50.0
    assert Alarms().sounding([Cue("pull", "Pull vanilla", now, {"flavour": "vanilla"}, "pull")], None, 1, now) == [
        "pull"
    ]


def test_the_same_hero_is_the_same_cue_whoever_replaces_it():
    alarms = Alarms()
    assert alarms.sounding([SWAP], None, 5, 100.0)
    other = Cue("swap", "Swap left: 9 for 4", 101.0, {"out": 4, "in": 9}, "swap")
    assert not alarms.sounding([other], None, 6, 102.0)


def test_the_next_pull_of_a_flavour_is_another_cue():
    alarms = Alarms()
    assert alarms.sounding([PULL], None, 5, 100.0)
    assert alarms.sounding([PULL], None, 6, 101.0)


def test_seen_ends_the_sound_of_that_cue_alone():
    alarms = Alarms()
    alarms.sounding([SWAP], None, 5, 100.0)
    alarms.hush(SWAP, 5)
    assert heard(alarms, [SWAP], [110.0, 121.0, 150.0]) == []
    assert alarms.sounding([PULL], None, 5, 121.0) == ["pull"]


def test_seen_is_about_what_was_heard_and_not_about_a_silent_cue_before_it():
    alarms, lock = Alarms(), Cue("lock", "Lock camera", 90.0, {"which": "camera", "on": True})
    lemon = Cue("pull", "Pull lemon", 100.0, {"flavour": "lemon"}, "pull")
    assert alarms.heard([lock, PULL, lemon], 5, 95.0) == [lock]
    alarms.sounding([lock, PULL, lemon], None, 5, 100.0)
    assert alarms.heard([lock, PULL, lemon], 5, 101.0) == [PULL, lemon], "both sounded at once"
    alarms.sounding([lock, PULL, SWAP], None, 5, 110.0)
    assert alarms.heard([lock, PULL, SWAP], 5, 111.0) == [SWAP]


def test_a_hero_is_kept_one_minute_more_and_the_cues_stay_in_order():
    alarms = Alarms()
    later = Cue("pull", "Pull lemon", 130.0, {"flavour": "lemon"}, "pull")
    assert alarms.keep(SWAP, 5, 105.0)
    first, second = alarms.standing([SWAP, later])
    assert (first, second.given, second.due) == (later, SWAP.given, 105.0 + KEPT_S)
    assert not alarms.keep(PULL, 5, 105.0), "a pull takes no hero away"


@pytest.fixture
def sounds(shoot):
    heard = []
    shoot.page.sound_wanted.connect(heard.append)
    return heard


def test_the_pull_cue_sounds_on_the_page(qtbot, shoot, press, sounds):
    make(shoot, "shot")
    for key in (K.Key_1, K.Key_2, K.Key_3):
        press(shoot, key)
    forecast_after(qtbot, shoot)
    shoot.page.refresh()
    assert sounds.count("pull") >= 1


def test_keep_moves_the_swap_and_logs_nothing(qtbot, shoot, press, sounds):
    make(shoot, "shot", "lock", "lock", "lock")
    for _ in range(6):
        make(shoot, "pull")
    make(shoot, "hero_in")
    forecast = forecast_after(qtbot, shoot)
    shoot.running.session.clock.advance(forecast.window.end.likely - shoot.page.now() + 1)
    forecast_after(qtbot, shoot)
    shoot.page.refresh()
    leaves = shoot.page.cues[0]
    assert leaves.kind in ("swap", "out")
    before = len(shoot.running.session.ledger.entries)
    press(shoot, K.Key_T)
    pulled = len(shoot.running.state.scoops)
    kept = next(cue for cue in shoot.page.cues if mark_of(cue, pulled) == mark_of(leaves, pulled))
    assert kept.due == pytest.approx(shoot.page.now() + KEPT_S, abs=1)
    assert len(shoot.running.session.ledger.entries) == before
    sounds.clear()
    press(shoot, K.Key_Y)
    press(shoot, K.Key_Y, wait=30)
    assert "Seen" in shoot.page.quiet_line.text()
