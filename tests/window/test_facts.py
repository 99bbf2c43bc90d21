"""What a call takes for granted: nothing is logged that nobody said, and one yes logs what was assumed."""

import pytest
from PySide6.QtCore import Qt

from studiotimer.session.peer import send_call
from tests.window.test_call_socket import in_thread
from tests.window.test_set_page import kinds, make

K = Qt.Key


@pytest.mark.parametrize("key", [K.Key_H, K.Key_S, K.Key_O])
def test_a_key_with_nothing_to_act_on_puts_nothing_on_set(shoot, press, key):
    press(shoot, K.Key_K)
    press(shoot, key)
    assert shoot.running.state.scoops == {}


def test_an_assumed_pull_is_offered_and_enter_logs_it_at_the_keys_time(shoot, press, clock):
    press(shoot, K.Key_K)
    press(shoot, K.Key_H, wait=10)
    asked = clock.tick()
    assert "never logged" in shoot.page.quiet_line.text()
    assert "Enter" in shoot.page.quiet_line.text()
    press(shoot, K.Key_Return, wait=8)
    hero = shoot.running.session.ledger.entries[-1]
    assert (hero.kind, hero.tick) == ("hero_in", pytest.approx(asked, abs=0.5))
    assert all(scoop.assumed for scoop in shoot.running.state.scoops.values())


@pytest.mark.parametrize("key", [K.Key_Escape, K.Key_Space, K.Key_PageDown])
def test_neither_escape_nor_the_cue_key_is_a_yes(shoot, press, key):
    press(shoot, K.Key_K)
    press(shoot, K.Key_H)
    press(shoot, key)
    assert "hero_in" not in kinds(shoot)
    if key == K.Key_Escape:
        press(shoot, K.Key_Return)
        assert "hero_in" not in kinds(shoot)


def test_a_yes_comes_soon_or_not_at_all(shoot, press):
    press(shoot, K.Key_K)
    press(shoot, K.Key_H)
    press(shoot, K.Key_Return, wait=60)
    assert "hero_in" not in kinds(shoot)


def test_out_asks_which_of_several_and_offers_the_oldest(qtbot, shoot, press):
    make(shoot, "shot", "pull", "pull", "pull", "hero_in")
    qtbot.waitUntil(lambda: bool(shoot.running.forecast and shoot.running.forecast.heroes), timeout=10_000)
    press(shoot, K.Key_O)
    assert shoot.page.calls.choosing
    assert len(shoot.running.state.heroes()) == 3
    press(shoot, K.Key_O)
    press(shoot, K.Key_Return)
    assert [hero.number for hero in shoot.running.state.heroes()] == [1, 3], "its key once more is the next one"
    press(shoot, K.Key_G)
    press(shoot, K.Key_O)
    assert shoot.running.state.heroes() == [], "after got it, all unasked"


def test_a_stand_in_leaves_with_hero_in(shoot, press):
    make(shoot, "shot")
    press(shoot, K.Key_B)
    assert shoot.running.state.props
    make(shoot, "pull", "pull", "pull", "hero_in")
    assert shoot.running.state.props == ()
    assert shoot.running.state.stand_ins() == []


def test_what_stands_in_shows_while_it_stands(shoot, press):
    make(shoot, "shot", "pull")
    shoot.running.call("stand_in", {"scoop": 1})
    shoot.running.call("stand_in", {"prop": "foam scoop"})
    said = shoot.page.cue_label.accessibleDescription()
    assert "stand-in 1" in said
    assert "stand-in foam scoop" in said
    press(shoot, K.Key_B)
    press(shoot, K.Key_B)
    assert "stand-in" not in shoot.page.cue_label.accessibleDescription()


def test_a_new_shot_begins_unlocked_and_its_locks_are_cued_first(shoot, press):
    make(shoot, "shot")
    for key in (K.Key_1, K.Key_2, K.Key_3):
        press(shoot, key)
    press(shoot, K.Key_G)
    press(shoot, K.Key_K)
    assert not any(shoot.running.state.locks.values())
    assert shoot.page.cues[0].words == "Lock light"


def test_going_back_to_a_got_shot_keeps_what_it_had(shoot, press):
    make(shoot, "shot")
    press(shoot, K.Key_G)
    shoot.running.call("shot", {"name": "coupe"})
    assert "coupe" in shoot.running.state.got
    assert not shoot.running.state.shot_got
    assert "got, for another take" in shoot.page.header.about.accessibleName()
    shoot.running.call("shot", {"name": "sundae"})
    assert "coupe" in shoot.running.state.got


@pytest.mark.parametrize(
    ("kind", "fields", "said"),
    [
        ("reading", {"what": "air_c"}, "value must be told"),
        ("reading", {}, "what and value must be told"),
        ("top_up", {}, "mass_kg must be told"),
        ("swap", {"out": 41, "in": 42}, "never logged"),
        ("hero_in", {"scoops": [9]}, "add --assume"),
        ("pull", {"flavour": "tutti frutti"}, "there is no flavour “tutti frutti” in the plan"),
    ],
)
def test_another_program_says_what_nobody_there_has_seen(qtbot, shoot, kind, fields, said):
    make(shoot, "shot")
    before = len(shoot.running.session.ledger.entries)
    answer = in_thread(qtbot, lambda: send_call(kind, fields))
    assert said in answer["refused"]
    assert len(shoot.running.session.ledger.entries) == before


def test_another_program_may_say_that_it_assumes(qtbot, shoot):
    make(shoot, "shot")
    answer = in_thread(qtbot, lambda: send_call("hero_in", {"scoops": [9]}, assume=True))
    assert answer["n"] == shoot.running.session.ledger.entries[-1].n
    assert shoot.running.state.scoops[9].assumed


def test_another_program_says_which_of_several_heroes_is_out(qtbot, shoot):
    make(shoot, "shot", "pull", "pull", "pull", "hero_in")
    answer = in_thread(qtbot, lambda: send_call("out", {}))
    assert "say which is out" in answer["refused"]


def test_the_earlier_shot_is_two_presses(shoot, press):
    make(shoot, "shot")
    press(shoot, K.Key_G)
    press(shoot, K.Key_K)
    assert shoot.running.state.shot.name == "sundae"
    press(shoot, K.Key_K, shift=True)
    press(shoot, K.Key_Return)
    assert shoot.running.state.shot.name == "coupe"
    assert "coupe" in shoot.running.state.got, "it keeps what it had"
