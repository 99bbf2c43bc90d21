"""Amend and take back: time, scoop and place mended, undone and restored, always in order of time."""

from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from studiotimer.session.calls.registry import fold
from studiotimer.session.mending import Ledger, MendError, amended
from studiotimer.session.state import ContradictionError, State
from studiotimer.session.wording import change_words
from tests.session.given import calls
from tests.session.shoots import BEGAN, SHOT, entry, small_shoot, story, told


def pull(number, tick):
    return (tick, "pull", {"scoop": number, "flavour": "vanilla", "to": "box"})


def order(ledger):
    return [(one.at, one.entry.n) for one in ledger.told]


def states_agree(ledger):
    """Whether the state is the plain fold of what is told, and the same however the entries came in."""
    state = State()
    for one in ledger.told:
        state = fold(state, one.entry, one.at)
    return state == ledger.state == Ledger.of(ledger.entries).state


class TestAmend:
    def test_a_time_moves_the_entry_to_its_place(self):
        ledger = told(pull(1, 10), pull(2, 20), pull(3, 30), (40, "amend", {"entry": 3, "change": {"tick": 15}}))
        assert order(ledger) == [(10, 1), (15, 3), (20, 2)]
        assert ledger.state.scoops[3].pulled == 15
        assert ledger.told[1].amended
        assert ledger.entry(3).tick == 30

    def test_a_scoop_or_a_place_is_put_right(self):
        ledger = told(
            pull(1, 10),
            (20, "amend", {"entry": 1, "change": {"scoop": 5}}),
            (21, "amend", {"entry": 1, "change": {"to": "tray"}}),
        )
        assert list(ledger.state.scoops) == [5]
        assert ledger.state.scoops[5].place == "tray"

    def test_what_was_assumed_is_put_right(self):
        ledger = told((100, "hero_in", {"scoops": [7]}), (110, "amend", {"entry": 1, "change": {"assumed_pull_s": 30}}))
        assert ledger.state.scoops[7].pulled == 70

    def test_the_last_of_several_counts_and_taking_it_back_restores_the_one_before(self):
        steps = [pull(1, 10), *[(20 + i, "amend", {"entry": 1, "change": {"tick": 9 - i}}) for i in range(3)]]
        assert told(*steps).state.scoops[1].pulled == 7
        assert told(*steps, (30, "take_back", {"entry": 4})).state.scoops[1].pulled == 8

    def test_an_amend_says_from_what_to_what_after_the_ones_before_it(self):
        ledger = told(
            pull(1, 10),
            (20, "amend", {"entry": 1, "change": {"scoop": 5, "tick": 8}}),
            (21, "amend", {"entry": 1, "change": {"scoop": 6}}),
            (22, "amend", {"entry": 1, "change": {"scoop": 7, "tick": 8.5}}),
            (23, "take_back", {"entry": 3}),
        )
        words = [change_words(*each) for each in ledger.amends_of(1)]
        assert words == ["scoop 5, was 1, 2 s earlier", "scoop 7, was 5, 0.5 s later"]
        assert ledger.amends_of(2) == ledger.amends_of(99) == []

    def test_what_was_not_said_before_was_none(self):
        ledger = told((100, "hero_in", {"scoops": [7]}), (110, "amend", {"entry": 1, "change": {"assumed_pull_s": 30}}))
        assert [change_words(*each) for each in ledger.amends_of(1)] == ["pulled before 0:30, was none"]

    def test_values_are_told_as_the_rest_of_the_log_has_them(self):
        ledger = told(
            (1, "reading", {"what": "freezer_c", "value": -20.0}), (2, "lamp", {"on": True}),
            (3, "top_up", {"mass_kg": 0.5, "form": "slab"}), (4, "amend", {"entry": 1, "change": {"value": -14.0}}),
            (5, "amend", {"entry": 2, "change": {"on": False}}), (6, "amend", {"entry": 3, "change": {"mass_kg": 1.0}}),
        )  # fmt: skip
        words = [change_words(*each) for number in (1, 2, 3) for each in ledger.amends_of(number)]
        assert words == ["reading −14.0 °C, was −20.0 °C", "switched off, was on", "mass 1 kg, was 0.5 kg"]

    def test_a_change_that_does_not_fit_is_refused(self):
        one = entry(1, "pull", scoop=1, flavour="a", to="box")
        for change, sentence in [
            ({"to": "freezer"}, "pull: to: “freezer” is not known; write box or tray"),
            ({"mood": 1}, "pull: mood: there is no such field; the fields are tick, scoop, flavour, to, slot"),
            ({"n": 4}, "only a call's tick and its own fields can be amended"),
            ({"tick": -1e9}, "pull: tick: −1e+09 is not possible; give at least -86400"),
        ]:
            with pytest.raises(MendError) as refused:
                amended(one, change)
            assert str(refused.value) == sentence

    @pytest.mark.parametrize(
        ("kind", "fields", "sentence"),
        [
            ("frame", {"name": "a"}, "a frame cannot be amended"),
            ("amend", {"entry": 1, "change": {"tick": 1}}, "an amend cannot be amended"),
            ("take_back", {"entry": 1}, "a take back cannot be amended"),
            ("opened", {"version": "0", "machine": "m"}, "an opened cannot be amended"),
        ],
    )
    def test_some_kinds_are_not_mended(self, kind, fields, sentence):
        with pytest.raises(MendError) as refused:
            amended(entry(2, kind, **fields), {"tick": 1.0})
        assert str(refused.value) == sentence

    def test_in_a_file_a_change_that_does_not_fit_is_passed_over(self):
        ledger = told(pull(1, 10), (20, "amend", {"entry": 1, "change": {"mood": 1}}))
        assert ledger.state.scoops[1].pulled == 10
        assert ledger.told_of(1).amended


class TestTakeBack:
    def test_it_undoes_without_deleting(self):
        ledger = told(pull(1, 10), pull(2, 20), (30, "take_back", {"entry": 1}))
        assert list(ledger.state.scoops) == [2]
        assert ledger.undone == {1}
        assert ledger.entry(1).scoop == 1
        assert ledger.told_of(1) is None

    def test_taken_back_itself_it_restores_and_so_on(self):
        ledger = told(pull(1, 10))
        states = [ledger.state]
        for n in range(2, 8):
            ledger.add(entry(n, "take_back", 20 + n, entry=n - 1))
            states.append(ledger.state)
            assert states_agree(ledger)
        assert [1 in state.scoops for state in states] == [True, False, True, False, True, False, True]

    def test_two_take_backs_of_one_call_both_have_to_go(self):
        ledger = told(pull(1, 10), (20, "take_back", {"entry": 1}), (21, "take_back", {"entry": 1}))
        ledger.add(entry(4, "take_back", 22, entry=3))
        assert not ledger.state.scoops
        ledger.add(entry(5, "take_back", 23, entry=2))
        assert list(ledger.state.scoops) == [1]
        assert states_agree(ledger)

    def test_of_an_amended_call_and_back_keeps_the_amend(self):
        steps = [pull(1, 10), (20, "amend", {"entry": 1, "change": {"tick": 4}}), (21, "take_back", {"entry": 1})]
        assert not told(*steps).state.scoops
        assert told(*steps, (22, "take_back", {"entry": 3})).state.scoops[1].pulled == 4

    def test_an_amend_of_a_call_taken_back_shows_when_it_is_restored(self):
        ledger = told(pull(1, 10), (20, "take_back", {"entry": 1}))
        ledger.add(entry(3, "amend", 21, entry=1, change={"tick": 4.0}))
        assert not ledger.told
        ledger.add(entry(4, "take_back", 22, entry=2))
        assert order(ledger) == [(4, 1)]

    @pytest.mark.parametrize("target", [2, 3, 50])
    def test_a_mend_of_itself_or_of_what_comes_later_does_nothing(self, target):
        steps = [
            pull(1, 10),
            (20, "take_back", {"entry": target}),
            pull(3, 30),
            (40, "amend", {"entry": 60, "change": {"tick": 1}}),
        ]
        ledger = told(*steps)
        assert sorted(ledger.state.scoops) == [1, 3]
        assert ledger.undone == set()

    def test_a_take_back_of_itself_can_be_taken_back_and_restored_and_does_nothing_all_the_while(self):
        ledger = told(pull(1, 10), (20, "take_back", {"entry": 2}))
        for n, undone in ((3, {2}), (4, {3}), (5, {2, 4})):
            ledger.add(entry(n, "take_back", 20 + n, entry=n - 1))
            assert ledger.undone == undone
            assert list(ledger.state.scoops) == [1]
            assert states_agree(ledger)

    def test_mends_of_entries_that_are_lost_do_nothing(self):
        entries = [one for one in story(pull(1, 10), pull(2, 20), (30, "take_back", {"entry": 1})) if one.n != 1]
        late = Ledger.of(entries[:1])
        late.add(entries[1])
        assert list(Ledger.of(entries).state.scoops) == list(late.state.scoops) == [2]


class TestAdmit:
    def test_what_cannot_be_leaves_everything_as_it_was(self):
        ledger = told(pull(1, 10), (20, "hero_in", {"scoops": [1]}), (30, "out", {"scoops": [1], "why": "gone"}))
        kept = (list(ledger.entries), list(ledger.told), ledger.state, set(ledger.undone))
        for refused, why in [
            (
                entry(4, "move", 40, scoop=1, to="box"),
                "scoop 1 is already out (gone); choose another scoop, or take the call “out” back",
            ),
            (
                entry(4, "move", 35, scoop=1, to="box"),
                "scoop 1 is already out (gone); choose another scoop, or take the call “out” back",
            ),
            (entry(4, "pull", 5, scoop=1, flavour="a", to="box"), "then a pull (entry 1) could not be: scoop 1 was"),
            (
                entry(4, "amend", 40, entry=1, change={"tick": 25.0}),
                "then a pull (entry 1) could not be: scoop 1 was in",
            ),
            (entry(4, "pull", 15, scoop=1, flavour="a", to="box"), "scoop 1 was"),
            (
                entry(4, "out", 15, scoops=[1], why="gone"),
                "then a hero in (entry 2) could not be: scoop 1 is already out",
            ),
        ]:
            with pytest.raises(ContradictionError) as error:
                ledger.admit(refused)
            assert str(error.value).startswith(why)
            assert (list(ledger.entries), list(ledger.told), ledger.state, set(ledger.undone)) == kept
        ledger.admit(entry(4, "note", 41, text="x"))
        assert states_agree(ledger)

    def test_what_was_untrue_before_does_not_stand_in_the_way(self):
        ledger = told(pull(1, 10), pull(1, 20), (30, "note", {"text": "x"}))
        assert [one.n for one in ledger.state.contradictions] == [2]
        ledger.admit(entry(4, "take_back", 40, entry=3))
        ledger.admit(entry(5, "amend", 41, entry=1, change={"tick": 2.0}))
        assert ledger.state.scoops[1].pulled == 2

    def test_a_take_back_may_leave_a_step_assumed(self):
        ledger = told(pull(1, 10), (20, "hero_in", {"scoops": [1]}))
        ledger.admit(entry(3, "take_back", 30, entry=1))
        assert ledger.state.scoops[1].assumed


class TestTime:
    def test_between_runs_the_wall_clock_is_used_and_marked(self):
        entries = [
            entry(1, "opened", 0, version="0", machine="m"),
            entry(2, "note", 100, text="x"),
            entry(3, "opened", 0.5, run=2, at=BEGAN + timedelta(seconds=400.5), version="0", machine="m"),
            entry(4, "note", 10, run=2, at=BEGAN + timedelta(seconds=410), text="y"),
        ]
        ledger = Ledger.of(entries)
        assert [one.at for one in ledger.told] == [0, 100, 400.5, 410]
        assert [run.doubtful for run in ledger.runs.values()] == [False, True]
        assert ledger.wall_time(405) == BEGAN + timedelta(seconds=405)
        assert ledger.wall_time(100) == BEGAN + timedelta(seconds=100)
        assert ledger.wall_time(-5) == BEGAN - timedelta(seconds=5)

    def test_where_it_was_told_how_long_the_file_was_closed_that_counts_and_not_the_wall_clock(self):
        entries = [
            entry(1, "note", 100, text="x"),
            entry(2, "opened", 2, run=2, at=BEGAN + timedelta(hours=1), version="0", machine="m", since_s=60.0),
            entry(3, "note", 9, run=2, at=BEGAN + timedelta(hours=1, seconds=7), text="y"),
        ]
        ledger = Ledger.of(entries)
        assert [one.at for one in ledger.told] == [100, 160, 167]
        first, second = ledger.runs.values()
        assert (first.number, first.began, first.gap_s, first.doubtful, first.opening) == (1, 0.0, 0.0, False, 1)
        assert (second.number, second.began, second.doubtful, second.opening) == (2, 158.0, False, 2)
        assert second.gap_s == 3500.0
        assert second.wall == BEGAN + timedelta(hours=1, seconds=-2)
        assert [ledger.wall_time(at) for at in (157.0, 158.0)] == [BEGAN + timedelta(seconds=157), second.wall]

    def test_a_clock_set_back_between_runs_never_turns_time_round(self):
        entries = [
            entry(1, "note", 100, text="x"),
            entry(2, "opened", 0, run=2, at=BEGAN - timedelta(hours=1), version="0", machine="m"),
            entry(3, "note", 7, run=2, at=BEGAN - timedelta(hours=1), text="y"),
        ]
        assert [one.at for one in Ledger.of(entries).told] == [100, 100, 107]

    def test_a_clock_set_back_inside_a_run_changes_nothing(self):
        late = entry(2, "note", 50, at=BEGAN - timedelta(hours=1), text="x")
        ledger = Ledger.of([entry(1, "note", 0, text="x"), late])
        assert [one.at for one in ledger.told] == [0, 50]
        after = entry(3, "opened", 0, run=2, at=late.at + timedelta(seconds=60), version="0", machine="m")
        ledger.add(after)
        assert ledger.seconds(after) == 110

    def test_frames_whose_camera_clock_is_off_do_not_shift_the_next_run(self):
        frame = entry(2, "frame", 5000, at=BEGAN + timedelta(days=2), name="a")
        opened = entry(3, "opened", 0, run=2, at=BEGAN + timedelta(seconds=60), version="0", machine="m")
        assert Ledger.of([entry(1, "note", 0, text="x"), frame, opened]).seconds(opened) == 60

    def test_over_midnight_and_a_clock_change_for_summer_seconds_go_on(self):
        steps = [(tick, "note", {"text": "x"}) for tick in (0, 14 * 3600, 18 * 3600)]
        assert [one.at for one in told(*steps).told] == [0, 14 * 3600, 18 * 3600]


def test_entries_are_found_by_number_also_in_a_file_with_holes():
    ledger = Ledger.of([one for one in small_shoot() if one.n not in (3, 4)])
    assert ledger.entry(5).n == 5
    assert ledger.entry(3) is None
    assert ledger.entry(500) is None
    assert ledger.told_of(20).at == 85
    assert ledger.told_of(22) is None


@given(st.data())
@settings(max_examples=60, deadline=None)
def test_entry_by_entry_or_all_at_once_the_state_is_the_same(data):
    """Long enough for the checkpoints to matter, with mends of anything."""
    ledger = Ledger()
    tick = 0.0
    for n in range(1, data.draw(st.integers(1, 150)) + 1):
        tick += 1.0
        if n > 1 and n % 5 == 0:
            target = data.draw(st.integers(max(1, n - 90), n + 1))
            if data.draw(st.booleans()):
                ledger.add(entry(n, "take_back", tick, entry=target))
            else:
                ledger.add(entry(n, "amend", tick, entry=target, change={"tick": data.draw(st.floats(0, tick))}))
        elif n % 11 == 0:
            kind, fields = data.draw(calls())
            ledger.add(entry(n, kind, tick - data.draw(st.floats(0, 70)), **fields))
        else:
            ledger.add(entry(n, *[("shot", "lamp", "tub_out")[n % 3]][:1], tick, **_plain_fields(n)))
    assert states_agree(ledger)
    again = Ledger.of(ledger.entries)
    assert (again.told, again.undone) == (ledger.told, ledger.undone)


def _plain_fields(n):
    return [SHOT, {"on": bool(n % 2)}, {"flavour": f"flavour {n % 7}"}][n % 3]
