"""The fold: facts are taken with the steps that must have been, only what cannot be true is refused."""

import pytest

from studiotimer.session.calls.registry import apply, fold
from studiotimer.session.calls.scooping import DEFAULT_PULL_TO_SET_S
from studiotimer.session.fields import HIGHEST_NUMBER
from studiotimer.session.scoops import Scoop, Stay
from studiotimer.session.state import ContradictionError, State
from studiotimer.thermal.charge import Charge
from tests.session.shoots import SHOT, TRIO, entry, told


def state_after(*calls):
    """Return the state after calls that all can be true, each (tick, kind, fields)."""
    state = told(*calls).state
    assert state.contradictions == ()
    return state


def refused(state, kind, **fields):
    with pytest.raises(ContradictionError) as error:
        apply(state, entry(99, kind, **fields), fields.pop("tick", 100.0))
    return str(error.value)


def pulled(number=1, tick=0, to="box", flavour="vanilla"):
    return (tick, "pull", {"scoop": number, "flavour": flavour, "to": to})


def hero(number=1, tick=50, **fields):
    return (tick, "hero_in", {"scoops": [number], **fields})


def stays(scoop):
    return [(stay.place, stay.since, stay.assumed) for stay in scoop.stays]


def test_a_scoop_from_pull_to_out():
    state = state_after(
        (0, "shot", SHOT),
        pulled(to="box", tick=10),
        (40, "move", {"scoop": 1, "to": "tray"}),
        (45, "judge", {"scoop": 1, "as": "hero"}),
        hero(1, 60, spots=["centre"]),
        (90, "look", {"scoop": 1, "seen": "sheen"}),
        (120, "out", {"scoops": [1], "why": "got it"}),
    )
    scoop = state.scoops[1]
    assert stays(scoop) == [("box", 10, False), ("tray", 40, False), ("set", 60, False), ("out", 120, False)]
    assert (scoop.flavour, scoop.judged, scoop.hero, scoop.spot, scoop.shot) == (
        "vanilla",
        "hero",
        True,
        "centre",
        "coupe",
    )
    assert (scoop.seen, scoop.why_out) == (((90, "sheen"),), "got it")
    assert (scoop.pulled, scoop.place, scoop.since, scoop.assumed) == (10, "out", 120, False)
    assert (scoop.waiting, scoop.on_set, scoop.hero_on_set) == (False, False, False)
    assert (state.takes, state.heroes_used, state.last_time) == ({"coupe": 1}, {"coupe": 1}, 120)


class TestAScoopThatWasNeverLogged:
    @pytest.mark.parametrize(
        ("kind", "fields", "place"),
        [
            ("hero_in", {"scoops": [7]}, "set"),
            ("swap", {"out": 3, "in": 7}, "set"),
            ("move", {"scoop": 7, "to": "box"}, "box"),
            ("stand_in", {"scoop": 7, "on": True}, "set"),
        ],
    )
    @pytest.mark.parametrize("ago", [None, 40.0])
    def test_is_taken_its_pull_assumed_and_marked(self, kind, fields, place, ago):
        state = state_after((0, "shot", SHOT), (200, kind, fields | {"assumed_pull_s": ago}))
        scoop = state.scoops[7]
        assert scoop.assumed
        assert stays(scoop) == [("tray", 200 - (ago or DEFAULT_PULL_TO_SET_S), True), (place, 200, False)]
        assert scoop.flavour == "vanilla"

    def test_taken_out_was_on_set(self):
        state = state_after((200, "out", {"scoops": [7], "why": "dropped"}))
        assert stays(state.scoops[7]) == [("tray", 125, True), ("set", 200, True), ("out", 200, False)]
        assert state.scoops[7].hero

    def test_a_stand_in_taken_off_was_on_set_though_no_hero(self):
        state = state_after((200, "stand_in", {"scoop": 7, "on": False}))
        assert stays(state.scoops[7]) == [("tray", 125, True), ("set", 200, True), ("out", 200, False)]
        assert not state.scoops[7].hero

    def test_swapped_out_was_on_set_and_its_follower_has_its_flavour(self):
        state = state_after((0, "shot", TRIO), (200, "swap", {"out": 3, "in": 7, "flavour": "cherry"}))
        assert stays(state.scoops[3])[1:] == [("set", 200, True), ("out", 200, False)]
        assert [state.scoops[number].flavour for number in (3, 7)] == ["cherry", "cherry"]

    def test_a_follower_never_logged_has_the_flavour_of_the_one_that_leaves(self):
        state = state_after(
            (0, "shot", TRIO), pulled(2, 1, flavour="cherry"), hero(2), (90, "swap", {"out": 2, "in": 8})
        )
        assert state.scoops[8].flavour == "cherry"

    def test_its_flavour_is_that_of_its_spot(self):
        state = state_after((0, "shot", TRIO), hero(7, 50, spots=["middle"]))
        assert state.scoops[7].flavour == "cherry"
        assert state_after((0, "shot", TRIO), hero(7, 50, spots=["elsewhere"])).scoops[7].flavour == "vanilla"

    def test_without_a_shot_its_flavour_is_unknown(self):
        assert state_after(hero(7)).scoops[7].flavour == "unknown"

    def test_seen_or_judged_it_is_there(self):
        assert state_after((200, "look", {"scoop": 7, "seen": "edges"})).scoops[7].seen == ((200, "edges"),)
        assert state_after((200, "judge", {"scoop": 7, "as": "reject"})).scoops[7].judged == "reject"

    def test_a_pull_told_later_mends_what_was_assumed(self):
        state = state_after(hero(7, 200), (300, "note", {"text": "x"}))
        mended = apply(state, entry(99, "pull", scoop=7, flavour="cherry", to="box"), 100.0)
        assert stays(mended.scoops[7]) == [("box", 100, False), ("set", 200, False)]
        assert (mended.scoops[7].flavour, mended.scoops[7].assumed) == ("cherry", False)

    def test_a_pull_cannot_come_after_it_was_in_use(self):
        state = state_after(hero(7, 50))
        assert refused(state, "pull", scoop=7, flavour="a", to="box") == (
            "scoop 7 was in use 0:50 before that; tell when it was pulled, or pull 8"
        )
        assert refused(state_after((50, "look", {"scoop": 7, "seen": "edges"})), "pull", scoop=7, flavour="a", to="box")


class TestRefusals:
    def test_a_number_is_pulled_once(self):
        assert refused(state_after(pulled(1)), "pull", scoop=1, flavour="a", to="box") == (
            "scoop 1 was pulled already; the next number is 2"
        )

    @pytest.mark.parametrize(
        ("kind", "fields"),
        [
            ("hero_in", {"scoops": [1]}),
            ("swap", {"out": 1, "in": 2}),
            ("swap", {"out": 2, "in": 1}),
            ("out", {"scoops": [1], "why": "gone"}),
            ("move", {"scoop": 1, "to": "box"}),
            ("stand_in", {"scoop": 1, "on": True}),
        ],
    )
    def test_what_is_out_stays_out(self, kind, fields):
        state = state_after(pulled(1), hero(1), (60, "out", {"scoops": [1], "why": "dropped"}))
        assert (
            refused(state, kind, **fields)
            == "scoop 1 is already out (dropped); choose another scoop, or take the call “out” back"
        )

    def test_yet_it_may_be_judged_and_what_was_seen_on_it_told(self):
        state = state_after(pulled(1), (5, "out", {"scoops": [1], "why": "gone"}))
        assert apply(state, entry(9, "judge", scoop=1, **{"as": "hero"}), 9).scoops[1].judged == "hero"
        assert apply(state, entry(9, "look", scoop=1, seen="slump"), 9).scoops[1].seen

    def test_a_hero_is_not_placed_twice(self):
        state = state_after(pulled(1), hero(1))
        assert refused(state, "hero_in", scoops=[1]) == "scoop 1 is on set already, since 0:50"
        assert refused(state, "stand_in", scoop=1, on=True) == "scoop 1 stands on set as hero; take it out first"

    def test_a_reject_is_not_placed_until_judged_again(self):
        state = state_after(pulled(1), (5, "judge", {"scoop": 1, "as": "reject"}))
        assert refused(state, "hero_in", scoops=[1]) == "scoop 1 was judged reject; judge it again to use it"
        again = apply(state, entry(9, "judge", scoop=1, **{"as": "spare"}), 9)
        assert apply(again, entry(10, "hero_in", scoops=[1]), 10).scoops[1].hero_on_set

    def test_one_scoop_that_cannot_be_refuses_the_whole_call(self):
        state = state_after(pulled(1), pulled(2), (5, "out", {"scoops": [2], "why": "gone"}))
        refused(state, "hero_in", scoops=[1, 2])
        assert not state.scoops[1].hero

    def test_in_a_file_it_is_passed_over_and_noted(self):
        state = state_after(pulled(1))
        after = fold(state, entry(9, "pull", scoop=1, flavour="a", to="box"), 9.0)
        assert after.but(contradictions=state.contradictions) == state
        assert [(one.n, one.why) for one in after.contradictions] == [
            (9, "scoop 1 was pulled already; the next number is 2")
        ]


class TestOnSet:
    def test_a_swap_passes_spot_and_shot_on(self):
        state = state_after(
            (0, "shot", TRIO), pulled(1), pulled(2), hero(1, 50, spots=["left"]), (80, "swap", {"out": 1, "in": 2})
        )
        assert (state.scoops[1].place, state.scoops[1].why_out) == ("out", "gone")
        assert (state.scoops[2].spot, state.scoops[2].shot, state.scoops[2].hero_on_set) == ("left", "trio", True)
        assert (state.takes, state.heroes_used) == ({"trio": 1}, {"trio": 2})

    def test_a_group_is_one_take_however_it_is_called(self):
        one_call = state_after((0, "shot", TRIO), (50, "hero_in", {"scoops": [1, 2, 3]}))
        three = state_after((0, "shot", TRIO), hero(1, 50), hero(2, 51), hero(3, 52))
        assert one_call.takes == three.takes == {"trio": 1}
        assert [scoop.number for scoop in three.heroes()] == [1, 2, 3]
        second = fold(
            fold(three, entry(8, "out", scoops=[1, 2, 3], why="gone"), 60), entry(9, "hero_in", scoops=[4]), 70
        )
        assert second.takes == {"trio": 2}

    @pytest.mark.parametrize("why", ["dropped", "restyle"])
    def test_a_hero_that_fell_before_a_frame_is_no_take(self, why):
        fell = state_after((0, "shot", TRIO), hero(1, 50), (60, "out", {"scoops": [1], "why": why}))
        assert fell.takes == {"trio": 0}
        again = fold(fell, entry(9, "hero_in", scoops=[2]), 70)
        assert again.takes == {"trio": 1}
        shot = fold(fold(again, entry(10, "frame", name="A"), 75), entry(11, "out", scoops=[2], why=why), 80)
        assert shot.takes == {"trio": 1}, "a frame of it was taken"

    def test_a_restyled_hero_waits_on_the_tray(self):
        state = state_after(pulled(1), hero(1, spots=["left"]), (80, "out", {"scoops": [1], "why": "restyle"}))
        assert (state.scoops[1].place, state.scoops[1].hero, state.scoops[1].spot) == ("tray", False, None)
        assert [scoop.number for scoop in state.line()] == [1]

    def test_a_hero_moved_away_is_no_hero_any_more(self):
        state = state_after(pulled(1), hero(1, spots=["left"]), (80, "move", {"scoop": 1, "to": "box"}))
        assert (state.scoops[1].place, state.scoops[1].hero, state.scoops[1].spot) == ("box", False, None)

    def test_moved_to_where_it_is_it_has_been_there_all_along(self):
        state = state_after(pulled(1, 3, to="tray"), (80, "move", {"scoop": 1, "to": "tray"}))
        assert stays(state.scoops[1]) == [("tray", 3, False)]

    def test_a_stand_in_stands_until_taken_off_and_may_become_hero(self):
        state = state_after(pulled(1), (20, "stand_in", {"scoop": 1, "on": True}))
        assert [scoop.number for scoop in state.stand_ins()] == [1]
        assert apply(state, entry(8, "stand_in", scoop=1, on=True), 30) == state.but(last_time=30)
        promoted = apply(state, entry(9, "hero_in", scoops=[1]), 60)
        assert (promoted.scoops[1].since, promoted.scoops[1].hero_on_set) == (20, True)
        assert apply(state, entry(9, "stand_in", scoop=1, on=False), 60).scoops[1].why_out == "gone"

    def test_props_stand_in_too(self):
        state = state_after(
            (1, "stand_in", {"prop": "ball", "on": True}), (2, "stand_in", {"prop": "cube", "on": True})
        )
        assert state.props == ("ball", "cube")
        assert apply(state, entry(9, "stand_in", prop="ball", on=False), 9).props == ("cube",)
        assert apply(state, entry(9, "stand_in", prop="ball", on=True), 9).props == ("cube", "ball")

    def test_the_line_and_what_needs_a_forecast(self):
        state = state_after(
            pulled(3), pulled(1), pulled(2), pulled(4), (5, "judge", {"scoop": 2, "as": "reject"}), hero(4)
        )
        assert [scoop.number for scoop in state.line()] == [1, 3]
        assert sorted(scoop.number for scoop in state.active()) == [1, 3, 4]

    def test_the_last_pulled_that_is_not_out(self):
        assert State().last_pulled() is None
        state = state_after(pulled(5, 1), pulled(2, 9), pulled(3, 9), (20, "out", {"scoops": [3], "why": "dropped"}))
        assert state.last_pulled().number == 2

    def test_the_next_number_follows_the_highest_even_after_a_slip_of_the_finger(self):
        assert State().next_number() == 1
        assert state_after(pulled(4)).next_number() == 5
        assert state_after(pulled(1), pulled(HIGHEST_NUMBER)).next_number() == 2


class TestTheRest:
    def test_a_shot_that_is_got_comes_back_for_another_take_and_keeps_what_it_had(self):
        state = state_after((0, "shot", SHOT), (5, "got_it", {"shot": "coupe"}), (6, "lamp", {"on": False}))
        assert state.got == {"coupe"}
        state = fold(state, entry(9, "shot", **SHOT), 10)
        assert (state.got, state.shot_got, state.shot_since) == ({"coupe"}, False, 10)
        assert fold(state, entry(10, "got_it", shot="coupe"), 20).shot_got
        assert [(light.at, light.on, light.lux) for light in state.lights] == [
            (0, True, 2000.0), (6, False, 2000.0), (10, False, 2000.0),
        ]  # fmt: skip

    def test_a_shot_begins_unlocked_unless_nothing_moves(self):
        locked = [(n, "lock", {"which": which, "on": True}) for n, which in enumerate(("light", "set", "camera"), 1)]
        moved = state_after((0, "shot", SHOT), *locked, (9, "shot", TRIO | {"keeps_locks": False}))
        assert not any(moved.locks.values())
        assert all(state_after((0, "shot", SHOT), *locked, (9, "shot", TRIO | {"keeps_locks": True})).locks.values())
        assert all(state_after((0, "shot", SHOT), *locked, (9, "shot", TRIO)).locks.values()), "as in an older file"

    def test_whatever_stands_in_leaves_with_hero_in(self):
        state = state_after(
            (0, "shot", SHOT),
            (1, "pull", {"scoop": 1, "flavour": "vanilla", "to": "box"}),
            (2, "pull", {"scoop": 2, "flavour": "vanilla", "to": "box"}),
            (3, "stand_in", {"scoop": 1, "on": True}),
            (4, "stand_in", {"prop": "foam", "on": True}),
            (5, "hero_in", {"scoops": [2], "flavours": ["vanilla"], "spots": ["centre"]}),
        )
        assert (state.stand_ins(), state.props) == ([], ())
        assert state.scoops[1].place == "out"
        assert [hero.number for hero in state.heroes()] == [2]

    def test_a_light_reading_changes_the_light_a_lamp_without_a_shot_only_its_state(self):
        state = state_after((0, "lamp", {"on": False}), (1, "reading", {"what": "lux", "value": 500}))
        assert (state.lamp_on, state.lights, state.reading("lux")) == (False, (), 500)
        state = state_after((0, "shot", SHOT), (3, "reading", {"what": "lux", "value": 900}))
        assert [(light.at, light.lux) for light in state.lights] == [(0, 2000.0), (3, 900)]

    def test_readings_are_kept_with_their_times(self):
        state = state_after(*[(tick, "reading", {"what": "air_c", "value": tick}) for tick in (1, 5)])
        assert [(change.at, change.value) for change in state.readings["air_c"]] == [(1, 1), (5, 5)]
        assert state.reading("air_c") == 5
        assert state.reading("humidity") is None

    def test_dry_ice_added_and_cleared(self):
        state = state_after(
            (1, "top_up", {"mass_kg": 0.5, "form": "slab", "where": "set"}),
            (2, "top_up", {"mass_kg": 2, "form": "pellets", "where": "box"}),
            (9, "ice_cleared", {"where": "set"}),
        )
        assert state.charges == {
            "set": (Charge(at=1, mass_kg=0.5, form="slab"),),
            "box": (Charge(at=2, mass_kg=2, form="pellets"),),
        }
        assert state.cleared == {"set": (9,), "box": ()}
        assert state.last_top_up[0] == "box"

    def test_holds_locks_tubs_frames(self):
        state = state_after(
            (1, "hold", {}), (2, "hold", {"why": "break"}), (3, "lock", {"which": "set", "on": True}),
            (4, "tub_out", {"flavour": "a"}), (5, "tub_out", {"flavour": "a"}), (6, "tub_out", {"flavour": "b"}),
            (7, "tub_back", {"flavour": "b"}), (8, "frame", {"name": "1"}), (9, "frame", {"name": "2"}),
        )  # fmt: skip
        assert (state.hold, state.frames, state.tubs_out) == (1, 2, {"a": 4})
        assert state.locks == {"light": False, "set": True, "camera": False}
        assert fold(state, entry(10, "resume"), 10).hold is None

    def test_words_and_the_opening_change_nothing_but_the_time(self):
        assert apply(State(), entry(1, "note", text="x"), 7.0) == State(last_time=7.0)
        assert apply(State(last_time=9.0), entry(1, "opened", version="0", machine="m"), 7.0) == State(last_time=9.0)


def test_before_the_first_call_nothing_is_told():
    state = State()
    assert (state.shot, state.shot_name, state.shot_before, state.shot_got, state.hold) == (
        None,
        None,
        None,
        False,
        None,
    )
    assert (state.shot_since, state.locked_last, state.last_time) == (0.0, 0.0, 0.0)
    assert (state.frames, state.clips, state.frames_before_take) == (0, 0, 0)
    assert (state.lamp_on, state.again, any(state.locks.values())) == (True, False, False)
    assert (state.heroes(), state.stand_ins(), state.line(), state.active(), state.last_pulled()) == (
        [],
        [],
        [],
        [],
        None,
    )
    assert (state.next_number(), state.read_of("freezer 1")) == (1, ())


def test_a_shot_is_got_until_it_comes_back_for_another_take():
    state = state_after((0, "shot", SHOT), (5, "got_it", {"shot": "coupe"}))
    assert state.shot_got
    assert not state_after((0, "shot", SHOT), (5, "got_it", {"shot": "coupe"}), (9, "shot", SHOT)).shot_got
    assert not state_after((0, "shot", SHOT), (5, "got_it", {"shot": "coupe"}), (9, "shot", TRIO)).shot_got


def test_past_the_highest_number_the_lowest_free_one_is_next():
    full = state_after(pulled(HIGHEST_NUMBER), pulled(2, 10))
    assert full.next_number() == 1
    assert state_after(pulled(HIGHEST_NUMBER), pulled(1, 10), pulled(2, 20)).next_number() == 3
    assert state_after(pulled(HIGHEST_NUMBER - 1)).next_number() == HIGHEST_NUMBER


def test_a_state_is_never_changed_in_place():
    state = state_after((0, "shot", SHOT), pulled(1), (5, "reading", {"what": "lux", "value": 9}))
    kept = (dict(state.scoops), tuple(state.lights), dict(state.readings), len(state.readings["lux"]))
    for call in (hero(1), pulled(2, 60), (70, "reading", {"what": "lux", "value": 1}), (80, "lamp", {"on": False})):
        fold(state, entry(9, call[1], **call[2]), call[0])
    assert (dict(state.scoops), tuple(state.lights), dict(state.readings), len(state.readings["lux"])) == kept


def test_a_scoop_tells_where_it_is():
    scoop = Scoop(1, "a", (Stay("tray", 5.0, assumed=True),))
    assert (scoop.pulled, scoop.assumed, scoop.place, scoop.waiting) == (5.0, True, "tray", True)
    assert scoop.moved("set", 9.0).on_set
    assert scoop.stays == (Stay("tray", 5.0, True),)
