"""What a bare call means: the likeliest thing for the crew, and never something that was not there."""

import pytest

from studiotimer.session.calls.heroes import STAND_IN_PROP
from studiotimer.session.calls.registry import made
from studiotimer.session.defaults import filled
from studiotimer.session.desk import Desk, NoDefaultError, last_take_back, shot_fields
from tests.session.shoots import BEGAN, SHOT, TRIO, plan, told

HEAD = {"n": 99, "run": 1, "at": BEGAN, "tick": 500.0}


def pulled(number, flavour="vanilla", tick=1.0, to="box"):
    return (tick, "pull", {"scoop": number, "flavour": flavour, "to": to})


def hero(number, spot="centre", flavour="vanilla", tick=50.0):
    return (tick, "hero_in", {"scoops": [number], "flavours": [flavour], "spots": [spot], "shot": "coupe"})


def filling(kind, *calls, shoot=None, given=None, **choice):
    """Return the fields of a call after `calls`, checked to be an entry's."""
    fields = filled(kind, Desk(told(*calls), shoot or plan(), 500.0, given=given or {}, **choice))
    made(kind, fields | HEAD)
    return fields


def none_for(kind, *calls, **more):
    with pytest.raises(NoDefaultError) as missing:
        filling(kind, *calls, **more)
    return str(missing.value)


BOXLESS = plan(dry_ice={"holding_box": False})


class TestShot:
    def test_the_next_in_the_plan_and_round_again(self):
        assert filling("shot")["name"] == "coupe"
        assert filling("shot", (0, "shot", SHOT))["name"] == "trio"
        assert filling("shot", (0, "shot", TRIO))["name"] == "coupe"
        assert filling("shot", (0, "shot", SHOT | {"name": "made up"}))["name"] == "coupe"

    def test_everything_of_it_comes_from_the_plan(self):
        fields = filling("shot", given={"name": "trio"})
        assert fields == {
            "name": "trio", "look": "sheen", "lamp": "tungsten", "lux": 20_000.0,
            "flavours": ["vanilla", "cherry", "cherry"], "spots": ["left", "middle", "right"],
            "takes": 1, "spares": 1, "dressing_s": 20.0, "keeps_locks": False,
            "stands_on": None, "plate_m": None, "plate_is": "as the set", "plate_c": None, "base_m": None,
            "foot_in_frame": False, "stacked": False,
        }  # fmt: skip

    def test_one_that_is_not_in_the_plan_is_like_the_current(self):
        fields = filling("shot", (0, "shot", TRIO | {"lux": 900.0}), given={"name": "extra", "look": "melt"})
        assert (fields["name"], fields["look"], fields["lux"]) == ("extra", "melt", 900.0)
        assert filling("shot", given={"name": "extra"})["lux"] == 2000.0

    def test_flash_alone_is_no_light(self):
        shoot = plan(shots=[{"name": "a", "light": "flash", "heroes": [{"flavour": "vanilla"}]}])
        assert (shot_fields(shoot.shots[0])["lamp"], shot_fields(shoot.shots[0])["lux"]) == ("flash", 0.0)


class TestLocks:
    def test_the_first_that_is_free_is_locked(self):
        on = [(n, "lock", {"which": which, "on": True}) for n, which in enumerate(("light", "set", "camera"))]
        assert filling("lock") == {"which": "light", "on": True}
        assert filling("lock", *on[:1]) == {"which": "set", "on": True}
        assert filling("lock", *on) == {"which": "light", "on": False}

    def test_one_that_is_named_is_toggled(self):
        assert filling("lock", given={"which": "camera"}) == {"which": "camera", "on": True}
        assert filling("lock", (0, "lock", {"which": "camera", "on": True}), given={"which": "camera"})["on"] is False


class TestPull:
    def test_the_next_number_of_what_is_wanted_most_into_the_box(self):
        assert filling("pull") == {"scoop": 1, "flavour": "vanilla", "to": "box"}
        trio = (0, "shot", TRIO)
        assert filling("pull", trio, pulled(4))["scoop"] == 5
        assert filling("pull", trio, pulled(1))["flavour"] == "cherry"
        assert filling("pull", trio, pulled(1), pulled(2, "cherry"))["flavour"] == "cherry"
        assert filling("pull", trio, pulled(1), pulled(2, "cherry"), pulled(3, "cherry"))["flavour"] == "vanilla"

    def test_without_a_holding_box_onto_the_tray(self):
        assert filling("pull", shoot=BOXLESS)["to"] == "tray"


class TestJudgeAndMove:
    def test_the_last_pulled_is_a_spare(self):
        assert filling("judge", pulled(1), pulled(2, tick=9)) == {"scoop": 2, "as": "spare"}
        assert filling("judge", pulled(1), pulled(2), selected=1)["scoop"] == 1
        assert filling("judge", pulled(1), pulled(2), given={"scoop": "2"})["scoop"] == "2"

    def test_nothing_pulled_nothing_judged_or_moved(self):
        assert none_for("judge") == "no scoop has been pulled; name the one that was judged"
        assert none_for("move") == "no scoop is waiting; name the one that was moved"

    def test_the_last_pulled_that_waits_is_moved_never_a_hero_by_chance(self):
        assert filling("move", pulled(1), pulled(2, tick=2)) == {"scoop": 2, "to": "tray"}
        assert filling("move", pulled(1), pulled(2, tick=2), hero(2)) == {"scoop": 1, "to": "tray"}
        assert none_for("move", pulled(1), hero(1)).startswith("no scoop is waiting")

    def test_out_of_the_cold_and_back_into_it(self):
        assert filling("move", pulled(1, to="tray"))["to"] == "box"
        assert filling("move", pulled(1, to="tray"), shoot=BOXLESS)["to"] == "freezer"
        assert filling("move", pulled(1), (2, "move", {"scoop": 1, "to": "freezer"}))["to"] == "tray"
        assert filling("move", pulled(1), hero(1), selected=1) == {"scoop": 1, "to": "box"}

    def test_one_that_was_never_logged_has_its_pull_assumed(self):
        assert filling("move", given={"scoop": 7}) == {"scoop": 7, "to": "box", "assumed_pull_s": 75.0}


class TestStandIn:
    def test_a_prop_while_nothing_waits_and_off_again(self):
        assert filling("stand_in") == {"prop": STAND_IN_PROP, "on": True}
        standing = (1, "stand_in", {"prop": "ball", "on": True})
        assert filling("stand_in", standing) == {"prop": "ball", "on": False}
        assert filling("stand_in", standing, given={"prop": "ball"}) == {"prop": "ball", "on": False}
        assert filling("stand_in", standing, given={"prop": "cube"}) == {"prop": "cube", "on": True}

    def test_the_worst_that_waits_for_the_best_are_for_the_camera(self):
        assert filling("stand_in", pulled(1), pulled(2), pulled(3), best=(3, 1, 2)) == {"scoop": 2, "on": True}
        assert filling("stand_in", pulled(1), pulled(2)) == {"scoop": 2, "on": True}

    def test_off_again(self):
        standing = (pulled(1), pulled(2), (9, "stand_in", {"scoop": 1, "on": True}))
        assert filling("stand_in", *standing) == {"scoop": 1, "on": False}
        assert filling("stand_in", *standing, selected=1) == {"scoop": 1, "on": False}
        assert filling("stand_in", *standing, selected=2) == {"scoop": 2, "on": True}
        assert filling("stand_in", *standing, given={"scoop": 1}) == {"scoop": 1, "on": False}

    def test_one_that_was_never_logged(self):
        assert filling("stand_in", given={"scoop": 7}) == {"scoop": 7, "on": True, "assumed_pull_s": 75.0}


class TestHeroIn:
    def test_the_best_of_each_flavour_to_its_spot(self):
        line = [(0, "shot", TRIO), pulled(1), pulled(2, "cherry"), pulled(3), pulled(4, "cherry"), pulled(5, "cherry")]
        assert filling("hero_in", *line, best=(3, 5, 1, 2, 4)) == {
            "scoops": [3, 5, 2], "flavours": ["vanilla", "cherry", "cherry"], "spots": ["left", "middle", "right"],
            "shot": "trio",
        }  # fmt: skip

    def test_only_the_spots_that_are_free(self):
        line = [(0, "shot", TRIO), pulled(1), pulled(2, "cherry"), hero(1, "left")]
        assert filling("hero_in", *line)["spots"] == ["middle"], "only those that wait"
        assert filling("hero_in", *line, given={"spots": ["right"]})["scoops"] == [2]

    def test_what_was_not_logged_is_taken_with_new_numbers(self):
        fields = filling("hero_in", (0, "shot", TRIO))
        assert (fields["scoops"], fields["assumed_pull_s"]) == ([1, 2, 3], 75.0)
        assert filling("hero_in", (0, "shot", TRIO), pulled(4, "cherry"))["scoops"] == [4]
        assert filling("hero_in")["scoops"] == [1]

    def test_a_scoop_that_is_named_goes_to_a_spot_of_its_flavour(self):
        line = [(0, "shot", TRIO), pulled(1), pulled(2, "cherry")]
        for more in ({"given": {"scoops": [2]}}, {"given": {"scoops": "2"}}, {"selected": 2}):
            assert filling("hero_in", *line, **more)["spots"] == ["middle"]
        fields = filling("hero_in", *line, given={"scoops": [2, 1, 9]})
        assert fields["spots"] == ["middle", "left", "right"]
        assert fields["flavours"] == ["cherry", "vanilla", "cherry"]

    def test_a_scoop_without_a_spot_in_the_plan_gets_one_of_its_own(self):
        full = [(0, "shot", SHOT), pulled(1), pulled(2, "cherry"), hero(1)]
        assert filling("hero_in", *full, given={"scoops": [2]})["spots"] == ["cherry 2"]
        assert filling("hero_in", given={"scoops": [2]})["spots"] == ["unknown 2"]
        long = "v" * 80
        fields = filling("hero_in", *full, pulled(3, long), given={"scoops": [3]})
        assert fields["spots"] == [f"{long} 3"]

    def test_with_every_spot_taken_it_asks(self):
        full = [(0, "shot", SHOT), pulled(1), pulled(2), hero(1)]
        sentence = "every spot has its hero; swap one, or name the scoop that comes in"
        assert none_for("hero_in", *full) == sentence
        assert none_for("hero_in", *full, selected=1) == sentence


class TestSwapAndOut:
    LINE = ((0, "shot", TRIO), pulled(1), pulled(2, "cherry"), pulled(3), pulled(4, "cherry"), pulled(5))

    def test_the_one_that_ends_the_window_for_the_best_of_its_flavour(self):
        on_set = [*self.LINE, hero(1, "left"), hero(2, "middle", "cherry", 60)]
        fields = filling("swap", *on_set, best=(5, 4, 3), ending=2)
        assert fields == {"out": 2, "in": 4, "spot": "middle"}
        assert filling("swap", *on_set, best=(5, 4, 3)) == {"out": 1, "in": 5, "spot": "left"}
        assert filling("swap", *on_set, ending=77)["out"] == 1

    def test_a_chosen_hero_leaves_and_a_chosen_scoop_comes(self):
        on_set = [*self.LINE, hero(1, "left"), hero(2, "middle", "cherry", 60)]
        assert filling("swap", *on_set, selected=2, ending=1)["out"] == 2
        assert filling("swap", *on_set, selected=3, ending=1) == {"out": 1, "in": 3, "spot": "left"}
        assert filling("swap", *on_set, given={"out": 2})["in"] == 4
        assert filling("swap", *on_set, given={"in": "5"})["in"] == "5"

    def test_with_none_left_the_next_number_comes(self):
        fields = filling("swap", (0, "shot", SHOT), pulled(1), hero(1))
        assert fields == {"out": 1, "in": 2, "spot": "centre", "flavour": "vanilla", "assumed_pull_s": 75.0}

    def test_with_none_on_set_it_asks_unless_it_is_told(self):
        assert none_for("swap", pulled(1)).startswith("no hero is on set")
        assert filling("swap", pulled(1), given={"out": 7}) == {"out": 7, "in": 1, "assumed_pull_s": 75.0}

    def test_the_oldest_is_gone_and_after_got_it_all(self):
        on_set = [*self.LINE, hero(1, "left"), hero(2, "middle", "cherry", 60)]
        assert filling("out", *on_set) == {"scoops": [1], "why": "gone"}
        assert filling("out", *on_set, selected=2)["scoops"] == [2]
        assert filling("out", *on_set, given={"scoops": [1]})["scoops"] == [1]
        got = (70, "got_it", {"shot": "trio"})
        assert filling("out", *on_set, got) == {"scoops": [1, 2], "why": "got it"}

    def test_without_heroes_the_stand_ins(self):
        assert filling("out", pulled(1), (2, "stand_in", {"scoop": 1, "on": True}))["scoops"] == [1]
        assert none_for("out") == "nothing is on set; name the scoop that is out"


class TestLook:
    def test_the_next_change_of_the_oldest_hero(self):
        on_set = [(0, "shot", TRIO), hero(2, "left", tick=40), hero(1, "middle", tick=60)]
        assert filling("look", *on_set) == {"scoop": 2, "seen": "sheen"}
        seen = [
            (70 + n, "look", {"scoop": 2, "seen": what})
            for n, what in enumerate(["sheen", "edges", "first drip", "slump"])
        ]
        for count, following in enumerate(["sheen", "edges", "first drip", "slump", "slump"]):
            assert filling("look", *on_set, *seen[:count])["seen"] == following

    def test_the_chosen_or_named_one(self):
        assert filling("look", hero(1), hero(2), selected=2)["scoop"] == 2
        assert filling("look", given={"scoop": 9}) == {"scoop": 9, "seen": "sheen", "assumed_pull_s": 75.0}

    def test_on_the_stand_in_while_there_is_no_hero(self):
        assert filling("look", pulled(1), (2, "stand_in", {"scoop": 1, "on": True}))["scoop"] == 1
        assert none_for("look", pulled(1)).startswith("no scoop is on set")


class TestTheRest:
    def test_got_it_is_the_current_shot(self):
        assert filling("got_it", (0, "shot", SHOT)) == {"shot": "coupe"}
        assert none_for("got_it") == "no shot has begun; name the shot"

    def test_dry_ice_as_it_was_last(self):
        assert filling("top_up") == {"mass_kg": 0.5, "form": "slab", "where": "set"}
        last = (1, "top_up", {"mass_kg": 2.0, "form": "pellets", "where": "box"})
        assert filling("top_up", last) == last[2]
        assert filling("ice_cleared", last) == {"where": "box"}
        assert filling("ice_cleared") == {"where": "set"}

    def test_the_lamp_toggles(self):
        assert filling("lamp") == {"on": False}
        assert filling("lamp", (0, "lamp", {"on": False})) == {"on": True}

    def test_tubs(self):
        assert filling("tub_out", (0, "shot", TRIO)) == {"flavour": "vanilla"}
        assert filling("tub_out", (0, "shot", TRIO), (1, "tub_out", {"flavour": "vanilla"})) == {"flavour": "cherry"}
        out = [(1, "tub_out", {"flavour": "cherry"}), (2, "tub_out", {"flavour": "vanilla"})]
        assert filling("tub_out", *out) == {"flavour": "vanilla"}
        assert filling("tub_back", *out) == {"flavour": "cherry"}
        assert filling("tub_back") == {"flavour": "vanilla"}

    @pytest.mark.parametrize(
        ("what", "value"),
        [("air_c", 22.0), ("room_c", 22.0), ("humidity", 0.45), ("freezer_c", -18.0), ("box_c", -40.0), ("lux", 2000.0),
         ("co2_ppm", 420.0)],
    )  # fmt: skip
    def test_a_reading_starts_at_what_was_planned(self, what, value):
        assert filling("reading", given={"what": what}) == {"what": what, "value": value}

    def test_a_reading_starts_at_the_last_value(self):
        read = [(1, "reading", {"what": "humidity", "value": 0.6}), (2, "reading", {"what": "air_c", "value": 5.0})]
        assert filling("reading") == {"what": "air_c", "value": 22.0}
        assert filling("reading", *read) == {"what": "air_c", "value": 5.0}
        assert filling("reading", *read, given={"what": "humidity"})["value"] == 0.6
        assert filling("reading", (0, "shot", SHOT | {"lux": 70.0}), given={"what": "lux"})["value"] == 70.0
        assert filling("reading", shoot=plan(freezer_c=-15.0), given={"what": "freezer_c"})["value"] == -15.0

    def test_the_next_shot_is_one_that_is_not_got_and_none_once_all_are(self):
        begun = [(0, "shot", SHOT)]
        assert filling("shot", *begun)["name"] == "trio"
        got = [*begun, (1, "got_it", {"shot": "trio"})]
        assert filling("shot", *got)["name"] == "coupe"
        all_got = [*got, (2, "got_it", {"shot": "coupe"})]
        assert none_for("shot", *all_got) == "every shot of the plan is got; choose the one to make again by its name"
        assert filling("shot", *all_got, given={"name": "trio"})["name"] == "trio"

    def test_frames_are_numbered(self):
        assert filling("frame", (0, "shot", SHOT), (1, "frame", {"name": "a"})) == {"name": "frame 2", "shot": "coupe"}
        assert filling("frame") == {"name": "frame 1"}

    def test_words_are_asked_for(self):
        assert none_for("note") == "a note needs its words"
        assert filling("note", given={"text": "good texture"}) == {"text": "good texture"}
        assert filling("hold") == {}

    def test_mends_are_of_the_last_call_that_counts(self):
        calls = [pulled(1), pulled(2), (3, "frame", {"name": "a"}), (4, "take_back", {"entry": 2})]
        assert filling("take_back", *calls) == {"entry": 1}
        assert filling("amend", *calls, given={"change": {"tick": 0.5}}) == {"entry": 1, "change": {"tick": 0.5}}
        assert filling("take_back", *calls, given={"entry": 4}) == {"entry": 4}
        amended = [*calls, (5, "amend", {"entry": 1, "change": {"tick": 0.5}})]
        assert filling("take_back", *amended) == {"entry": 5}
        assert filling("take_back", *amended, (6, "take_back", {"entry": 5})) == {"entry": 1}
        assert none_for("amend", *calls) == "amend needs what to change: its time, scoop or place"
        assert none_for("amend") == "there is no call to amend yet"
        assert none_for("take_back") == "there is no call to take back"
        desk = Desk(told(*calls), plan(), 500.0)
        assert last_take_back(desk).n == 4
        assert last_take_back(Desk(told(*calls, (5, "take_back", {"entry": 4})), plan(), 500.0)).n == 5

    def test_what_is_given_as_nothing_is_not_given(self):
        assert filling("pull", given={"scoop": None, "to": "tray"}) == {"scoop": 1, "flavour": "vanilla", "to": "tray"}
