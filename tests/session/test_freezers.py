"""Freezers by their names, cores of tubs and scoops, doors: unit, fold, climate and cues."""

import pytest

from studiotimer.prep.plan import PlanError, parse_plan
from studiotimer.session.asked import check_told
from studiotimer.session.calls.registry import made
from studiotimer.session.climate import Climate
from studiotimer.session.first_lines import BadLineError
from studiotimer.session.freezers import (
    DOOR_S,
    READ_AGAIN_S,
    core_question,
    freezers_now,
    meanwhile,
    ready_words,
    too_warm,
    warning_words,
)
from studiotimer.session.live import Choice
from studiotimer.session.product import Product
from studiotimer.session.state import Change
from studiotimer.session.wording import entry_words
from tests.session.shoots import entry, told
from tests.session.test_cues import PLAN, Shoot

TWO = PLAN | {
    "flavours": [{"name": "pistachio", "mix": "premium"}, {"name": "lemon", "mix": "sorbet", "freezer": 2}],
    "freezers": ["chest"],
}


def plan(**changes):
    return parse_plan(TWO | changes)


@pytest.fixture
def shoot(tmp_path):
    begun = Shoot(tmp_path / "freezers.setlog", plan())
    yield begun
    begun.session.close()


def read(tick, value, freezer=None):
    return tick, "reading", {"what": "freezer_c", "value": value, "freezer": freezer}


def core(tick, value, **whose):
    return tick, "reading", {"what": "core_c", "value": value, **whose}


def starts(ledger, flavour, pulled=100.0, **changes):
    """Return the temperature a scoop of `flavour` pulled then starts from."""
    known = plan(**changes)
    state = ledger.state
    scoop = next(one for one in state.scoops.values() if one.flavour == flavour and one.pulled == pulled)
    return Climate(state, known).start_c(Product.of(known, flavour), scoop, 1e6)


PULLED = [
    (100, "pull", {"scoop": 1, "flavour": "pistachio", "to": "box"}),
    (100, "pull", {"scoop": 2, "flavour": "lemon", "to": "box"}),
]


class TestNames:
    def test_a_freezer_has_its_name_or_its_number(self):
        assert plan().freezer_names == {1: "chest", 2: "freezer 2"}
        assert plan(freezers=["chest", "upright", "van"]).freezer_names == {1: "chest", 2: "upright", 3: "van"}

    def test_an_old_plan_has_its_numbers(self):
        assert parse_plan(PLAN).freezer_names == {1: "freezer 1"}

    def test_names_go_along_with_the_plan(self):
        assert type(plan()).from_snapshot(plan().snapshot()).freezers == ["chest"]

    @pytest.mark.parametrize("names", [["chest", "chest"], ["freezer 2"]])
    def test_two_freezers_of_one_name_are_refused(self, names):
        with pytest.raises(PlanError, match=r"freezers: the name .* is used twice; give each its own name"):
            plan(freezers=names)


class TestReadings:
    def test_a_reading_belongs_to_its_freezer(self):
        ledger = told(read(10, -20.0, "chest"), read(20, -9.0, "freezer 2"), *PULLED)
        assert starts(ledger, "pistachio") == -20.0
        assert starts(ledger, "lemon") == -9.0

    def test_one_that_names_none_counts_for_all_until_they_are_read(self):
        ledger = told(read(10, -20.0), read(20, -9.0, "freezer 2"), *PULLED)
        assert (starts(ledger, "pistachio"), starts(ledger, "lemon")) == (-20.0, -9.0)
        later = told(read(10, -20.0, "chest"), read(20, -9.0), *PULLED)
        assert (starts(later, "pistachio"), starts(later, "lemon")) == (-9.0, -9.0)

    def test_a_freezer_not_read_is_as_planned(self):
        assert starts(told(read(10, -20.0, "freezer 2"), *PULLED), "pistachio") == -14.0

    def test_a_tub_put_into_another_freezer_is_as_cold_as_that(self):
        moved = (30, "tub_back", {"flavour": "pistachio", "freezer": "freezer 2"})
        ledger = told(read(10, -20.0, "chest"), read(20, -9.0, "freezer 2"), moved, *PULLED)
        assert starts(ledger, "pistachio") == -9.0
        after = told(read(10, -20.0, "chest"), read(20, -9.0, "freezer 2"), *PULLED, (200, *moved[1:]))
        assert starts(after, "pistachio") == -20.0

    def test_words_name_it(self):
        assert entry_words(entry(1, "reading", what="freezer_c", value=-18.0, freezer="chest")) == "chest −18.0 °C"
        assert entry_words(entry(1, "reading", what="freezer_c", value=-18.0)) == "freezer −18.0 °C"
        assert entry_words(entry(1, "reading", what="core_c", value=-12.0, flavour="lemon")) == "core of lemon −12.0 °C"
        assert entry_words(entry(1, "reading", what="core_c", value=-12.0, scoop=3)) == "core of scoop 3 −12.0 °C"

    def test_of_one_freezer_without_a_name_none_is_filled_in(self, tmp_path):
        begun = Shoot(tmp_path / "one.setlog", parse_plan(PLAN))
        begun.call("reading", what="freezer_c", value=-15.0)
        assert begun.session.ledger.entries[-1].freezer is None
        begun.session.close()

    def test_of_several_the_one_read_last_is_filled_in(self, shoot):
        shoot.call("reading", what="freezer_c", value=-15.0, freezer="freezer 2")
        shoot.call("reading", what="freezer_c", value=-15.0)
        assert shoot.session.ledger.entries[-1].freezer == "freezer 2"

    @pytest.mark.parametrize(
        ("fields", "words"),
        [
            ({"what": "core_c", "value": -12.0}, "core: say whose it is"),
            ({"what": "core_c", "value": -12.0, "flavour": "lemon", "scoop": 3}, "core: say whose it is"),
            ({"what": "room_c", "value": 22.0, "freezer": "chest"}, "freezer is told of a freezer reading only"),
            ({"what": "freezer_c", "value": -18.0, "scoop": 3}, "scoop is told of a core reading only"),
            ({"what": "core_c", "value": 200.0, "flavour": "lemon"}, "core: 200.0 °C is not possible"),
        ],
    )
    def test_bad_input_is_one_sentence(self, fields, words):
        with pytest.raises(BadLineError, match=words) as caught:
            made("reading", {"n": 1, "run": 1, "at": "2026-06-14T10:00:00Z", "tick": 0.0, **fields})
        assert "\n" not in str(caught.value)

    def test_another_program_names_a_freezer_of_the_plan_and_whose_core_it_is(self, shoot):
        desk = shoot.session.desk()
        with pytest.raises(BadLineError, match=r"no freezer .?fridge.? in the plan; write one of chest, freezer 2"):
            check_told("reading", {"what": "freezer_c", "value": -18.0, "freezer": "fridge"}, desk)
        outcome = shoot.session.call("reading", {"what": "core_c", "value": -12.0}, program=True)
        assert "say whose it is" in outcome.refused

    def test_what_was_read_can_be_amended_from_one_kind_to_another(self, shoot):
        from studiotimer.session.choices import amendment

        shoot.call("reading", what="freezer_c", value=-15.0, freezer="freezer 2")
        number = shoot.session.ledger.entries[-1].n
        shoot.call("amend", **amendment(shoot.session.desk(), number, {"what": "box_c"}))
        assert shoot.session.state.reading("box_c") == -15.0
        assert "freezer 2" not in shoot.session.state.freezers


class TestCores:
    def test_a_tub_starts_from_its_core_from_then_on(self):
        assert starts(told(core(50, -10.0, flavour="lemon"), *PULLED), "lemon") == -10.0
        assert starts(told(core(50, -10.0, flavour="lemon"), *PULLED), "pistachio") == -14.0
        assert starts(told(*PULLED, core(150, -10.0, flavour="lemon")), "lemon") == -14.0

    def test_a_scoop_begins_anew_at_its_core(self):
        known = plan()
        state = told(*PULLED, core(400, -6.0, scoop=1)).state
        climate, product = Climate(state, known), Product.of(known, "pistachio")
        scoop = state.scoops[1]
        assert climate.start_c(product, scoop, 399.0) == -14.0
        assert climate.start_c(product, scoop, 500.0) == -6.0
        (stay,) = climate.history(scoop, 500.0, product)
        assert (stay.spot, stay.began, stay.seconds) == ("box", 400.0, 100.0)
        assert sum(one.seconds for one in climate.history(scoop, 399.0, product)) == pytest.approx(299.0 + 30.0)

    def test_a_warmer_core_leaves_a_hero_less_time(self, shoot):
        def left():
            forecast = shoot.forecast()
            return forecast.heroes[0].end.likely - forecast.at

        shoot.call("shot")
        shoot.lock()
        shoot.call("pull", flavour="pistachio")
        shoot.call("hero_in", scoops=[1], flavours=["pistachio"], spots=["left"])
        shoot.call("reading", what="core_c", value=-13.0, scoop=1)
        cold = left()
        shoot.call("reading", what="core_c", value=-8.0, scoop=1)
        assert left() < cold - 20.0

    def test_with_its_edge_at_the_core_it_is_that_warm(self, shoot):
        shoot.call("shot")
        shoot.call("pull", flavour="pistachio")
        shoot.call("reading", what="core_c", value=-9.0, scoop=1)
        (line,) = shoot.forecast().line
        assert line.edge_c == pytest.approx(-9.0, abs=0.05)

    def test_above_its_freezing_point_it_is_taken_and_there_is_a_plain_question(self, shoot):
        shoot.call("shot")
        shoot.call("pull", flavour="pistachio")
        shoot.call("reading", what="core_c", value=1.0, scoop=1)
        (line,) = shoot.forecast().line
        assert line.edge_c == pytest.approx(1.0, abs=0.2)
        asked = core_question(plan(), "pistachio", 1.0)
        assert asked == ("pistachio has no ice left above −2.7 °C and this is 1.0 °C: was the probe all the way in?")
        assert core_question(plan(), "pistachio", -5.0) == ""

    def test_what_is_filled_in_is_the_scoop_chosen_else_the_tub_pulled_next(self, shoot):
        shoot.call("shot")
        shoot.call("pull", flavour="lemon")
        shoot.session.call("reading", {"what": "core_c", "value": -9.0}, Choice(selected=1))
        assert shoot.session.ledger.entries[-1].scoop == 1
        shoot.session.call("reading", {"what": "core_c", "value": -9.0}, Choice())
        assert shoot.session.ledger.entries[-1].flavour == "pistachio"

    def test_of_a_scoop_that_was_never_pulled_there_is_none(self, shoot):
        refused = shoot.session.call("reading", {"what": "core_c", "value": -9.0, "scoop": 7}).refused
        assert refused == "scoop 7 was never pulled; read the core of one that was, or of a tub"

    @pytest.mark.parametrize(("core_c", "ready"), [(-16.3, True), (-15.4, True), (-17.2, True), (-15.2, False)])
    def test_within_a_kelvin_of_the_advised_setting_it_is_ready_to_pull(self, core_c, ready):
        is_ready, words = ready_words(plan(), "pistachio", core_c)
        assert is_ready == ready
        assert words == "ready to pull" if ready else words.endswith("too warm to pull")


class TestTooWarm:
    @pytest.mark.parametrize(
        ("values", "warm"),
        [
            ([-14.0], False), ([-11.5], False), ([-11.5, -11.9], True), ([-11.5, -12.5], False), ([-9.9], True),
            ([-10.1], False), ([-9.0, -13.5], False), ([-14.0, -11.0, -11.0], True), ([], False),
        ],
    )  # fmt: skip
    def test_two_readings_over_two_kelvin_or_one_over_four(self, values, warm):
        assert too_warm([Change(float(i), value) for i, value in enumerate(values)], -14.0) is warm

    def test_planned_stands_beside_read(self):
        state = told(read(10, -13.0, "chest"), core(20, -16.0, flavour="pistachio")).state
        chest, second = freezers_now(plan(), state)
        assert (chest.name, chest.planned_c, chest.read_c, chest.since) == ("chest", -14.0, -13.0, 10.0)
        assert chest.flavours == ("pistachio",)
        assert (chest.tubs[0].core_c, chest.tubs[0].ready) == (-16.0, True)
        assert (second.name, second.read_c, second.since, second.too_warm, second.do) == (
            "freezer 2",
            None,
            None,
            False,
            "",
        )

    def test_the_warning_names_it_and_what_to_do(self):
        state = told(read(10, -9.0, "chest")).state
        assert warning_words(plan(), state) == (
            "chest is too warm, −9.0 °C instead of −14.0 °C: pull from freezer 2 meanwhile."
        )
        assert warning_words(plan(), told(read(10, -14.0, "chest")).state) == ""

    def test_another_freezer_that_is_too_warm_holds_nothing(self):
        state = told(read(10, -9.0, "chest"), read(20, -9.0, "freezer 2")).state
        assert meanwhile(plan(), state, "pistachio") is None
        assert "close chest and read it again" in warning_words(plan(), state)

    def test_a_freezer_set_for_another_mix_does_not_hold_it(self):
        own = plan(freezer=None)
        assert meanwhile(own, told(read(10, -9.0, "chest")).state, "pistachio") is None
        assert meanwhile(own, told(read(10, -3.0, "freezer 2")).state, "lemon") == "chest"


class TestCues:
    def test_it_says_to_pull_from_the_other_and_ends_when_the_tub_is_there(self, shoot):
        shoot.call("shot")
        shoot.lock()
        shoot.call("reading", what="freezer_c", value=-9.0, freezer="chest")
        assert "Pull from freezer 2 meanwhile" in shoot.words()
        cue = next(cue for cue in shoot.cues() if cue.kind == "tub_back")
        assert (cue.parts.verb, cue.parts.place, cue.parts.rest) == ("Pull", "from freezer 2", "meanwhile")
        shoot.call(cue.kind, **cue.given)
        assert "tub_back" not in shoot.kinds()
        assert entry_words(shoot.session.ledger.entries[-1]) == "tub back, pistachio, in freezer 2"

    def test_it_is_read_again_after_a_while(self, shoot):
        shoot.call("shot")
        shoot.call("reading", what="freezer_c", value=-9.0, freezer="chest")
        (cue,) = [cue for cue in shoot.cues() if cue.kind == "reading"]
        assert cue.due == pytest.approx(shoot.session.time() + READ_AGAIN_S)
        assert cue.given == {"what": "freezer_c", "freezer": "chest"}
        shoot.call("reading", what="freezer_c", value=-14.0, freezer="chest")
        assert {"reading", "tub_back"}.isdisjoint(shoot.kinds())

    def test_one_small_excess_is_no_cue_and_two_are(self, shoot):
        shoot.call("shot")
        shoot.call("reading", what="freezer_c", value=-11.0, freezer="chest")
        assert "tub_back" not in shoot.kinds()
        shoot.call("reading", what="freezer_c", value=-11.0, freezer="chest")
        assert "tub_back" in shoot.kinds()

    def test_pulls_from_a_freezer_that_is_cold_enough_come_first(self, shoot):
        shoot.call("shot")
        shoot.lock()
        pulls = [cue.given["flavour"] for cue in shoot.cues() if cue.kind == "pull"]
        assert pulls == ["pistachio", "lemon"]
        shoot.call("reading", what="freezer_c", value=-9.0, freezer="chest")
        pulls = [cue.given["flavour"] for cue in shoot.cues() if cue.kind == "pull"]
        assert pulls == ["lemon", "pistachio"]

    def test_an_open_door_is_to_be_closed_after_a_while(self, shoot):
        shoot.call("shot")
        shoot.call("door", freezer="freezer 2")
        opened = shoot.session.state.doors_open["freezer 2"]
        (cue,) = [cue for cue in shoot.cues() if cue.kind == "door"]
        assert (cue.words, cue.due) == ("Close freezer 2", opened + DOOR_S)
        assert shoot.session.call("door", cue.given, Choice()).refused is None
        assert shoot.session.state.doors_open == {}
        assert "door" not in shoot.kinds()

    def test_a_door_by_itself_opens_that_of_the_freezer_read_last_and_closes_what_is_open(self, shoot):
        shoot.call("reading", what="freezer_c", value=-14.0, freezer="freezer 2")
        for words in ("freezer 2 opened", "freezer 2 closed"):
            shoot.call("door")
            assert entry_words(shoot.session.ledger.entries[-1]) == words

    def test_a_door_opened_twice_is_open_since_the_first_time(self):
        ledger = told((10, "door", {"open": True}), (40, "door", {"open": True}))
        assert ledger.state.doors_open == {"": 10.0}
        assert freezers_now(parse_plan(PLAN), ledger.state)[0].door_open_since == 10.0
