"""Learning on set: a session that runs quicker or slower than the model is found out by what is seen."""

import math
from types import SimpleNamespace

import numpy as np
import pytest

from studiotimer.prep.plan import parse_plan
from studiotimer.session.climate import Climate, Stretch
from studiotimer.session.forecast import Forecaster
from studiotimer.session.learning import Learner, _last_place, _stages_after, mix_names, prior
from studiotimer.session.live import new_session
from studiotimer.session.product import Product
from studiotimer.thermal import learn
from studiotimer.thermal.surroundings import room
from tests.session.clocks import HandClock
from tests.session.test_forecast import plan

BOOK = [("sheen", 62.8), ("edges", 171.0), ("first drip", 275.7), ("slump", 708.0)]
"""What a scoop straight from -12 °C comes to, in seconds on set."""


@pytest.fixture
def hero(tmp_path):
    """A session with a superpremium hero just in, straight from the freezer, whose book times are known."""
    clock = HandClock()
    session = new_session(tmp_path / "learn.setlog", plan(), clock)
    session.call("shot")
    clock.advance(10)
    session.call("hero_in", {"scoops": [1]})
    yield session, clock
    session.close()


def learned(session):
    return Learner(session.plan).learned(session.state, Climate(session.state, session.plan))


def test_a_change_seen_when_the_book_says_teaches_nothing(hero):
    session, clock = hero
    clock.advance(171.0)
    session.call("look", {"seen": "edges"})
    assert learned(session).observations[0].tau == pytest.approx(0.0, abs=0.01)


@pytest.mark.parametrize(("seen", "book"), BOOK)
@pytest.mark.parametrize("tau", [-0.3, 0.25])
def test_the_tau_that_explains_a_change_is_found(hero, seen, book, tau):
    session, clock = hero
    clock.advance(book * math.exp(tau))
    session.call("look", {"seen": seen})
    assert learned(session).observations[0].tau == pytest.approx(tau, abs=0.02)


def test_history_counts(tmp_path):
    clock = HandClock()
    session = new_session(tmp_path / "box.setlog", plan(), clock)
    session.call("shot")
    clock.advance(5)
    session.call("pull", {"to": "box"})
    clock.advance(20 * 60)
    session.call("move", {"scoop": 1, "to": "tray"})
    clock.advance(2 * 60)
    session.call("hero_in", {"scoops": [1]})
    clock.advance(185.7)
    session.call("look", {"seen": "edges"})
    assert learned(session).observations[0].tau == pytest.approx(0.0, abs=0.02)
    session.close()


def test_the_clock_moves_to_the_median_and_the_band_narrows(hero):
    session, clock = hero
    forecaster = Forecaster(session.plan)
    before = forecaster.forecast(session.state, session.time())
    width = math.log((before.window.end.late - 10) / (before.window.end.early - 10))
    clock.advance(62.8 * 0.8)
    session.call("look", {"seen": "sheen"})
    after = forecaster.forecast(session.state, session.time())
    error = learn.seen_sd("sheen", 62.8 * 0.8)
    expected = learn.observe(prior(session.plan), "superpremium", math.log(0.8), error).tau("superpremium")
    assert after.pace.factor == pytest.approx(math.exp(expected.mean), rel=0.01)
    assert after.window.end.likely - 10 == pytest.approx(171.0 * after.pace.factor, rel=0.01)
    assert math.log((after.window.end.late - 10) / (after.window.end.early - 10)) < width
    assert after.window.end.likely < before.window.end.likely


def test_a_change_not_yet_there_is_a_bound(hero):
    """The last time asked counts, and no longer once the change was seen."""
    session, clock = hero
    clock.advance(171.0)
    assert session.call("look", {"seen": "edges", "not_yet": True}).refused is None
    assert session.state.scoops[1].unseen
    first = learned(session)
    assert [(one.not_yet, round(one.tau, 2)) for one in first.observations] == [(True, 0.0)]
    assert first.tau("superpremium").mean > 0.05
    assert first.seen == ()
    clock.advance(60)
    session.call("look", {"seen": "edges", "not_yet": True})
    later = learned(session)
    assert len(later.observations) == 1
    assert later.tau("superpremium").mean > first.tau("superpremium").mean
    before = Forecaster(session.plan).forecast(session.state, session.time()).on_set(1)
    assert before.changes.edges.likely - before.since > 171.0
    clock.advance(20)
    session.call("look", {"seen": "edges"})
    assert [one.not_yet for one in learned(session).observations] == [False]


def test_each_look_s_error_is_its_own(hero):
    session, clock = hero
    for seconds, seen in ((62.8, "sheen"), (171.0, "edges"), (275.7, "first drip"), (708.0, "slump")):
        clock.advance(10 + seconds - session.time())
        session.call("look", {"seen": seen})
    told = {one.seen: one.sd for one in learned(session).observations}
    assert told == {seen: pytest.approx(learn.seen_sd(seen, at), rel=0.01) for seen, at in
                    (("sheen", 62.8), ("edges", 171.0), ("first drip", 275.7), ("slump", 708.0))}  # fmt: skip


def test_stand_ins_and_test_pulls_teach_too(tmp_path):
    clock = HandClock()
    session = new_session(tmp_path / "test.setlog", plan(), clock)
    session.call("shot")
    clock.advance(5)
    session.call("pull", {"to": "tray"})
    clock.advance(70)
    session.call("look", {"scoop": 1, "seen": "sheen"})
    clock.advance(5)
    session.call("stand_in", {"scoop": 1, "on": True})
    clock.advance(150)
    session.call("look", {"scoop": 1, "seen": "edges"})
    assert len(learned(session).observations) == 2
    session.close()


def test_a_look_taken_back_is_unlearned(hero):
    session, clock = hero
    clock.advance(40)
    session.call("look", {"seen": "sheen"})
    assert learned(session).observations
    clock.advance(2)
    session.call("take_back")
    assert learned(session).observations == ()
    assert learned(session).tau("superpremium").mean == 0.0


def test_a_look_after_the_scoop_was_out_teaches_nothing(hero):
    """As when the call that took it out is amended to before what was seen."""
    session, clock = hero
    clock.advance(100)
    session.call("look", {"seen": "sheen"})
    clock.advance(60)
    assert session.call("out", {"scoops": [1], "why": "gone"}).refused is None
    out = session.ledger.entries[-1]
    assert len(learned(session).observations) == 1
    assert session.call("amend", {"entry": out.n, "change": {"tick": out.tick - 80}}).refused is None
    assert learned(session).observations == ()
    assert learned(session).tau("superpremium").mean == pytest.approx(0.0)


def test_a_plan_can_start_from_what_was_learned():
    known = parse_plan(
        {
            "flavours": [{"name": "rich", "mix": "superpremium"}],
            "shots": [{"name": "one", "heroes": [{"flavour": "rich"}]}],
            "learned": {"superpremium": {"mean": -0.15, "sd": 0.1}},
        }
    )
    held = prior(known).tau("superpremium")
    assert held.mean == pytest.approx(-0.15)
    assert held.stdev == pytest.approx(math.hypot(learn.SET_SD, 0.1))


def test_a_freezer_put_right_counts_for_what_was_seen_before(tmp_path):
    """A learner that knows a look already works it out anew when the scoop was pulled at another temperature."""
    clock = HandClock()
    session = new_session(tmp_path / "cold.setlog", plan(), clock)
    session.call("shot")
    session.call("reading", {"what": "freezer_c", "value": -20.0})
    reading = session.ledger.entries[-1].n
    clock.advance(5)
    session.call("pull", {"to": "box"})
    clock.advance(60)
    session.call("hero_in", {"scoops": [1]})
    clock.advance(150)
    session.call("look", {"seen": "edges"})
    kept = Learner(session.plan)
    before = kept.learned(session.state, Climate(session.state, session.plan)).observations[0].tau
    session.call("amend", {"entry": reading, "change": {"value": -14.0}})
    after = kept.learned(session.state, Climate(session.state, session.plan)).observations[0].tau
    assert after == learned(session).observations[0].tau
    assert after != before
    session.close()


@pytest.mark.parametrize(("seen", "book"), BOOK)
def test_a_look_after_several_stretches_on_set_counts_them_all(hero, seen, book):
    """A lamp that goes off and on for a moment parts the time on set, and changes next to nothing of it."""
    session, clock = hero
    parts = 0.4 * book
    for wait, on in ((parts, False), (0.1, True), (parts, False), (0.1, True)):
        clock.advance(wait)
        assert session.call("lamp", {"on": on}).refused is None
    clock.advance(book - 2 * parts - 0.2)
    session.call("look", {"seen": seen})
    assert learned(session).observations[0].tau == pytest.approx(0.0, abs=0.01)


@pytest.mark.parametrize("room_c", [30.0, 14.0])
@pytest.mark.parametrize(("seen", "book"), BOOK)
def test_a_room_that_changes_late_counts_for_as_long_as_it_was_so(hero, seen, book, room_c):
    """Seen when the book has it in the room as it was: of a warm one that tells a slow set, of a cold one a quick one."""
    session, clock = hero
    clock.advance(book * 2 / 3)
    assert session.call("reading", {"what": "room_c", "value": room_c}).refused is None
    reading = session.ledger.entries[-1].n
    clock.advance(book / 3)
    session.call("look", {"seen": seen})
    late = learned(session).observations[0].tau
    assert session.call("amend", {"entry": reading, "change": {"tick": 10.5}}).refused is None
    early = learned(session).observations[0].tau
    assert 0.02 < late / (early - late) < 2.0, "a part of what it would be had the room been so all along"
    assert (early > 0.0) == (room_c > 22.0)


def test_what_a_scoop_went_through_before_counts_where_its_time_on_set_is_in_parts(tmp_path):
    clock = HandClock()
    session = new_session(tmp_path / "parts.setlog", plan(), clock)
    for wait, kind, fields in (
        (0, "shot", {}), (5, "pull", {"to": "box"}), (1200, "move", {"scoop": 1, "to": "tray"}), (120, "hero_in", {"scoops": [1]}),
        (60, "lamp", {"on": False}), (0.1, "lamp", {"on": True}), (60, "lamp", {"on": False}), (0.1, "lamp", {"on": True}),
        (65.5, "look", {"seen": "edges"}),
    ):  # fmt: skip
        clock.advance(wait)
        assert session.call(kind, fields).refused is None
    assert learned(session).observations[0].tau == pytest.approx(0.0, abs=0.02)
    session.close()


def test_a_foot_seen_says_nothing_of_the_set(hero):
    session, clock = hero
    clock.advance(60.0)
    assert session.call("look", {"seen": "foot"}).refused is None
    assert session.call("look", {"seen": "foot", "not_yet": True}).refused is None
    assert learned(session).observations == ()


def test_a_flavour_the_plan_does_not_know_is_learned_as_the_first(hero):
    session, _ = hero
    names = mix_names(session.plan, ["fruit", "mango"])
    assert names == {"fruit": "sorbet", "mango": "superpremium"}


def test_of_a_mix_its_own_part_is_told_apart_from_the_set_s(hero):
    session, clock = hero
    assert learned(session).mix_part("sorbet") == pytest.approx((0.0, learn.MIX_SD))
    clock.advance(62.8 * 0.8)
    session.call("look", {"seen": "sheen"})
    after = learned(session)
    mean, sd = after.mix_part("superpremium")
    assert after.tau("superpremium").mean < mean < 0.0
    assert sd < learn.MIX_SD
    assert after.mix_part("sorbet") == pytest.approx((0.0, learn.MIX_SD))
    assert after.tau("sorbet").mean == pytest.approx(after.tau("superpremium").mean - mean)


def test_a_look_in_vain_before_what_was_seen_later_counts_no_more_and_one_after_it_does(hero):
    """Somebody sees an edge, and somebody else later does not: both are told."""
    session, clock = hero
    for wait, not_yet in ((100.0, True), (40.0, False), (40.0, True)):
        clock.advance(wait)
        assert session.call("look", {"seen": "edges", "not_yet": not_yet}).refused is None
    assert [(one.at, one.not_yet) for one in learned(session).observations] == [(150.0, False), (190.0, True)]
    assert [one.at for one in learned(session).seen] == [150.0]


@pytest.mark.parametrize(
    ("spots", "before"),
    [("s", 0), ("ts", 1), ("tss", 1), ("tsss", 1), ("btsss", 2), ("stss", 2), ("stssss", 2), ("tt", 0), ("bttt", 1)],
)
def test_the_last_place_is_all_that_it_went_through_there_without_leaving(spots, before):
    history = [SimpleNamespace(spot=spot) for spot in spots]
    assert _last_place(history) == (history[:before], history[before:])


def test_what_had_not_come_by_the_end_comes_as_if_the_last_stretch_went_on():
    """The same scoop in one place for a minute, in one stretch, in two and in three: it changes when it does."""
    made = Product.of(plan(), "rich")
    around = room(24.0, 0.45)
    book = made.stage_times(made.pulled_at(-16.0, (1,)), around, np.ones(1))[:, 0]
    assert book.max() > 60.0
    for parts in (1, 2, 3):
        here = [Stretch("set", 60.0 / parts * number, around, 60.0 / parts) for number in range(parts)]
        after = _stages_after(made, -16.0, [], here, np.zeros(1))[:, 0]
        assert after == pytest.approx(book, abs=0.5)


def test_a_foot_looked_for_in_vain_and_a_look_in_vain_after_the_scoop_was_out_teach_nothing(hero):
    session, clock = hero
    clock.advance(60)
    for kind, fields in (
        ("look", {"scoop": 1, "seen": "foot", "not_yet": True}), ("out", {"scoops": [1], "why": "gone"}),
        ("look", {"scoop": 1, "seen": "edges", "not_yet": True}),
    ):  # fmt: skip
        clock.advance(5)
        session.call(kind, fields)
    assert session.state.scoops[1].unseen
    assert learned(session).observations == ()
