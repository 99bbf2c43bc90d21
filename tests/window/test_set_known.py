"""What the Set page says of what is around it: usual, planned or read; freezers, doors and tubs as cards."""

import pytest

from studiotimer.lamps import lamps
from studiotimer.prep.plan import parse_plan
from studiotimer.session.countdowns import ClimateNow
from studiotimer.session.freezers import freezers_now
from studiotimer.window.set import usual
from studiotimer.window.set.cold_cards import FlavourCard, FreezerCard, cold_cards
from studiotimer.window.set.flavours import Palette
from tests.session.shoots import SHOT, told
from tests.window.test_set_page import forecast_after, make

CLIMATE = ClimateNow(24, 0.5, 18, -40, 0, 0, None, 0.15, None, None)
SCOOP = {"flavours": ["vanilla"], "spots": ["centre"]}


def plan(light="HMI", **changes):
    flavours = [{"name": "vanilla", "mix": "premium"}, {"name": "cherry", "mix": "sorbet", "freezer": 2}]
    shots = [{"name": "coupe", "light": light, "heroes": [{"flavour": "vanilla"}, {"flavour": "cherry"}]}]
    return parse_plan({"flavours": flavours, "shots": shots, "freezers": "chest", "freezer": "-14 °C"} | changes)


def reading(tick, what, value, **whose):
    return tick, "reading", {"what": what, "value": value, **whose}


def shot(**changes):
    return 0, "shot", SHOT | {"lamp": "HMI", "lux": 6000.0, **SCOOP} | changes


class TestUsual:
    def test_the_room_and_the_box_are_usual_planned_or_read(self):
        state = told(shot()).state
        assert (usual.room(plan(), state), usual.box(plan(), state)) == ("as usual", "as usual")
        told_of = plan(room={"air": "26 °C"}, dry_ice={"box": "-50 °C"})
        assert (usual.room(told_of, state), usual.box(told_of, state)) == ("as planned", "as planned")
        read = told(shot(), reading(5, "room_c", 22.0), reading(6, "box_c", -40.0)).state
        assert (usual.room(plan(), read), usual.box(plan(), read)) == ("", "")

    def test_a_light_is_usual_until_it_is_told_or_read_for_this_shot(self):
        as_usual = shot(lux=lamps()["HMI"].usual_lux)
        assert usual.light_is_usual(plan(), told(as_usual).state)
        assert not usual.light_is_usual(plan(light=f"HMI {lamps()['HMI'].usual_lux} lx"), told(as_usual).state)
        assert not usual.light_is_usual(plan(), told(as_usual, reading(5, "lux", 5500.0)).state)
        later = told(reading(0, "lux", 5500.0), (9, *as_usual[1:])).state
        assert usual.light_is_usual(plan(), later)
        assert not usual.light_is_usual(plan(), told().state)

    @pytest.mark.parametrize(
        ("stands", "said"),
        [
            ({}, None),
            ({"stands_on": "another scoop"}, None),
            ({"stands_on": "slate"}, ("slate", 18, "as usual")),
            ({"stands_on": "slate", "plate_is": "chilled", "plate_c": 4.0}, ("slate", 4.0, "as planned")),
            ({"stands_on": "slate", "plate_is": "with its hero"}, None),
        ],
    )
    def test_a_plate_is_as_the_set_is_or_as_planned(self, stands, said):
        assert usual.plate(told(shot(**stands)).state, CLIMATE) == said

    def test_a_plate_that_was_read_is_as_read_in_this_shot(self):
        slate = shot(stands_on="slate")
        assert usual.plate(told(slate, reading(5, "plate_c", 9.0)).state, CLIMATE) == ("slate", 9.0, "")
        assert usual.plate(told(reading(0, "plate_c", 9.0), (5, *slate[1:])).state, CLIMATE) == (
            "slate",
            18,
            "as usual",
        )


class TestCards:
    def cards(self, *calls, now=600.0):
        state = told(shot(flavours=["vanilla", "cherry"], spots=["left", "right"]), *calls).state
        found = cold_cards(plan(), state, freezers_now(plan(), state), now, Palette(("vanilla", "cherry")))
        freezers = {one.name: one for one in found if isinstance(one, FreezerCard)}
        return freezers | {one.forms[0]: one for one in found if isinstance(one, FlavourCard)}

    def test_a_freezer_too_warm_says_what_to_do(self):
        cards = self.cards(reading(540, "freezer_c", -9.0, freezer="chest"))
        chest, other = cards["chest"], cards["freezer 2"]
        assert (chest.beside, chest.said, chest.alarm) == (
            "5.0 too warm", "pull from freezer 2 meanwhile", True,
        )  # fmt: skip
        assert (other.said, other.alarm) == ("not read yet", False)
        assert (cards["vanilla"].tub[0], cards["vanilla"].alarm) == ("its freezer is too warm", True)
        assert (cards["cherry"].tub, cards["cherry"].alarm) == ((), False)
        warm = self.cards(
            reading(540, "freezer_c", -9.0, freezer="chest"), reading(541, "freezer_c", -8.0, freezer="freezer 2")
        )
        assert (warm["chest"].said, warm["freezer 2"].said) == (
            "close chest and read it again", "close freezer 2 and read it again",
        )  # fmt: skip

    def test_a_tub_put_elsewhere_stands_there(self):
        cards = self.cards(
            reading(540, "freezer_c", -9.0, freezer="chest"),
            (541, "tub_back", {"flavour": "vanilla", "freezer": "freezer 2"}),
        )
        assert (cards["vanilla"].where, cards["vanilla"].alarm) == ("freezer 2", False)
        assert cards["chest"].alarm

    def test_the_door_has_its_timer_and_is_asked_to_be_closed(self):
        opened = (570, "door", {"open": True, "freezer": "chest"})
        card = self.cards(opened)["chest"]
        assert (card.said, card.alarm) == ("door open 0:30", False)
        card = self.cards(opened, now=650.0)["chest"]
        assert (card.said, card.alarm) == ("door open 1:20: close it", True)
        read = reading(560, "freezer_c", -14.0, freezer="chest")
        assert self.cards(read, opened)["chest"].beside == "door open 0:30"
        card = self.cards(read, opened, now=650.0)["chest"]
        assert (card.beside, card.said, card.alarm) == ("door open 1:20", "close its door", True)
        assert "door open 1:20" in card.words

    def test_the_core_of_a_tub_is_told_with_whether_it_can_be_pulled(self):
        ready = self.cards(reading(540, "core_c", -16.0, flavour="vanilla"))["vanilla"]
        assert ready.tub == (
            "core −16.0 °C, ready to pull", "core −16.0 °C, ready to pull", "−16.0 °C, ready to pull", "ready to pull",
        )  # fmt: skip
        assert not ready.alarm
        cold = self.cards(reading(540, "core_c", -22.0, flavour="vanilla"))["vanilla"]
        assert cold.tub[0].endswith("too cold to pull")
        assert cold.tub[1:] == ("core −22.0 °C, too cold", "−22.0 °C, too cold", "too cold")
        assert cold.alarm
        assert cold.tub[0] in cold.words


def test_the_header_names_what_is_usual_and_every_fact_before_it_is_known(qtbot, shoot):
    chips = shoot.page.header.chips
    shoot.running.forecast = None
    assert all(chip.accessibleName() for chip in chips.values())
    make(shoot, "shot")
    forecast_after(qtbot, shoot)
    shoot.page.refresh()
    assert chips["room_c"].accessibleName() == "room, as planned 23 °C, 48 %"
    assert chips["box_c"].accessibleName() == "box, as usual −40 °C"
    assert chips["lamp"].accessibleName() == "LED 2,000 lx on"
    assert shoot.running.call("reading", {"what": "room_c", "value": 25.0}).refused is None
    shoot.running.session.clock.advance(5)
    forecast_after(qtbot, shoot)
    shoot.page.refresh()
    assert chips["room_c"].accessibleName() == "room 25 °C, 48 %"


def test_the_cards_are_drawn_with_their_door_and_their_tubs(qtbot, shoot):
    make(shoot, "shot")
    for given in ({"what": "freezer_c", "value": -5.0}, {"what": "core_c", "value": -9.0, "flavour": "lemon"}):
        shoot.running.session.clock.advance(5)
        assert shoot.running.call("reading", given).refused is None
    assert shoot.running.call("door", {"open": True}).refused is None
    shoot.running.session.clock.advance(80)
    forecast_after(qtbot, shoot)
    shoot.page.refresh()
    said = shoot.page.cold.accessibleName()
    assert "door open 1:" in said
    assert "core −9.0 °C" in said
    shoot.page.cold.grab()
