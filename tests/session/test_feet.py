"""The foot on set: worked out aside and kept, never waited for; what it ends, what puts it right, and when it is called."""

import math

import pytest

from studiotimer.session.calls.record import Options
from studiotimer.session.climate import Climate
from studiotimer.session.feet import NEVER
from studiotimer.session.forecast import Forecaster, foot_on_set
from studiotimer.session.learning import Learner, prior, taus_of
from studiotimer.thermal.foot import Base
from tests.session.shoots import plan
from tests.session.test_forecast import begin as begin
from tests.session.test_forecast import call


def shot(**fields):
    return [{"name": "a", "look": "crisp", "heroes": [{"flavour": "vanilla"}], **fields}]


def placed(begin, **fields):
    session, clock = begin(plan(shots=shot(**fields)))
    call(session, clock, "pull", flavour="vanilla")
    call(session, clock, "hero_in", 75)
    return session, clock


def foretold(session, worked=True):
    forecaster = Forecaster(session.plan)
    forecast = forecaster.forecast(session.state, session.time())
    while worked and forecaster.feet.wanted:
        forecaster.feet.work_out()
        forecast = forecaster.forecast(session.state, session.time())
    return forecast.heroes[0]


def test_a_foot_is_not_waited_for_and_kept_once_it_is_worked_out(begin, monkeypatch):
    session, _ = placed(begin, stands_on="slate", base="36 mm")
    forecaster = Forecaster(session.plan)
    hero = forecaster.forecast(session.state, session.time()).heroes[0]
    assert (hero.foot, hero.on_something, forecaster.feet.wanted) == (None, True, True)
    forecaster.feet.work_out()
    assert not forecaster.feet.wanted
    hero = forecaster.forecast(session.state, session.time()).heroes[0]
    assert hero.foot.early < hero.foot.likely < hero.foot.late
    assert 0 < hero.foot.likely - hero.since < 60
    monkeypatch.setattr("studiotimer.session.feet.followed", lambda base: pytest.fail("worked out again"))
    forecaster.forecast(session.state, session.time())
    forecaster.feet.work_out()


def test_where_it_is_not_told_there_is_no_foot(begin):
    session, _ = placed(begin)
    hero = foretold(session)
    assert (hero.foot, hero.on_something) == (None, False)


def test_on_a_cone_there_is_none(begin):
    session, _ = placed(begin, stands_on="cone")
    hero = foretold(session)
    assert (hero.foot.likely, hero.on_something) == (math.inf, True)


def test_a_foot_in_the_frame_ends_the_window(begin):
    hidden, _ = placed(begin, stands_on="slate")
    before = foretold(hidden)
    assert before.end.likely > before.foot.likely
    seen, _ = placed(begin, stands_on="slate", foot_in_frame=True)
    hero = foretold(seen)
    assert hero.end.likely == hero.foot.likely
    assert foretold(seen, worked=False).end.likely == pytest.approx(before.end.likely, abs=2)


def test_a_reading_of_the_plate_puts_its_temperature_right(begin):
    session, clock = placed(begin, stands_on="slate", base="36 mm")
    warm = foretold(session)
    call(session, clock, "reading", what="plate_c", value=2.0)
    assert foretold(session).foot.likely - warm.since > 5 * (warm.foot.likely - warm.since)


def test_what_it_stands_on_is_told_later(begin):
    session, clock = placed(begin)
    field = next(one for one in session_choices(session) if one.field == "stands_on")
    assert isinstance(field, Options)
    assert ("slate", "slate") in field.values
    number = next(entry.n for entry in session.ledger.entries if entry.kind == "shot")
    call(session, clock, "amend", entry=number, change={"stands_on": "glass"})
    assert foretold(session).foot is not None


def session_choices(session):
    from studiotimer.session.choices import choices

    return choices("shot", session.desk())


def test_a_foot_that_is_seen_is_when_it_was_seen_and_teaches_no_pace(begin):
    session, clock = placed(begin, stands_on="slate", foot_in_frame=True)
    clock.advance(20)
    at = session.time()
    call(session, clock, "look", scoop=session.state.heroes()[0].number, seen="foot")
    hero = foretold(session)
    assert hero.foot.likely == pytest.approx(at, abs=1.0)
    assert hero.end.likely == hero.foot.likely
    assert not Learner(session.plan).learned(session.state, Climate(session.state, session.plan)).observations


def test_the_next_look_is_offered_as_if_there_were_no_foot(begin):
    session, clock = placed(begin, stands_on="slate")
    number = session.state.heroes()[0].number
    call(session, clock, "look", scoop=number, seen="foot")
    call(session, clock, "look", scoop=number)
    assert [what for _, what in session.state.scoops[number].seen] == ["foot", "sheen"]


def test_a_plate_that_is_none_is_one_sentence(begin):
    session, _ = placed(begin)
    refused = session.call("shot", {"name": "a", "stands_on": "jelly"}).refused
    assert "“jelly” is not something a scoop stands on" in refused
    assert "\n" not in refused


def test_bases_alike_are_one(begin):
    session, _ = placed(begin, stands_on="slate")
    forecaster = Forecaster(session.plan)
    forecaster.forecast(session.state, session.time())
    assert len(forecaster.feet._wanted) == 1
    assert all(isinstance(base, Base) for base in forecaster.feet._wanted)


def second(session, clock, wait=20):
    """Swap the hero for a new scoop, pulled as the first was."""
    call(session, clock, "pull", wait, flavour="vanilla")
    out = session.state.heroes()[0].number
    call(session, clock, "swap", 75, out=out)


@pytest.mark.parametrize(("seen_s", "later"), [(3.0, False), (40.0, True)])
def test_a_foot_that_is_seen_moves_the_next_one_and_makes_it_surer(begin, seen_s, later):
    untold, clock = placed(begin, stands_on="slate")
    second(untold, clock)
    before = foretold(untold)
    session, clock = placed(begin, stands_on="slate")
    call(session, clock, "look", seen_s, scoop=session.state.heroes()[0].number, seen="foot")
    second(session, clock, 20 - seen_s)
    after = foretold(session)
    assert (after.foot.likely - after.since > before.foot.likely - before.since) == later
    assert math.log(after.foot.late / after.foot.early) < math.log(before.foot.late / before.foot.early) or later
    elsewhere, clock = placed(begin, stands_on="slate")
    call(elsewhere, clock, "look", seen_s, scoop=elsewhere.state.heroes()[0].number, seen="foot")
    call(elsewhere, clock, "shot", name="a", stands_on="glass")
    second(elsewhere, clock)
    plain, clock = placed(begin, stands_on="glass")
    second(plain, clock)
    assert on_set_s(foretold(elsewhere)) == pytest.approx(on_set_s(foretold(plain)), rel=1e-3)


def on_set_s(hero):
    return hero.foot.likely - hero.since


def test_a_foot_looked_for_in_vain_makes_the_next_one_later(begin):
    session, clock = placed(begin, stands_on="slate")
    number = session.state.heroes()[0].number
    untold = on_set_s(foretold(session))
    call(session, clock, "look", 4 * untold, scoop=number, seen="foot", not_yet=True)
    assert on_set_s(foretold(session)) > 1.1 * untold
    early, clock = placed(begin, stands_on="slate")
    call(early, clock, "look", untold / 4, scoop=early.state.heroes()[0].number, seen="foot", not_yet=True)
    assert on_set_s(foretold(early)) == pytest.approx(untold, rel=0.1)


def test_a_hero_left_on_set_does_not_take_the_new_shots_plate(begin):
    two = [*shot(stands_on="slate"), *shot(name="b", stands_on="oak", plate="15 mm")]
    session, clock = begin(plan(shots=two))
    call(session, clock, "pull", flavour="vanilla")
    call(session, clock, "hero_in", 75)
    stood = foretold(session).foot
    call(session, clock, "shot", 5, name="b")
    assert foretold(session).foot.likely == pytest.approx(stood.likely)
    call(session, clock, "reading", what="plate_c", value=-18.0)
    assert foretold(session).foot.likely == pytest.approx(stood.likely)
    second(session, clock)
    assert foretold(session).foot.likely - foretold(session).since > 900


def test_a_shot_that_is_called_anew_tells_what_its_heroes_stand_on(begin):
    session, clock = placed(begin)
    assert not foretold(session).on_something
    call(session, clock, "shot", 5, name="a", stands_on="slate")
    assert foretold(session).foot.likely < math.inf


@pytest.mark.parametrize(("fields", "ends"), [({"foot_in_frame": True}, True), ({}, False)])
def test_a_foot_in_the_frame_ends_the_window_of_a_waiting_scoop(begin, fields, ends):
    session, clock = begin(plan(shots=shot(stands_on="slate", **fields)))
    call(session, clock, "pull", flavour="vanilla")
    clock.advance(30)
    forecaster = Forecaster(session.plan)
    plain = forecaster.forecast(session.state, session.time())
    while forecaster.feet.wanted:
        forecaster.feet.work_out()
        forecast = forecaster.forecast(session.state, session.time())
    if not ends:
        assert not forecaster.feet.wanted
        return
    waiting = forecast.line[0]
    assert waiting.placed(session.time())[1] < 0.5 * plain.line[0].placed(session.time())[1]
    assert len(set(waiting.end_s)) == 1
    call(session, clock, "hero_in", 0)
    hero = forecaster.forecast(session.state, session.time())
    while forecaster.feet.wanted:
        forecaster.feet.work_out()
        hero = forecaster.forecast(session.state, session.time())
    assert hero.heroes[0].end.likely - hero.heroes[0].since == pytest.approx(waiting.end_s[0], rel=0.35)


def test_worked_out_here_it_is_what_is_worked_out_aside(begin):
    session, _ = placed(begin, stands_on="slate", base="36 mm")
    climate = Climate(session.state, session.plan)
    taus = taus_of(Learner(session.plan).learned(session.state, climate).belief, session.plan, ["vanilla"])
    found = foot_on_set(session.state, session.plan, session.state.scoops[1], climate, session.time(), taus)
    assert found == foretold(session).foot


def test_what_stands_in_nothing_or_on_nothing_told_has_no_foot_worked_out_either(begin):
    for fields, wanted in (({}, None), ({"stands_on": "cone"}, NEVER)):
        session, _ = placed(begin, **fields)
        climate = Climate(session.state, session.plan)
        taus = taus_of(prior(session.plan), session.plan, ["vanilla"])
        at, scoop = session.time(), session.state.scoops[1]
        assert foot_on_set(session.state, session.plan, scoop, climate, at, taus) == wanted


def test_another_change_that_was_seen_says_nothing_of_the_foot(begin):
    session, _ = placed(begin, stands_on="slate", base="36 mm")
    before = foretold(session).foot
    assert session.call("look", {"seen": "sheen"}).refused is None
    after = foretold(session).foot
    assert after.early < after.likely < after.late
    assert before.early < before.late
