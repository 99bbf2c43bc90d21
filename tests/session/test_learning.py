"""Learning on set: a session that runs quicker or slower than the model is found out by what is seen."""

import math

import pytest

from studiotimer.prep.plan import parse_plan
from studiotimer.session.climate import Climate
from studiotimer.session.forecast import Forecaster
from studiotimer.session.learning import Learner, prior
from studiotimer.session.live import new_session
from studiotimer.thermal import learn
from tests.session.clocks import HandClock
from tests.session.test_forecast import plan


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


@pytest.mark.parametrize(("seen", "book"), [("sheen", 62.8), ("edges", 171.0), ("first drip", 275.7), ("slump", 708.0)])
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


def test_a_look_after_several_stretches_on_set_counts_them_all(hero):
    """A lamp that goes off and on for a moment parts the time on set, and changes next to nothing of it."""
    session, clock = hero
    for wait, on in ((50.0, False), (0.1, True), (50.0, False), (0.1, True)):
        clock.advance(wait)
        assert session.call("lamp", {"on": on}).refused is None
    clock.advance(171.0 - 100.2)
    session.call("look", {"seen": "edges"})
    assert learned(session).observations[0].tau == pytest.approx(0.0, abs=0.01)
