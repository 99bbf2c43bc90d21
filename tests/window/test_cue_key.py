"""The cue key makes the cue beside the clock and no other, once, and not long before it is due."""

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication

from studiotimer.session.cues import Cue
from studiotimer.session.live import SAME_CALL_S
from studiotimer.window.hearing import BOUNCE_MS
from studiotimer.window.running import ONCE
from studiotimer.window.set.cue_key import AGAIN_S, EARLY_S, CueKey, as_cued
from tests.window.test_set_page import forecast_after, make

K = Qt.Key
SWAP = Cue("swap", "Swap left: 8 replaces 4", 100.0)
PULL = Cue("pull", "Pull vanilla", 0.0)


def test_what_is_due_is_made_and_a_second_press_counts_once():
    key = CueKey()
    assert key.pressed(PULL, 1.0) is None
    assert key.pressed(PULL, 1.1) is None, "refused, it was not made"
    key.made(1.0)
    assert key.pressed(SWAP, 1.0 + SAME_CALL_S / 2) == ONCE
    assert key.pressed(PULL, 1.0 + SAME_CALL_S + 0.01) is None


def test_a_calls_own_key_means_what_its_cue_names_once_that_is_due_or_soon():
    heroes, asked = {"scoops": [1, 4]}, {"scoop": 1, "seen": "edges"}
    found = [
        Cue("hero_in", "Hero in 1, 4", 0.0, heroes), Cue("swap", "Swap left: 8 for 4", 100.0, {"out": 4, "in": 8}),
        Cue("out", "Out 4", 0.0, {"scoops": [4]}), Cue("look", "1: edges gone, or not yet?", 60.0, asked),
    ]  # fmt: skip
    assert as_cued("hero_in", found, 1.0) == heroes
    assert as_cued("swap", found, 60.0) == {}
    assert as_cued("swap", found, 100.0 - EARLY_S) == {"out": 4, "in": 8}
    assert as_cued("out", found, 1.0) == {}, "out asks which"
    assert as_cued("pull", found, 1.0) == {}
    assert as_cued("look", found, 59.0) == {}
    assert as_cued("look", found, 60.0) == asked
    assert as_cued("look", found, 60.0, choosing=True) == {**asked, "not_yet": True}


def test_the_key_of_a_change_answers_what_is_asked(qtbot, shoot, press, clock):
    make(shoot, "shot", "pull", "pull", "pull", "hero_in")
    first = min(hero.changes.edges.early for hero in forecast_after(qtbot, shoot).heroes)
    clock.advance(first - shoot.running.session.time() + 1.0)
    forecast_after(qtbot, shoot)
    asked = next(cue for cue in shoot.page.cues if cue.kind == "look")
    press(shoot, K.Key_L, wait=0.5)
    said = shoot.running.session.ledger.entries[-1]
    assert (said.kind, said.scoop, said.seen) == ("look", asked.given["scoop"], "edges")


def test_what_is_far_from_due_is_asked_for_once_more():
    key = CueKey()
    early = 100.0 - EARLY_S - 10
    said = key.pressed(SWAP, early)
    assert said == "Swap left: 8 replaces 4 is due in 0:40. Press once more to make it now."
    assert key.pressed(SWAP, early + 1) is None
    assert CueKey().pressed(SWAP, 100.0 - EARLY_S) is None


def test_asking_again_is_soon_and_of_the_same_cue():
    key = CueKey()
    key.pressed(SWAP, 10.0)
    assert key.pressed(SWAP, 10.0 + AGAIN_S) is not None
    assert key.pressed(Cue("out", "Out 4", 100.0), 10.0 + AGAIN_S + 1) is not None


def test_what_is_no_call_makes_nothing_of_what_comes_later():
    assert CueKey().pressed(Cue(None, "Wait: let the fog clear", 0.0), 5.0).startswith("Wait: let the fog clear.")


def test_after_a_top_up_the_key_waits_for_the_fog_with_the_words(qtbot, shoot, press):
    for key in (K.Key_K, K.Key_1, K.Key_2, K.Key_3, *[K.Key_P] * 9, K.Key_D):
        press(shoot, key, wait=1)
    page = shoot.page
    qtbot.waitUntil(lambda: page.cue_label.text() == "Wait: let the fog clear", timeout=10_000)
    assert not page.cue_button.isEnabled()
    entries = len(shoot.running.session.ledger.entries)
    press(shoot, K.Key_Space)
    assert len(shoot.running.session.ledger.entries) == entries
    assert page.quiet_line.text().startswith("Wait: let the fog clear.")


@pytest.mark.parametrize(("gap_ms", "pulls"), [(0, 1), (BOUNCE_MS - 1, 1), (BOUNCE_MS, 2), (400, 2)])
def test_a_key_that_comes_down_again_at_once_was_held(qtbot, shoot, clock, gap_ms, pulls):
    """A screen tells a held key by pairs of events, and now and then takes a pair for a press; pedals bounce."""
    at = 5_000

    def send(kind):
        event = QKeyEvent(kind, K.Key_P, Qt.KeyboardModifier.NoModifier, "p")
        event.setTimestamp(at)
        QApplication.sendEvent(QApplication.focusWidget(), event)

    send(QEvent.Type.KeyPress)
    at += 100
    send(QEvent.Type.KeyRelease)
    at += gap_ms
    clock.advance(SAME_CALL_S + 0.1)
    send(QEvent.Type.KeyPress)
    assert len(shoot.running.state.scoops) == pulls
