"""What the day showed: how much of its windows went, what to do about it, and who waited, in words."""

from studiotimer.places import demo_sessions
from studiotimer.prep.looks import look_window
from studiotimer.units import duration
from studiotimer.wrap.aged import aged, dated
from studiotimer.wrap.camera import CameraClock
from studiotimer.wrap.export import Asked, export
from studiotimer.wrap.findings import COLDER, NO_HERO, WELL, findings_of
from studiotimer.wrap.frames import Found, Gathered
from studiotimer.wrap.review import review_of
from studiotimer.wrap.timeline import timeline_of
from tests.wrap.shoots import COUPE, session

HERO = (
    (0, "shot", COUPE),
    (10, "pull", {"scoop": 1, "flavour": "vanilla", "to": "box"}),
    (600, "hero_in", {"scoops": [1], "shot": "coupe"}),
    (1100, "out", {"scoops": [1], "why": "gone"}),
)


def said(review, *ats):
    frames = aged(review, dated(review.session, Gathered([Found(f"F{at}", None, at) for at in ats]), CameraClock()))
    return findings_of(review, frames, (), review.session.plan)


def window(review):
    (hero,) = review.heroes
    return look_window("crisp", hero.starts)


def test_the_window_that_went_before_the_first_frame_is_said_with_what_to_do():
    review = review_of(session(*HERO))
    begin, end = window(review)
    late = begin + 0.5 * (end - begin)
    first, *_ = said(review, late)
    gone, whole = duration(late - begin), duration(end - begin)
    assert first == f"coupe: the first frame came {gone} into a {whole} window. {COLDER}"


def test_a_frame_as_the_window_opens_lost_nothing_and_one_after_it_lost_all():
    review = review_of(session(*HERO))
    begin, end = window(review)
    assert WELL in said(review, begin + 1)[0]
    assert f"after the {duration(end - begin)} window was over" in said(review, end + 1)[0]


def test_without_frames_the_dressing_that_was_planned_stands_for_them():
    review = review_of(session((0, "shot", COUPE | {"dressing_s": 400.0}), *HERO[1:]))
    assert "dressing ended" in said(review)[0]


def test_a_day_without_a_hero_says_so():
    assert said(review_of(session(*HERO[:2]))) == (NO_HERO,)


def test_what_is_to_be_ordered_for_the_same_day_is_said_last():
    assert said(review_of(session(*HERO)))[-1].startswith("Order ")


def test_scoops_that_were_no_heroes_are_told_in_words():
    hot = demo_sessions() / "hot_tungsten"
    timeline = export(hot / "hot_tungsten.setlog", Asked()).report.timeline
    assert all(row.heroes for row in timeline.rows)
    assert timeline.waited
    review = review_of(session(*HERO, (1200, "pull", {"scoop": 2, "flavour": "vanilla", "to": "box"})))
    assert timeline_of(review).waited == "2 stayed in the box"
    review = review_of(session(*HERO[:2]))
    assert [row.number for row in timeline_of(review).rows] == [1]


def test_a_change_is_called_in_the_report_as_it_is_on_set():
    calm = demo_sessions() / "calm_led"
    tables = {one.title: one for one in export(calm / "calm_led.setlog", Asked()).report.tables}
    called = {row[1] for row in tables["Forecast against seen"].rows}
    assert "edges gone" in called
    assert "edges" not in called


def test_heroes_that_are_in_no_frame_are_said_before_what_went_well():
    again = (
        (1200, "pull", {"scoop": 2, "flavour": "vanilla", "to": "box"}),
        (1800, "hero_in", {"scoops": [2], "shot": "coupe"}),
        (2300, "out", {"scoops": [2], "why": "gone"}),
    )
    review = review_of(session(*HERO, *again))
    begin, _ = look_window("crisp", review.heroes[1].starts)
    first, second, *_ = said(review, begin + 1)
    assert first == "coupe: 1 of 2 heroes is in no frame."
    assert WELL in second
    assert "in no frame" not in " ".join((*said(review), *said(review, 700, 1900)))
