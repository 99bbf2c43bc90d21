"""Brought: the carry has ended, the scoop waits at the set; how long a carry takes is learned from it."""

import pytest

from studiotimer.session.climate import Climate
from studiotimer.session.live import new_session
from studiotimer.session.product import Product
from studiotimer.session.pulling import carry, pull_to_set_times
from tests.session.clocks import HandClock
from tests.session.shoots import TRIO, plan, told

PULLED = (10.0, "pull", {"scoop": 1, "flavour": "vanilla", "to": "box"})


def test_a_brought_scoop_waits_at_the_set_and_can_be_placed():
    state = told((0.0, "shot", TRIO), PULLED, (300.0, "brought", {"scoop": 1})).state
    scoop = state.scoops[1]
    assert (scoop.waiting, scoop.brought, scoop.where, scoop.since) == (True, True, "at the set", 300.0)
    placed = told((0.0, "shot", TRIO), PULLED, (300.0, "brought", {"scoop": 1}), (320.0, "hero_in", {"scoops": [1]}))
    assert placed.state.contradictions == ()
    assert placed.state.scoops[1].hero_on_set


def test_a_scoop_that_is_there_is_not_brought_again(tmp_path):
    session = new_session(tmp_path / "s.setlog", plan(), HandClock())
    session.call("pull", {"scoop": 1, "flavour": "vanilla", "to": "box"})
    assert session.call("brought", {"scoop": 1}).refused is None
    session.clock.advance(5)
    assert session.call("brought", {"scoop": 1}).refused == "scoop 1 is at the set already, since 0:05"
    session.call("move", {"scoop": 1, "to": "box"})
    assert not session.state.scoops[1].brought
    session.clock.advance(5)
    assert session.call("brought", {"scoop": 1}).refused is None
    session.call("hero_in", {"scoops": [1]})
    session.clock.advance(5)
    assert "is at the set already" in session.call("brought", {"scoop": 1}).refused
    session.close()


def test_another_program_must_say_which_scoop(tmp_path):
    session = new_session(tmp_path / "s.setlog", plan(), HandClock())
    session.call("pull", {"scoop": 1, "flavour": "vanilla", "to": "box"})
    assert "scoop must be told" in session.call("brought", {}, program=True).refused
    assert session.call("brought", {}).entry.scoop == 1
    session.close()


def spots(*calls, until):
    ledger = told((0.0, "shot", TRIO), PULLED, *calls)
    climate = Climate(ledger.state, plan())
    scoop = ledger.state.scoops[1]
    history = climate.history(scoop, until, Product.of(plan(), "vanilla"))
    return [(one.spot, round(one.began, 1), round(one.seconds, 1)) for one in history]


def test_the_walk_is_before_it_was_brought_and_none_follows():
    walk = plan().carried_s
    brought = (300.0, "brought", {"scoop": 1})
    placed = (340.0, "hero_in", {"scoops": [1]})
    with_it, without = spots(brought, placed, until=400.0), spots(placed, until=400.0)
    assert with_it[1:] == [
        ("box", 10.0, 290.0 - walk), ("carry", 300.0 - walk, walk), ("tray", 300.0, 40.0), ("set", 340.0, 60.0),
    ]  # fmt: skip
    assert without[1:] == [("box", 10.0, 330.0 - walk), ("carry", 340.0 - walk, walk), ("set", 340.0, 60.0)]


@pytest.mark.parametrize("later", [(), ((70.0, "hero_in", {"scoops": [1]}),)])
def test_how_long_a_carry_takes_is_learned_from_when_it_ended(later):
    """Between there and the placing somebody may have dressed it, or waited: that is no carry."""
    state = told((0.0, "shot", TRIO), PULLED, (30.0, "brought", {"scoop": 1}), *later).state
    assert pull_to_set_times(state, 75.0) == [20.0]
    assert carry(state, plan()).measured == ((30.0, 20.0),)
