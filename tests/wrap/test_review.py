"""The review of small shoots, against figures worked out by hand."""

import math

import pytest

from studiotimer.prep.looks import STAGES
from studiotimer.session.forecast import Forecaster
from studiotimer.wrap.passages import passages
from studiotimer.wrap.report import _measured
from studiotimer.wrap.review import review_of
from studiotimer.wrap.stays import stays_on_set, steps
from studiotimer.wrap.timeline import timeline_of
from tests.wrap.shoots import COUPE, session

HERO = {"flavours": ["vanilla"], "spots": ["centre"], "shot": "coupe"}
DAY = (
    (0, "shot", COUPE),
    (1, "top_up", {"mass_kg": 4.0, "form": "slab", "where": "box"}),
    (2, "top_up", {"mass_kg": 0.5, "form": "pellets", "where": "set"}),
    (3, "reading", {"what": "air_c", "value": 14.0}),
    (4, "reading", {"what": "air_c", "value": 12.0}),
    (10, "pull", {"scoop": 1, "flavour": "vanilla", "to": "tray"}),
    (20, "judge", {"scoop": 1, "as": "hero"}),
    (30, "pull", {"scoop": 2, "flavour": "vanilla", "to": "box"}),
    (31, "judge", {"scoop": 2, "as": "reject"}),
    (40, "lock", {"which": "light", "on": True}),
    (50, "lock", {"which": "set", "on": True}),
    (60, "hero_in", {"scoops": [1], **HERO}),
    (80, "lock", {"which": "camera", "on": True}),
    (130, "look", {"scoop": 1, "seen": "sheen"}),
    (160, "out", {"scoops": [1], "why": "gone"}),
    (200, "hold", {"why": "tea"}),
    (215, "resume", {}),
    (220, "hero_in", {"scoops": [3], "assumed_pull_s": 60.0, **HERO}),
    (240, "swap", {"out": 3, "in": 4, "spot": "centre"}),
    (250, "take_back", {"entry": 19}),
    (260, "note", {"text": "x"}),
    (270, "amend", {"entry": 15, "change": {"tick": 170.0}}),
    (300, "got_it", {"shot": "coupe"}),
    (320, "out", {"scoops": [3], "why": "got it"}),
)


@pytest.fixture(scope="module")
def review():
    return review_of(session(*DAY))


def test_scoops(review):
    one, two, three = review.scoops
    assert [scoop.number for scoop in review.scoops] == [1, 2, 3]
    assert (one.good, two.good, three.good) == (True, False, True)
    assert review.judged == (2, 3)
    assert one.out_of_cold_s == pytest.approx(50)
    assert review.pull_to_set_s == [pytest.approx(50)]
    assert one.marks == ("out amended",)
    assert three.marks == ("pull assumed",)
    assert three.pulled == pytest.approx(160)
    assert (one.why_out, three.why_out) == ("gone", "got it")
    assert one.hero.stay.hero_s == pytest.approx(110)
    assert two.hero is None


def test_a_shot(review):
    (shot,) = review.shots
    assert len(shot.heroes) == 2
    assert shot.got
    assert (shot.spent.takes, shot.spent.swaps) == (2, 0)
    assert shot.spent.hero_s == pytest.approx(110 + 100)
    assert shot.spent.gaps == [pytest.approx(50)]
    assert shot.spent.hold_s == pytest.approx(15)
    # light was free from 10 (a hero to be waited) to 40, set to 50, camera to 80
    assert shot.spent.lock_s == {"light": pytest.approx(30), "set": pytest.approx(40), "camera": pytest.approx(70)}
    assert shot.spent.any_lock_s == pytest.approx(70)


def test_ice_and_readings(review):
    assert review.ice_kg == {"box": 4.0, "set": 0.5}
    assert 0 < review.ice_left_kg["set"] < 0.5
    (air,) = review.measures
    assert (air.what, air.count, air.low, air.high, air.last) == ("air_c", 2, 12.0, 14.0, 12.0)


def test_each_freezer_has_its_row_and_each_core():
    flavours = [{"name": "vanilla", "mix": "premium"}, {"name": "cherry", "mix": "sorbet", "freezer": 2}]
    found = review_of(
        session(
            (0, "shot", COUPE),
            (10, "pull", {"scoop": 1, "flavour": "vanilla", "to": "tray"}),
            *(
                (20 + tick, "reading", {"what": what, "value": value, **whose})
                for tick, (what, value, whose) in enumerate(
                    [
                        ("freezer_c", -14.0, {"freezer": "chest"}), ("freezer_c", -11.0, {"freezer": "freezer 2"}),
                        ("freezer_c", -13.0, {"freezer": "chest"}), ("core_c", -12.0, {"flavour": "vanilla"}),
                        ("core_c", -9.0, {"flavour": "cherry"}), ("core_c", -8.0, {"scoop": 1}),
                    ]
                )
            ),
            flavours=flavours, freezers=["chest"], freezer="-14 °C",
        )
    )  # fmt: skip
    assert [(one.name, one.count, one.low, one.high, one.planned) for one in found.measures] == [
        ("chest", 2, -14.0, -13.0, -14.0),
        ("freezer 2", 1, -11.0, -11.0, -14.0),
        ("core of vanilla", 1, -12.0, -12.0, None),
        ("core of cherry", 1, -9.0, -9.0, None),
        ("core of scoop 1", 1, -8.0, -8.0, None),
    ]
    assert [row[0] for row in _measured(found).rows] == [
        "chest", "freezer 2", "core of vanilla", "core of cherry", "core of scoop 1",
    ]  # fmt: skip


def test_a_sauce_stands_on_the_timeline_as_long_as_it_ran():
    poured = (70, "poured", {"scoops": [1], "what": "caramel", "temperature_c": 30.0, "runs_s": 25.0})
    calls = (
        (0, "shot", COUPE), (10, "pull", {"scoop": 1, "flavour": "vanilla", "to": "tray"}),
        (60, "hero_in", {"scoops": [1], **HERO}), poured, (100, "out", {"scoops": [1], "why": "gone"}),
    )  # fmt: skip
    timeline = timeline_of(review_of(session(*calls)))
    assert [(one.start, one.end, one.words) for one in timeline.pours] == [
        (70.0, 95.0, "caramel poured at 30 °C on 1, runs 0:25")
    ]
    assert timeline_of(review_of(session(*calls[:3]))).pours == ()


def test_mended_entries_are_told(review):
    assert review.mended == (
        "entry 15 amended: out 1, gone; 10 s later",
        "entry 18, hero in 3: the pull was assumed",
        "entry 19 taken back: swap, 4 replaces 3",
    )


def test_what_was_said_before_a_look(review):
    """The forecast just before is the one the entries up to then give, and knows nothing of the look itself."""
    (said,) = review.foretold
    assert (said.scoop, said.what, said.seen_s) == (1, "sheen", pytest.approx(70))
    untold = session(*DAY[:13])
    forecaster = Forecaster(untold.plan)
    then = forecaster.forecast(untold.state, 130.0).on_set(1)
    assert said.before.likely == pytest.approx(then.changes.sheen.likely - 60, abs=0.01)
    placed = forecaster.forecast(session(*DAY[:12]).state, 60.0).on_set(1)
    assert said.placed.early == pytest.approx(placed.changes.sheen.early - 60, abs=0.01)
    assert said.within == (said.placed.early <= 70 <= said.placed.late)


@pytest.mark.parametrize("what", ["edges", "slump"])
def test_what_was_said_knows_what_was_seen_before(what):
    """The second look's forecasts are the forecaster's own, which has learned from the first.

    It keeps a slump it worked out before the look, so that the two differ by what a body's steps leave open.
    """
    calls = (
        *DAY[:14],
        (160, "out", {"scoops": [1], "why": "gone"}),
        (170, "pull", {"scoop": 5, "flavour": "vanilla", "to": "tray"}),
        (200, "hero_in", {"scoops": [5], **HERO}),
        (420, "look", {"scoop": 5, "seen": what}),
        (430, "out", {"scoops": [5], "why": "gone"}),
    )
    first, second = review_of(session(*calls)).foretold
    assert first.what == "sheen"
    until = session(*calls[:-2])
    forecaster = Forecaster(until.plan)
    for at, said, state in (
        (200.0, second.placed, session(*calls[:-2]).state),
        (420.0, second.before, until.state),
    ):
        there = forecaster.forecast(state, at).on_set(5).changes
        band = {"edges": there.edges, "slump": there.slump}[what]
        for mine, own in ((said.early, band.early), (said.likely, band.likely), (said.late, band.late)):
            assert mine == pytest.approx(own - 200, abs=0.1, rel=2e-3 if what == "slump" else None)
    unlearned = Forecaster(until.plan).forecast(session(*calls[:13], *calls[14:-2]).state, 420.0).on_set(5)
    other = {"edges": unlearned.changes.edges, "slump": unlearned.changes.slump}[what]
    assert abs(other.likely - 200 - second.before.likely) > 1.0


def test_cues_are_counted_where_they_are_known():
    assert review_of(session(*DAY[:3])).cues is None
    assert review_of(session(*DAY[:3]), lambda one: (len(one.ledger.told), 1)).cues == (3, 1)


def test_stages_are_the_forecasts_where_nothing_changed_after(review):
    """With nothing seen and the room as planned, hindsight and the forecast at placing are the same model."""
    calls = [call for call in DAY if call[1] in ("shot", "pull", "hero_in", "out") and call[0] < 170]
    plain = session(*calls)
    (passage,) = passages(plain, stays_on_set(plain)).values()
    said = Forecaster(plain.plan).forecast(session(*calls[:-1]).state, 60.0).on_set(1).changes
    for start, band in zip(passage.starts[1:5], (said.crisp, said.sheen, said.edges, said.first_drip), strict=True):
        assert start == pytest.approx(band.likely, abs=0.5)


def test_what_was_seen_takes_the_place_of_what_was_reckoned(review):
    passage = review.passages[(1, 60.0)]
    assert passage.starts[2] == pytest.approx(130)
    assert passage.seen == {2}
    assert list(passage.starts) == sorted(passage.starts)
    assert STAGES[passage.stage_at(129.9)] in ("frosted", "matte")
    assert STAGES[passage.stage_at(130.1)] == "sheen"
    assert passage.ended_as_seen() is False


def test_a_window_ends_where_the_look_that_ends_it_was_seen():
    calls = (*DAY[:14], (150, "look", {"scoop": 1, "seen": "edges"}), (160, "out", {"scoops": [1], "why": "gone"}))
    (passage,) = review_of(session(*calls)).heroes
    start, end = passage.window()
    assert end == pytest.approx(150)
    assert passage.ended_as_seen()
    assert start >= 60


def test_a_stand_in_is_no_hero_until_it_is():
    calls = (
        (0, "shot", COUPE),
        (10, "pull", {"scoop": 1, "flavour": "vanilla", "to": "tray"}),
        (40, "stand_in", {"scoop": 1, "on": True}),
        (100, "hero_in", {"scoops": [1], **HERO}),
        (150, "out", {"scoops": [1], "why": "restyle"}),
        (200, "hero_in", {"scoops": [1], **HERO}),
        (260, "out", {"scoops": [1], "why": "dropped"}),
    )
    both = stays_on_set(session(*calls))
    assert [(stay.since, stay.hero_since, stay.until, stay.why) for stay in both] == [
        (40.0, 100.0, 150.0, "restyle"),
        (200.0, 200.0, 260.0, "dropped"),
    ]
    assert len(review_of(session(*calls)).scoops[0].passages) == 2


def test_an_empty_session():
    nothing = review_of(session((0, "opened", {"version": "0", "machine": "m"})))
    assert nothing.scoops == ()
    assert nothing.working_s is None
    assert nothing.good_share is None


def test_every_stage_is_a_number_or_never(review):
    assert all(start == start and start > -math.inf for one in review.passages.values() for start in one.starts)


def test_steps_end_in_the_state_of_the_session():
    one = session(*DAY)
    *_, last = steps(one)
    assert last.after.scoops == one.state.scoops
