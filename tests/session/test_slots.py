"""Which scoop in the box is 8: slots are given in turn, logged, told, and free again."""

import pytest

from studiotimer.prep.plan import PlanError, parse_plan
from studiotimer.prep.slots import parse_grid, slots
from studiotimer.session.live import new_session
from studiotimer.session.wording import entry_words
from tests.session.clocks import HandClock

PLAN = {
    "flavours": [{"name": "vanilla"}],
    "shots": [{"name": "plate", "heroes": [{"flavour": "vanilla"}]}],
    "dry_ice": {"box_grid": "2 x 2", "tray_grid": "3 x 1"},
}


@pytest.fixture
def session(tmp_path):
    begun = new_session(tmp_path / "slots.setlog", parse_plan(PLAN), HandClock())
    yield begun
    begun.close()


def call(session, kind, **given):
    session.clock.advance(5)
    outcome = session.call(kind, given)
    assert outcome.entry is not None, outcome
    return outcome.entry


def test_a_grid_is_lettered_across_and_numbered_down():
    assert slots("3 x 2") == ("A1", "B1", "C1", "A2", "B2", "C2")
    assert slots("") == ()
    assert parse_grid(" 4 by 3 ") == (4, 3)


@pytest.mark.parametrize("text", ["many", "0 x 3", "4 x 99", "4", "-1 x 2"])
def test_what_is_no_grid_is_said(text):
    with pytest.raises(PlanError, match="grid"):
        parse_plan(PLAN | {"dry_ice": {"box_grid": text}})


def test_a_pull_takes_the_next_free_slot_and_frees_it_when_it_goes(session):
    call(session, "shot")
    pulled = [call(session, "pull").slot for _ in range(3)]
    assert pulled == ["A1", "B1", "A2"]
    call(session, "hero_in", scoops=[1])
    assert session.state.scoops[1].slot is None
    assert call(session, "pull").slot == "A1"
    assert call(session, "pull").slot == "B2"
    full = call(session, "pull")
    assert (full.to, full.slot) == ("box", None), "nothing is refused because the box is full"


def test_a_move_takes_a_slot_of_the_other_place(session):
    call(session, "pull")
    moved = call(session, "move", scoop=1)
    assert (moved.to, moved.slot) == ("tray", "A1")
    assert session.state.scoops[1].where == "tray A1"
    assert entry_words(moved) == "1 to tray A1"
    assert entry_words(call(session, "pull")) == "2 pulled, vanilla, to box A1"


def test_a_slot_may_be_told_and_changed(session):
    call(session, "pull", slot="B2")
    assert session.state.scoops[1].where == "box B2"
    call(session, "move", scoop=1, to="box", slot="A2")
    assert session.state.scoops[1].where == "box A2"


def test_without_a_grid_nobody_is_asked(tmp_path):
    session = new_session(tmp_path / "none.setlog", parse_plan(PLAN | {"dry_ice": {}}), HandClock())
    assert call(session, "pull").slot is None
    assert session.state.scoops[1].where == "box"
    session.close()
