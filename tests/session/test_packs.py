"""Closed packs on set and in the line: their windows, what wiping does, the cues, and what was seen on them."""

import math

import pytest

from studiotimer.prep.looks import LOOKS, PACK_STAGES
from studiotimer.prep.plan import parse_plan
from studiotimer.session.choices import choices
from studiotimer.session.countdowns import WallChanges
from studiotimer.session.cues import cues
from studiotimer.session.defaults import filled
from studiotimer.session.desk import Desk, NoDefaultError
from studiotimer.session.forecast import Forecaster, changes_on_set
from studiotimer.session.wording import entry_words
from studiotimer.thermal.pack import sweat
from tests.session.test_forecast import begin, call  # noqa: F401

PACKS = [{"name": "fig", "mix": "premium", "form": "pint"}, {"name": "usual", "mix": "regular"}]


def packed(look="crisp", heroes=("fig",)):
    return parse_plan(
        {
            "room": {"air": "22 °C", "humidity": "45 %"},
            "flavours": PACKS,
            "shots": [
                {"name": "one", "look": look, "light": "LED 2000 lx", "dressing": "0 s", "takes": 3,
                 "heroes": [{"flavour": name, "spot": name} for name in heroes]},
            ],
            "pull": "0 s",
            "freezer": "-18 °C",
        }
    )  # fmt: skip


@pytest.fixture
def standing(begin):  # noqa: F811
    """A session with one pack on set, pulled 20 s before, and what tells its forecast."""
    session, clock = begin(packed())
    call(session, clock, "pull", flavour="fig", to="tray")
    call(session, clock, "hero_in", 20.0, scoops=[1])
    forecaster = Forecaster(session.plan)
    return session, clock, lambda: forecaster.forecast(session.state, session.time())


def hero(forecast):
    return forecast.on_set(1)


def test_a_pack_is_called_by_its_spot_and_where_it_has_none_by_its_flavour(begin):  # noqa: F811
    session, clock = begin(packed())
    call(session, clock, "hero_in", 10, scoops=[1], flavours=["fig"], spots=["left"])
    call(session, clock, "pull", 5, flavour="fig", to="tray")
    call(session, clock, "stand_in", 5, scoop=2, on=True)
    forecast = Forecaster(session.plan).forecast(session.state, session.time())
    assert [(one.scoop, one.spot) for one in forecast.heroes] == [(1, "left"), (2, "fig")]


def test_a_pack_on_set_has_the_changes_of_its_wall(standing):
    session, _, forecast = standing
    changes = hero(forecast()).changes
    assert isinstance(changes, WallChanges)
    assert changes.stages == PACK_STAGES
    since = session.state.scoops[1].since
    assert changes.clear == since
    assert since <= changes.frost.likely < changes.dew.likely <= changes.runs.likely
    for band in changes.begun:
        assert band.early <= band.likely <= band.late


def test_its_times_are_the_models(standing):
    from studiotimer.session.climate import Climate
    from studiotimer.session.product import Product
    from studiotimer.thermal.body import Piece

    session, _, forecast = standing
    climate, product = Climate(session.state, session.plan), Product.of(session.plan, "fig")
    scoop = session.state.scoops[1]
    history = [Piece(one.around, one.seconds) for one in climate.history(scoop, scoop.since, product)]
    around = climate.around("set", session.time(), product)
    wanted = sweat(product.mix, product.build.body, -18.0, around, history)
    changes = hero(forecast()).changes
    assert changes.dew.likely - scoop.since == pytest.approx(wanted.dew_s, rel=0.01)
    assert changes.runs.likely - scoop.since == pytest.approx(wanted.runs_s, rel=0.01)


@pytest.mark.parametrize("look", LOOKS)
def test_each_look_has_its_window_on_a_pack(begin, look):  # noqa: F811
    session, clock = begin(packed(look))
    call(session, clock, "pull", flavour="fig", to="tray")
    call(session, clock, "hero_in", 20.0, scoops=[1])
    one = hero(Forecaster(session.plan).forecast(session.state, session.time()))
    changes, since = one.changes, session.state.scoops[1].since
    starts = {"crisp": since, "sheen": changes.dew.likely, "run": changes.runs.likely + 45.0}
    ends = {
        "crisp": changes.dew.likely, "sheen": changes.runs.likely, "first drip": changes.runs.likely + 45.0,
        "run": changes.runs.likely + 135.0,
    }  # fmt: skip
    assert one.start.likely == pytest.approx(starts.get(look, changes.runs.likely))
    assert one.end.likely == pytest.approx(ends.get(look, math.inf))


def test_a_pack_s_window_opens_once_it_is_dressed(begin):  # noqa: F811
    session, clock = begin(packed())
    call(session, clock, "shot", 1, name="one", dressing_s=25.0)
    call(session, clock, "pull", flavour="fig", to="tray")
    forecaster = Forecaster(session.plan)
    start_s, end_s = forecaster.forecast(session.state, session.time()).line[0].placed(session.time())
    call(session, clock, "hero_in", scoops=[1])
    one = hero(forecaster.forecast(session.state, session.time()))
    assert start_s == one.start.likely - one.since == 25.0
    assert end_s == pytest.approx(one.end.likely - one.since, abs=1.0)


def test_wiped_it_begins_anew(standing):
    session, clock, forecast = standing
    before = hero(forecast()).changes
    call(session, clock, "frost_wiped", 300.0)
    after = hero(forecast()).changes
    assert before.frost.likely < after.clear < after.frost.likely
    assert after.clear == pytest.approx(session.time())
    assert after.dew.likely == pytest.approx(before.dew.likely, rel=0.01)
    assert after.runs.likely > before.runs.likely
    call(session, clock, "dew_wiped", before.dew.likely + 120.0 - session.time())
    dry = hero(forecast())
    assert dry.changes.clear == dry.start.likely == pytest.approx(session.time())
    assert session.time() + 30.0 < dry.end.likely < session.time() + 600.0


def test_what_stands_as_it_did_is_not_worked_out_anew(standing, monkeypatch):
    from studiotimer.session import packs

    _, clock, forecast = standing
    before = hero(forecast()).changes
    monkeypatch.setattr(packs, "sweats", lambda asked: [] if not asked else pytest.fail("worked out anew"))
    clock.advance(60.0)
    assert hero(forecast()).changes == before


def test_a_change_seen_on_a_wall_stands_where_it_was_seen(standing):
    session, clock, forecast = standing
    clock.advance(900.0)
    desk = Desk(session.ledger, session.plan, session.time(), selected=1)
    assert filled("look", desk)["seen"] == "frost"
    call(session, clock, "look", scoop=1, seen="dew")
    seen = hero(forecast()).changes
    assert seen.dew.early == seen.dew.late == session.time()
    assert seen.runs.likely >= seen.dew.likely >= seen.frost.likely
    assert filled("look", Desk(session.ledger, session.plan, session.time(), selected=1))["seen"] == "dew runs"
    assert forecast().pace.seen == 0, "what is seen on a wall says nothing of its mix"


def test_a_waiting_pack_has_the_window_it_then_has_on_set(begin):  # noqa: F811
    session, clock = begin(packed())
    call(session, clock, "pull", flavour="fig", to="tray")
    forecaster = Forecaster(session.plan)
    first = forecaster.forecast(session.state, session.time()).waiting(1)
    clock.advance(200.0)
    later = forecaster.forecast(session.state, session.time()).waiting(1)
    fresh = Forecaster(session.plan).forecast(session.state, session.time()).waiting(1)
    placed = session.time() + 30.0
    for one in (first, later, fresh):
        assert one.placed(placed)[1] == pytest.approx(fresh.placed(placed)[1], rel=0.02)
    call(session, clock, "hero_in", 30.0, scoops=[1])
    there = hero(forecaster.forecast(session.state, session.time()))
    assert there.end.likely - placed == pytest.approx(fresh.placed(placed)[1], rel=0.03)


def test_it_has_no_foot_and_asks_for_none(begin):  # noqa: F811
    chosen = packed()
    shot = chosen.shots[0].model_copy(update={"stands_on": "slate", "foot_in_frame": True})
    session, clock = begin(chosen.model_copy(update={"shots": [shot]}))
    call(session, clock, "pull", flavour="fig", to="tray")
    forecaster = Forecaster(session.plan)
    forecaster.forecast(session.state, session.time())
    assert not forecaster.feet.wanted
    call(session, clock, "hero_in", 20.0, scoops=[1])
    one = hero(forecaster.forecast(session.state, session.time()))
    assert (one.foot, one.on_something, forecaster.feet.wanted) == (None, True, False)


def test_beside_scoops_the_first_to_end_ends_the_window(begin):  # noqa: F811
    session, clock = begin(packed(heroes=("fig", "usual")))
    call(session, clock, "pull", flavour="fig", to="tray")
    call(session, clock, "pull", 20.0, flavour="usual", to="tray")
    call(session, clock, "hero_in", 30.0, scoops=[1, 2])
    found = Forecaster(session.plan).forecast(session.state, session.time())
    assert found.window.ended_by == 2
    assert found.on_set(1).end.likely > found.on_set(2).end.likely


def standing_cues(session, forecast, kind):
    desk = Desk(session.ledger, session.plan, session.time(), forecast.best, forecast.window.ended_by)
    return [cue for cue in cues(desk, forecast) if cue.kind == kind]


def test_where_none_waits_the_dew_is_to_be_wiped_off(standing):
    session, clock, forecast = standing
    for lock in ("light", "set", "camera"):
        call(session, clock, "lock", which=lock, on=True)
    clock.advance(hero(forecast()).end.likely - 300.0 - session.time())
    found = forecast()
    (wipe,) = standing_cues(session, found, "dew_wiped")
    assert wipe.words == "Wipe the dew off 1 fig"
    assert wipe.due == found.on_set(1).end.likely
    assert (wipe.parts.verb, [chip.scoop for chip in wipe.parts.chips]) == ("Wipe dew", [1])
    (asked,) = standing_cues(session, found, "look")
    assert asked.words == "1: dew beads, or not yet?"
    assert asked.parts.verb == "Dew"
    call(session, clock, "pull", flavour="fig", to="box")
    assert standing_cues(session, forecast(), "dew_wiped") == []
    assert len(standing_cues(session, forecast(), "swap")) == 1


def test_only_packs_are_wiped(begin):  # noqa: F811
    session, clock = begin(packed(heroes=("fig", "usual")))
    asked = Desk(session.ledger, session.plan, session.time())
    with pytest.raises(NoDefaultError, match="no closed pack is on set; name the pack that dew was wiped off"):
        filled("dew_wiped", asked)
    call(session, clock, "pull", flavour="fig", to="tray")
    call(session, clock, "pull", 20.0, flavour="usual", to="tray")
    call(session, clock, "hero_in", 30.0, scoops=[1, 2])
    entry = call(session, clock, "dew_wiped")
    assert (entry.scoops, entry_words(entry)) == ((1,), "dew wiped off 1")
    refused = session.call("frost_wiped", {"scoops": [2]}).refused
    assert refused == "2 is no closed pack: frost is wiped off a pack; choose one"
    here = Desk(session.ledger, session.plan, session.time())
    assert [field.values for field in choices("frost_wiped", here)] == [((1, "1"),)]
    assert "sheen" not in [value for value, _ in choices("look", here)[0].values]
    assert session.state.scoops[1].wiped == ((session.time(), "dew"),)


def test_one_pack_by_itself_is_told_as_among_others(standing):
    session, _, forecast = standing
    from studiotimer.session.climate import Climate
    from studiotimer.session.learning import prior, taus_of

    climate = Climate(session.state, session.plan)
    taus = taus_of(prior(session.plan), session.plan, {"fig"})
    alone = changes_on_set(session.plan, session.state.scoops[1], climate, session.time(), taus)
    assert alone == hero(forecast()).changes
