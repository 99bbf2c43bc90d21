"""The countdowns of a session, against the values of an independent build of the method and against themselves."""

import math
from types import SimpleNamespace

import pytest

from studiotimer.prep.plan import parse_plan
from studiotimer.session.climate import Climate
from studiotimer.session.countdowns import AHEAD_S, CHANGES, Band, Changes, LineForecast, Pace
from studiotimer.session.forecast import Forecaster, Looked, _lasts_s, as_seen
from studiotimer.session.live import new_session
from studiotimer.session.state import State
from tests.session.clocks import HandClock

FLAVOURS = [
    {"name": "rich", "mix": "superpremium"},
    {"name": "usual", "mix": "regular"},
    {"name": "fruit", "mix": "sorbet"},
]


def plan(look="crisp", light="LED 2000 lx", freezer="-12 °C", flavours=("rich",), **changes):
    return parse_plan(
        {
            "room": {"air": "22 °C", "humidity": "45 %"},
            "flavours": FLAVOURS,
            "shots": [
                {"name": "one", "look": look, "light": light, "dressing": "0 s", "takes": 3,
                 "heroes": [{"flavour": name, "spot": name} for name in flavours]},
            ],
            "pull_to_set": "0 s",
            "pull": "0 s",
            "freezer": freezer,
            **changes,
        }
    )  # fmt: skip


@pytest.fixture
def begin(tmp_path):
    """Begin a session on a plan and its first shot."""
    opened = []

    def begin(chosen):
        clock = HandClock()
        session = new_session(tmp_path / f"{len(opened)}.setlog", chosen, clock)
        opened.append(session)
        assert session.call("shot").refused is None
        return session, clock

    yield begin
    for session in opened:
        session.close()


def call(session, clock, kind, wait=0.0, **given):
    clock.advance(wait)
    outcome = session.call(kind, given)
    assert outcome.refused is None, outcome.refused
    return outcome.entry


def on_set(session, forecaster=None):
    """Return sheen, edges, first drip and slump of the first hero, in seconds on set."""
    hero = (forecaster or Forecaster(session.plan)).forecast(session.state, session.time()).heroes[0]
    changes = hero.changes
    return [band.likely - hero.since for band in (changes.sheen, changes.edges, changes.first_drip, changes.slump)]


def same(times, wanted):
    edge = all(time == pytest.approx(value, rel=0.005) for time, value in zip(times[:3], wanted[:3], strict=True))
    return edge and times[3] == pytest.approx(wanted[3], rel=0.01)


@pytest.mark.parametrize(
    ("flavour", "freezer", "wanted"),
    [("rich", "-12 °C", [62.8, 171.0, 275.7, 708]), ("usual", "-18 °C", [75.3, 244.1, 444.7, 1360])],
)
def test_straight_from_the_freezer(begin, flavour, freezer, wanted):
    session, clock = begin(plan(freezer=freezer, flavours=(flavour,)))
    call(session, clock, "hero_in", 10)
    assert same(on_set(session), wanted)


@pytest.mark.parametrize(
    ("flavour", "freezer", "wanted"),
    [("rich", "-12 °C", [77.5, 185.7, 290.4, 1110]), ("usual", "-18 °C", [10.0, 178.8, 379.4, 1544])],
)
def test_minutes_in_the_box_give_back_and_minutes_on_the_tray_cost(begin, flavour, freezer, wanted):
    session, clock = begin(plan(freezer=freezer, flavours=(flavour,)))
    call(session, clock, "pull", 10, to="box")
    call(session, clock, "move", 20 * 60, scoop=1, to="tray")
    call(session, clock, "hero_in", 2 * 60, scoops=[1])
    assert same(on_set(session), wanted)


@pytest.mark.parametrize("to", ["box", "tray"])
@pytest.mark.parametrize("waited", [5, 24, 26, 60, 300, 900])
@pytest.mark.parametrize(("look", "within"), [("crisp", 0.5), ("sheen", 0.5), ("melt", 30.0)])
def test_placed_now_is_what_the_hero_then_has(begin, to, waited, look, within):
    """The clock must not jump when the hero comes in; a body's slump is within 3 % of its quarter of an hour."""
    session, clock = begin(plan(pull_to_set="25 s", look=look))
    call(session, clock, "pull", 10, to=to)
    clock.advance(waited)
    forecaster = Forecaster(session.plan)
    placed = forecaster.forecast(session.state, session.time()).line[0].placed(session.time())
    call(session, clock, "hero_in", 0, scoops=[1])
    hero = forecaster.forecast(session.state, session.time()).heroes[0]
    assert hero.end.likely - hero.since == pytest.approx(placed[1], abs=within)
    assert max(hero.start.likely - hero.since, 0.0) == pytest.approx(placed[0], abs=0.5)


def test_a_scoop_that_slumped_on_the_tray_is_past_everything_when_it_comes_on_set(begin):
    session, clock = begin(plan())
    call(session, clock, "pull", 10, to="tray")
    call(session, clock, "hero_in", 3 * 3600, scoops=[1])
    hero = Forecaster(session.plan).forecast(session.state, session.time()).heroes[0]
    changes = (hero.changes.sheen, hero.changes.edges, hero.changes.first_drip, hero.changes.slump)
    assert [one.likely for one in changes] == [session.time()] * 4


def test_placed_later_lies_on_the_curve_worked_out_before(begin):
    session, clock = begin(plan())
    call(session, clock, "pull", 10, to="tray")
    before = Forecaster(session.plan).forecast(session.state, session.time()).line[0]
    clock.advance(45)
    now = session.time()
    after = Forecaster(session.plan).forecast(session.state, now).line[0]
    assert before.placed(now)[1] == pytest.approx(after.placed(now)[1], rel=0.02)
    assert before.placed(now)[1] < before.placed(now - 45)[1]


def test_followed_step_by_step_and_all_at_once_agree(begin):
    session, clock = begin(plan(flavours=("rich", "usual", "fruit"), pull_to_set="20 s"))
    forecaster = Forecaster(session.plan)
    for kind, wait, given in (
        ("top_up", 20, {"mass_kg": 1.0, "form": "pellets"}), ("pull", 40, {}), ("pull", 40, {}), ("pull", 50, {}),
        ("move", 200, {"scoop": 2, "to": "tray"}), ("hero_in", 30, {}), ("reading", 20, {"what": "room_c", "value": 25.0}),
        ("lamp", 35, {"on": False}), ("lamp", 25, {"on": True}), ("pull", 30, {}), ("look", 40, {"seen": "sheen"}),
    ):  # fmt: skip
        call(session, clock, kind, wait, **given)
        forecaster.forecast(session.state, session.time())
    clock.advance(33)
    stepwise = forecaster.forecast(session.state, session.time())
    at_once = Forecaster(session.plan).forecast(session.state, session.time())
    for one, other in zip(stepwise.heroes, at_once.heroes, strict=True):
        for name in ("crisp", "sheen", "edges", "first_drip"):
            assert getattr(one.changes, name).likely == pytest.approx(getattr(other.changes, name).likely, abs=0.05)
        assert one.changes.slump.likely == pytest.approx(other.changes.slump.likely, rel=0.003)
    assert stepwise.line[0].end_s == pytest.approx(at_once.line[0].end_s, rel=1e-3)


def test_in_constant_surroundings_the_end_does_not_move(begin):
    session, clock = begin(plan())
    call(session, clock, "hero_in", 10)
    forecaster = Forecaster(session.plan)
    ends = []
    for _ in range(60):
        clock.advance(10)
        ends.append(forecaster.forecast(session.state, session.time()).window.end.likely)
    assert max(ends) - min(ends) < 0.05


def test_a_reading_or_a_lamp_counts_from_then_on(begin):
    session, clock = begin(plan(light="tungsten 20000 lx"))
    call(session, clock, "hero_in", 10)
    clock.advance(20)
    before = on_set(session)
    call(session, clock, "lamp", on=False)
    dark = on_set(session)
    assert dark[1] > before[1] * 1.2
    call(session, clock, "reading", 1, what="room_c", value=30.0)
    assert on_set(session)[1] < dark[1]
    call(session, clock, "take_back", 1)
    assert on_set(session)[1] == pytest.approx(dark[1], rel=1e-6)


def test_dry_ice_buys_time_and_a_reading_beside_the_scoop_sets_its_gain(begin):
    session, clock = begin(plan())
    call(session, clock, "hero_in", 10)
    plain = on_set(session)[1]
    call(session, clock, "top_up", 5, mass_kg=1.0, form="pellets", where="set")
    assert on_set(session)[1] > plain
    call(session, clock, "reading", 60, what="air_c", value=4.0)
    climate = Climate(session.state, session.plan)
    now = session.time()
    assert climate.local_air_c(now) == pytest.approx(4.0, abs=0.05)
    assert climate.gain_k_per_w(now) == pytest.approx((22.0 - 4.0) / climate.ice_w(now))
    call(session, clock, "ice_cleared", 30, where="set")
    assert Climate(session.state, session.plan).local_air_c(session.time()) == pytest.approx(22.0)


def test_without_dry_ice_a_reading_beside_the_scoop_is_the_air_there(begin):
    session, clock = begin(plan())
    call(session, clock, "reading", 5, what="air_c", value=24.5)
    climate = Climate(session.state, session.plan)
    assert climate.local_air_c(session.time()) == pytest.approx(24.5)
    assert climate.room_c(session.time()) == 22.0


@pytest.mark.parametrize(
    ("look", "start", "end"),
    [("crisp", "crisp", "edges"), ("sheen", "sheen", "edges"), ("melt", "first_drip", "slump")],
)
def test_each_look_has_its_window(begin, look, start, end):
    session, clock = begin(plan(look=look))
    call(session, clock, "hero_in", 10)
    hero = Forecaster(session.plan).forecast(session.state, session.time()).heroes[0]
    assert hero.start == getattr(hero.changes, start)
    assert hero.end == getattr(hero.changes, end)


@pytest.mark.parametrize(("look", "after", "until"), [("first drip", 0.0, 45.0), ("run", 45.0, 135.0)])
def test_a_melt_aim_is_some_seconds_of_its_drip(begin, look, after, until):
    session, clock = begin(plan(look=look))
    call(session, clock, "pull", 10, to="tray")
    forecaster = Forecaster(session.plan)
    start, end = forecaster.forecast(session.state, session.time()).line[0].placed(session.time())
    assert end - start == pytest.approx(until - after)
    call(session, clock, "hero_in", 0, scoops=[1])
    hero = forecaster.forecast(session.state, session.time()).heroes[0]
    drip = hero.changes.first_drip
    assert (hero.start, hero.end) == (drip + after, drip + until)
    assert hero.start.likely - hero.since == pytest.approx(start, abs=0.5)
    assert hero.start.late - hero.start.early > 60.0


def test_a_cold_scoop_is_frosted_until_its_edge_comes_to_the_advised_setting(begin):
    session, clock = begin(plan(freezer="-24 °C"))
    call(session, clock, "hero_in", 10)
    window = Forecaster(session.plan).forecast(session.state, session.time()).window
    assert 30.0 < window.start.likely - session.time() < 120.0
    session, clock = begin(plan(freezer="-12 °C"))
    call(session, clock, "hero_in", 10)
    window = Forecaster(session.plan).forecast(session.state, session.time()).window
    assert window.start.likely == pytest.approx(session.time(), abs=0.5)


def test_dressing_passes_before_the_window_opens(begin):
    chosen = plan()
    session, clock = begin(chosen)
    call(session, clock, "shot", 1, name="one", dressing_s=25.0)
    call(session, clock, "hero_in", 10)
    window = Forecaster(session.plan).forecast(session.state, session.time()).window
    assert window.start.likely == pytest.approx(session.time() + 25.0)


def test_with_several_heroes_the_window_is_where_all_are_in_theirs(begin):
    session, clock = begin(plan(flavours=("rich", "usual", "fruit"), freezer="-14 °C"))
    call(session, clock, "hero_in", 10)
    forecast = Forecaster(session.plan).forecast(session.state, session.time())
    ends = {hero.scoop: hero.end.likely for hero in forecast.heroes}
    soonest = min(ends.values())
    assert 0.9 * soonest < forecast.window.end.likely <= soonest, "the first of three ends sooner than each's median"
    assert ends[forecast.window.ended_by] == min(ends.values())
    assert forecast.window.start.likely == max(hero.start.likely for hero in forecast.heroes)
    assert forecast.window.end.early < forecast.window.end.likely < forecast.window.end.late


def test_what_never_comes_within_three_hours_is_said_to_be_never(begin):
    session, clock = begin(plan(room={"air": "-15 °C", "humidity": "50 %"}, light="LED 0 lx"))
    call(session, clock, "hero_in", 10)
    window = Forecaster(session.plan).forecast(session.state, session.time()).window
    assert math.isinf(window.end.likely)


def test_a_scoop_past_its_changes_keeps_the_times_they_came(begin):
    session, clock = begin(plan())
    call(session, clock, "hero_in", 10)
    first = on_set(session)
    clock.advance(1500)
    assert on_set(session) == pytest.approx(first, rel=0.005)


def test_the_line_is_ranked_by_judgement_then_by_time_left(begin):
    session, clock = begin(plan())
    for _ in range(3):
        call(session, clock, "pull", 60, to="tray")
    call(session, clock, "judge", 5, scoop=3, **{"as": "spare"})
    call(session, clock, "judge", 5, scoop=1, **{"as": "hero"})
    assert Forecaster(session.plan).forecast(session.state, session.time()).best == [1, 2, 3]


def test_a_flavour_the_plan_does_not_know_is_counted_all_the_same(begin):
    session, clock = begin(plan())
    call(session, clock, "hero_in", 10, scoops=[3], flavours=["mango"], spots=["left"])
    assert same(on_set(session), [62.8, 171.0, 275.7, 708])


def test_the_co2_estimate_rises_with_dry_ice_and_is_silent_without(begin):
    session, clock = begin(plan())
    assert Climate(session.state, session.plan).co2_ppm(session.time()) is None
    call(session, clock, "top_up", 10, mass_kg=5.0, form="crushed", where="set")
    clock.advance(600)
    first = Climate(session.state, session.plan).co2_ppm(session.time())
    clock.advance(1200)
    second = Climate(session.state, session.plan).co2_ppm(session.time())
    assert 420.0 < first < second


def test_setting_the_wall_clock_back_moves_nothing(begin):
    session, clock = begin(plan())
    call(session, clock, "hero_in", 10)
    clock.advance(60)
    forecaster = Forecaster(session.plan)
    left = forecaster.forecast(session.state, session.time()).window.end.likely - session.time()
    clock.set_wall(-3600)
    again = forecaster.forecast(session.state, session.time()).window.end.likely - session.time()
    assert again == left
    call(session, clock, "note", 30, text="an hour back")
    assert forecaster.forecast(session.state, session.time()).window.end.likely - session.time() == pytest.approx(
        left - 30
    )


def test_a_change_that_was_seen_came_when_it_was_seen(begin):
    session, clock = begin(plan())
    call(session, clock, "hero_in", 10)
    call(session, clock, "look", 40, seen="sheen")
    ((at, _),) = session.state.scoops[1].seen
    changes = Forecaster(session.plan).forecast(session.state, session.time() + 1.0).heroes[0].changes
    assert (changes.sheen.early, changes.sheen.likely, changes.sheen.late) == (at, at, at)
    assert changes.crisp.late <= at <= changes.edges.early


@pytest.mark.parametrize("slower", [0.7, 1.4])
def test_on_a_set_of_another_pace_the_clock_does_not_jump_to_the_slump_either(begin, slower):
    session, clock = begin(plan(pull_to_set="25 s", look="melt"))
    call(session, clock, "hero_in", 10)
    for seen, book in (("sheen", 62.8), ("edges", 171.0), ("first drip", 275.7)):
        hero = session.state.scoops[1]
        call(session, clock, "look", hero.since + slower * book - session.time(), seen=seen)
    call(session, clock, "out", 5, scoops=[1], why="gone")
    call(session, clock, "pull", 5, to="tray")
    clock.advance(60)
    forecaster = Forecaster(session.plan)
    forecast = forecaster.forecast(session.state, session.time())
    placed = forecast.line[0].placed(session.time())
    call(session, clock, "hero_in", 0, scoops=[2])
    hero = forecaster.forecast(session.state, session.time()).heroes[0]
    assert hero.end.likely - hero.since == pytest.approx(placed[1], abs=30.0)


def test_the_pace_said_is_that_of_the_shot_s_first_flavour(begin):
    learned = {"superpremium": {"mean": -0.2, "sd": 0.1}, "regular": {"mean": 0.1, "sd": 0.1}}
    session, clock = begin(plan(flavours=("usual", "rich"), learned=learned))
    forecaster = Forecaster(session.plan)
    assert forecaster.forecast(session.state, session.time()).pace == Pace(pytest.approx(math.exp(0.1)), 0)
    assert forecaster.forecast(State(), 0.0).pace == Pace(pytest.approx(math.exp(-0.2)), 0)
    call(session, clock, "hero_in", 10)
    call(session, clock, "look", 60, scoop=1, seen="sheen")
    call(session, clock, "look", 30, scoop=2, seen="edges", not_yet=True)
    assert forecaster.forecast(session.state, session.time()).pace.seen == 1


def test_of_two_scoops_that_last_alike_the_older_comes_first(begin):
    session, clock = begin(plan())
    for number in (4, 2, 3):
        call(session, clock, "pull", 1, scoop=number, to="box")
    clock.advance(1800)
    assert Forecaster(session.plan).forecast(session.state, session.time()).best == [2, 3, 4]
    session, clock = begin(plan())
    for number in (4, 2, 3):
        call(session, clock, "pull", 0.05, scoop=number, to="tray")
    clock.advance(30)
    line = Forecaster(session.plan).forecast(session.state, session.time()).line
    assert line[0].end_s[0] != line[1].end_s[0]
    assert [one.scoop for one in line] == [2, 3, 4]
    call(session, clock, "pull", 1, scoop=9, to="tray")
    call(session, clock, "pull", 1, scoop=5, to="box")
    call(session, clock, "move", 1, scoop=4, to="tray")
    clock.advance(120)
    forecast = Forecaster(session.plan).forecast(session.state, session.time())
    lasts = {one.scoop: one.end_s[0] - one.start_s[0] for one in forecast.line}
    assert forecast.best == sorted(lasts, key=lambda number: (-round(lasts[number]), number))


def tempering(begin, look, dressing="0 s", freezer="-24 °C"):
    """Return how long a scoop just pulled should stand on the tray."""
    chosen = plan(look=look, freezer=freezer, pull_to_set="25 s")
    session, clock = begin(chosen)
    call(session, clock, "shot", 1, name="one", dressing_s=float(dressing.removesuffix(" s")))
    call(session, clock, "pull", 10, to="box")
    return Forecaster(session.plan).forecast(session.state, session.time() + 1.0).line[0].temper_s


def test_a_scoop_is_tempered_for_what_is_left_of_its_frost_after_carry_and_dressing(begin):
    crisp, sheen = tempering(begin, "crisp"), tempering(begin, "sheen")
    assert 0.0 < crisp < sheen
    assert tempering(begin, "crisp", "20 s") == pytest.approx(crisp - 20.0, abs=2.0), "in LED light as on the tray"
    assert tempering(begin, "crisp", freezer="-12 °C") == 0.0
    assert tempering(begin, "melt") == tempering(begin, "first drip") == 0.0


def test_a_scoop_is_tempered_so_long_that_its_window_opens_as_its_dressing_ends(begin):
    session, clock = begin(plan(freezer="-24 °C", pull_to_set="25 s"))
    call(session, clock, "shot", 1, name="one", dressing_s=20.0)
    call(session, clock, "pull", 10, to="tray")
    forecaster = Forecaster(session.plan)
    one = forecaster.forecast(session.state, session.time()).line[0]
    clock.advance(one.temper_s + session.plan.carried_s)
    call(session, clock, "hero_in", 0, scoops=[1])
    hero = forecaster.forecast(session.state, session.time()).heroes[0]
    assert hero.changes.crisp.likely - hero.since == pytest.approx(20.0, abs=1.5)


def test_a_stand_in_has_its_changes_and_makes_no_window(begin):
    session, clock = begin(plan())
    call(session, clock, "pull", 10, to="tray")
    call(session, clock, "stand_in", 5, scoop=1, on=True)
    forecast = Forecaster(session.plan).forecast(session.state, session.time())
    assert ([one.scoop for one in forecast.heroes], forecast.window) == ([1], None)


def test_what_was_seen_before_it_came_on_set_is_not_when_it_came_there(begin):
    session, clock = begin(plan())
    call(session, clock, "pull", 10, to="tray")
    call(session, clock, "look", 20, scoop=1, seen="edges")
    call(session, clock, "hero_in", 1, scoops=[1])
    changes = Forecaster(session.plan).forecast(session.state, session.time() + 1.0).heroes[0].changes
    assert changes.edges.late > changes.edges.likely > 31.0


def test_what_is_seen_the_second_it_came_on_set_came_then(begin):
    session, clock = begin(plan())
    call(session, clock, "pull", 10, to="tray")
    call(session, clock, "hero_in", 20, scoops=[1])
    call(session, clock, "look", 0, scoop=1, seen="edges")
    changes = Forecaster(session.plan).forecast(session.state, session.time() + 1.0).heroes[0].changes
    assert changes.edges == Band(30.0, 30.0, 30.0)


def test_a_hero_is_called_by_its_spot_and_where_it_has_none_by_its_flavour(begin):
    session, clock = begin(plan(flavours=("rich", "usual")))
    call(session, clock, "hero_in", 10, scoops=[1], flavours=["rich"], spots=["left"])
    call(session, clock, "pull", 5, flavour="usual", to="tray")
    call(session, clock, "stand_in", 5, scoop=2, on=True)
    forecast = Forecaster(session.plan).forecast(session.state, session.time())
    assert [(one.scoop, one.spot) for one in forecast.heroes] == [(1, "left"), (2, "usual")]


@pytest.mark.parametrize("flavours", [("rich", "fruit"), ("fruit", "rich")])
def test_of_two_heroes_the_window_opens_with_the_later(begin, flavours):
    session, clock = begin(plan(flavours=flavours, freezer="-24 °C"))
    call(session, clock, "hero_in", 10)
    forecast = Forecaster(session.plan).forecast(session.state, session.time())
    starts = [hero.start.likely for hero in forecast.heroes]
    assert starts[0] != starts[1]
    assert forecast.window.start.likely == max(starts)


def test_one_forecaster_goes_by_what_was_read_last(begin):
    session, clock = begin(plan())
    call(session, clock, "hero_in", 10)
    forecaster = Forecaster(session.plan)
    for room_c in (22.0, 30.0, 18.0):
        call(session, clock, "reading", 1, what="room_c", value=room_c)
        assert forecaster.forecast(session.state, session.time()).climate.room_c == room_c
        assert forecaster.forecast(session.state, session.time() + 1.0).climate.room_c == room_c


def test_in_the_cold_the_line_lasts_for_ever_and_has_its_order(begin):
    session, clock = begin(plan(room={"air": "-15 °C", "humidity": "50 %"}, light="LED 0 lx"))
    for number in (3, 1, 2):
        call(session, clock, "pull", 5, scoop=number, to="tray")
    forecast = Forecaster(session.plan).forecast(session.state, session.time())
    assert [(one.scoop, one.end_s[0]) for one in forecast.line] == [(1, math.inf), (2, math.inf), (3, math.inf)]


@pytest.mark.parametrize("mean", [-0.5, 0.5])
def test_the_edge_of_a_waiting_scoop_is_as_warm_as_when_it_comes_on_set(begin, mean):
    """Also on a set of another pace: it is carried in no time here."""
    session, clock = begin(plan(learned={"superpremium": {"mean": mean, "sd": 0.1}}))
    call(session, clock, "pull", 10, to="tray")
    clock.advance(60)
    forecaster = Forecaster(session.plan)
    waiting = forecaster.forecast(session.state, session.time()).line[0].edge_c
    call(session, clock, "hero_in", 0, scoops=[1])
    assert forecaster.forecast(session.state, session.time()).heroes[0].edge_c == pytest.approx(waiting, abs=0.01)


@pytest.mark.parametrize("mean", [-0.5, 0.5])
def test_a_slump_after_a_wait_still_to_come_is_foreseen_on_a_set_of_another_pace_too(begin, mean):
    """Between the placings that are worked out it is read off a line: within a minute, or a seventh."""
    session, clock = begin(plan(look="melt", learned={"superpremium": {"mean": mean, "sd": 0.1}}))
    call(session, clock, "pull", 10, to="tray")
    forecaster = Forecaster(session.plan)
    later = session.time() + 600.0
    foreseen = forecaster.forecast(session.state, session.time()).line[0].placed(later)[1]
    clock.advance(600)
    assert forecaster.forecast(session.state, later).line[0].placed(later)[1] == pytest.approx(
        foreseen, rel=0.15, abs=60.0
    )


def test_before_a_shot_it_is_looked_for_crisp_undressed_and_in_one_as_it_has_it(begin):
    session, clock = begin(plan("sheen"))
    assert Looked.of(State()) == Looked("crisp", 0.0)
    assert Looked.of(session.state) == Looked("sheen", 0.0)
    call(session, clock, "shot", 5, name="one", dressing_s=12.0)
    assert Looked.of(session.state).dressing_s == 12.0


@pytest.mark.parametrize(
    ("start", "end", "lasts"),
    [
        (0.0, 60.0, 60.0),
        (100.0, 160.4, 60.0),
        (100.0, 160.6, 61.0),
        (0.0, math.inf, math.inf),
        (math.inf, math.inf, 0.0),
    ],
)
def test_a_waiting_scoop_lasts_from_when_its_look_begins_to_when_it_ends_to_the_second(start, end, lasts):
    """As it would be placed now: what it would be later, or dressed, does not count."""
    later = (0.0,) * (len(AHEAD_S) - 1)
    assert _lasts_s(LineForecast(1, "rich", 50.0, (start, *later), (end, *later), -9.0)) == lasts


@pytest.mark.parametrize(
    ("seen", "then"),
    [
        ((), [10, 20, 30, 40, 50]),
        (((25.0, "sheen"),), [10, 25, 30, 40, 50]),
        (((100.0, "sheen"),), [10, 100, 100, 100, 100]),
        (((5.0, "first drip"),), [5, 5, 5, 5, 50]),
        (((60.0, "slump"),), [10, 20, 30, 40, 60]),
        (((4.0, "edges"), (8.0, "slump")), [4, 4, 4, 8, 8]),
        (((-1.0, "edges"),), [10, 20, 30, 40, 50]),  # before it came on set
    ],
)
def test_what_was_seen_puts_the_changes_before_it_no_later_and_those_after_it_no_sooner(seen, then):
    book = Changes(*(Band(at, at, at) for at in (10.0, 20.0, 30.0, 40.0, 50.0)))
    found = as_seen(book, SimpleNamespace(seen=seen, since=0.0))
    assert [found.of(name).likely for name in CHANGES] == then
