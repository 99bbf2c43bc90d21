"""A cue that was answered or seen, at the laptop or on a phone, is silent on both."""

import json

import pytest
from PySide6.QtCore import Qt

from studiotimer.phones.news import asked
from tests.phones.served.client import WAIT_MS, aside
from tests.window.test_set_page import forecast_after, make

K = Qt.Key


@pytest.fixture
def hears(qtbot, phones, paired):
    """A phone that is asked what sounds on it."""
    ana = paired()

    def sound():
        return aside(qtbot, ana.news)[1]["sound"]

    ana.sound = sound
    return ana


@pytest.fixture
def pull_cue(qtbot, shoot, phones, hears):
    """The cue to pull the first scoop, which sounds at the laptop and on the phone; its id."""
    make(shoot, "shot", "lock", "lock", "lock")
    forecast_after(qtbot, shoot)
    shoot.page.refresh()
    phones.tell_news()
    assert shoot.page.cues[0].sound == "pull"
    qtbot.waitUntil(lambda: hears.sound() is not None, timeout=WAIT_MS)
    return hears.sound()["cue"]


def told(qtbot, hears, cue):
    """Wait until the phone has heard that a cue was seen."""
    qtbot.waitUntil(lambda: (hears.sound() or {}).get("cue") != cue, timeout=WAIT_MS)


def test_seen_at_the_laptop_ends_it_on_the_phone(qtbot, shoot, press, hears, pull_cue):
    before = len(shoot.running.session.ledger.entries)
    press(shoot, K.Key_Y)
    told(qtbot, hears, pull_cue)
    cue = aside(qtbot, hears.news)[1]["cue"]
    assert (cue["id"], cue["seen"]) == (pull_cue, True)
    assert len(shoot.running.session.ledger.entries) == before


@pytest.mark.parametrize("action", ["seen", "cue"])
def test_phones_are_told_of_it_at_once(shoot, phones, pull_cue, monkeypatch, action):
    written = []
    monkeypatch.setattr(phones, "_write_line", lambda line: written.append(json.loads(line)))
    shoot.page.act(action)
    assert [one["news"]["sound"] != {"cue": pull_cue} for one in written if one["do"] == "news"][-1:] == [True]


@pytest.mark.parametrize("key", [K.Key_Space, K.Key_P])
def test_the_call_that_answers_it_ends_it_on_the_phone(qtbot, shoot, press, hears, pull_cue, key):
    press(shoot, key)
    assert [entry.kind for entry in shoot.running.session.ledger.entries][-1] == "pull"
    told(qtbot, hears, pull_cue)


def test_a_hero_kept_one_minute_more_ends_it_on_the_phone(qtbot, shoot, phones, press, hears):
    make(shoot, "shot", "lock", "lock", "lock", *["pull"] * 6, "hero_in")
    forecast = forecast_after(qtbot, shoot)
    shoot.running.session.clock.advance(forecast.window.end.likely - shoot.page.now() + 1)
    forecast_after(qtbot, shoot)
    shoot.page.refresh()
    phones.tell_news()
    leaving = next(cue for cue in shoot.page.cues if cue.sound == "swap" and cue.due <= shoot.page.now())
    names = {name for name, (_, cue) in asked(phones._made_page()).items() if cue == leaving}
    qtbot.waitUntil(lambda: (hears.sound() or {}).get("cue") in names, timeout=WAIT_MS)
    press(shoot, K.Key_T)
    qtbot.waitUntil(lambda: (hears.sound() or {}).get("cue") not in names, timeout=WAIT_MS)


def test_seen_on_a_phone_ends_it_at_the_laptop_and_on_every_phone(qtbot, shoot, hears, paired, pull_cue):
    leo = paired(name="Leo")
    cue, pulled = shoot.page.cues[0], len(shoot.running.state.scoops)
    assert not shoot.page.alarms.silent(cue, pulled)
    assert aside(qtbot, lambda: leo.post("/seen", {"cue": pull_cue})) == (200, {})
    assert shoot.page.alarms.silent(cue, pulled)
    assert shoot.page.quiet_line.text() == "Seen by Leo."
    told(qtbot, hears, pull_cue)


def test_seen_on_a_phone_is_about_its_own_cue_and_no_other(qtbot, shoot, hears, pull_cue):
    """What sounded at the laptop last is another cue: it sounds on."""
    others = [name for name, (_, cue) in asked(shoot.services.phones._made_page()).items() if name != pull_cue]
    aside(qtbot, lambda: hears.post("/seen", {"cue": others[0]}))
    first, pulled = shoot.page.cues[0], len(shoot.running.state.scoops)
    assert not shoot.page.alarms.silent(first, pulled)
    assert hears.sound() == {"cue": pull_cue}
    aside(qtbot, lambda: hears.post("/seen", {"cue": "no such cue"}))
    assert hears.sound() == {"cue": pull_cue}


def test_a_scoop_to_be_brought_that_was_seen_leaves_the_cue_of_the_set_as_it_is(qtbot, shoot, phones, hears):
    make(shoot, "shot", "lock", "lock", "lock", *["pull"] * 3)
    forecast_after(qtbot, shoot)
    shoot.page.refresh()
    phones.tell_news()
    bring, cue = next((name, cue) for name, (one, cue) in asked(phones._made_page()).items() if one.kind == "brought")
    aside(qtbot, lambda: hears.post("/seen", {"cue": bring}))
    assert not shoot.page.alarms.silent(cue, len(shoot.running.state.scoops))

    def seen():
        news = aside(qtbot, hears.news)[1]
        return [one["seen"] for one in (news["cue"], *news["then"]) if one["id"] == bring] == [True]

    qtbot.waitUntil(seen, timeout=WAIT_MS)
