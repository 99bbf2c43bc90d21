"""What frames show: series, stages, the working time left, selects, and selects against age."""

from dataclasses import replace

import numpy as np
import pytest

from studiotimer.prep.looks import STAGES
from studiotimer.wrap.aged import STACK_S, aged, all_series, dated, left_words, unknown
from studiotimer.wrap.camera import CameraClock
from studiotimer.wrap.frames import Found, Gathered, logged
from studiotimer.wrap.review import review_of
from studiotimer.wrap.selects import BIN_S, LEAST_SELECTS, _best_run, selects_by_age
from tests.wrap.shoots import COUPE, session

HERO = {"spots": ["centre"], "shot": "coupe"}


def heroes(*spans, **shot):
    """Return a session of heroes on set over `spans`, each pulled 20 s before."""
    calls = [(0, "shot", COUPE | shot)]
    for number, (since, until) in enumerate(spans, 1):
        calls += [
            (since - 20, "pull", {"scoop": number, "flavour": "vanilla", "to": "tray"}),
            (since, "hero_in", {"scoops": [number], "flavours": ["vanilla"], **HERO}),
            (until, "out", {"scoops": [number], "why": "gone"}),
        ]
    return session(*calls)


def shown(review, *times, selects=()):
    frames = [Found(f"F{index:04d}.jpg", None, at) for index, at in enumerate(times)]
    return aged(review, dated(review.session, Gathered(frames), CameraClock()), selects)


def test_frames_logged_on_set_need_no_camera():
    one = session((0, "shot", COUPE), (30, "frame", {"name": "A.CR3", "shot": "coupe"}), (31, "note", {"text": "x"}))
    review = review_of(one)
    (frame,) = aged(review, dated(one, logged(one), CameraClock()))
    assert (frame.name, frame.at, frame.scoops, frame.left_s) == ("A.CR3", 30.0, (), None)
    assert left_words(frame) == ""


def test_a_scoop_is_in_a_frame_from_its_placing_until_it_is_taken_out():
    review = review_of(heroes((60, 120)))
    there = [bool(frame.scoops) for frame in shown(review, 59.99, 60.0, 119.99, 120.0)]
    assert there == [False, True, True, False]


def test_stage_and_working_time_left():
    review = review_of(heroes((60, 400), dressing_s=20.0))
    (passage,) = review.heroes
    start, end = passage.window()
    early, middle, late = shown(review, start - 1, (start + end) / 2, end + 5)
    assert (early.opens_s, early.left_s) == (pytest.approx(1), pytest.approx(end - start + 1))
    assert middle.left_s == pytest.approx((end - start) / 2)
    assert late.left_s == pytest.approx(-5)
    assert left_words(late) == "0:05 past"
    assert left_words(early) == "window opens in 0:01"
    assert left_words(middle).endswith(" left")
    assert STAGES[late.scoops[0].stage] == "edges gone"


def test_of_several_heroes_the_first_to_end_sets_the_working_time():
    both = session(
        (0, "shot", COUPE),
        (10, "pull", {"scoop": 1, "flavour": "vanilla", "to": "tray"}),
        (50, "pull", {"scoop": 2, "flavour": "cherry", "to": "box"}),
        (60, "hero_in", {"scoops": [1, 2], "flavours": ["vanilla", "cherry"], "spots": ["a", "b"], "shot": "coupe"}),
        (300, "out", {"scoops": [1, 2], "why": "gone"}),
    )
    (frame,) = shown(review_of(both), 100.0)
    assert frame.left_s == min(one.left_s for one in frame.scoops)
    assert len({one.left_s for one in frame.scoops}) == 2
    assert frame.oldest.on_set_s == 40.0


def test_after_the_next_shot_begins_its_look_counts():
    review = review_of(
        session(
            (0, "shot", COUPE),
            (10, "pull", {"scoop": 1, "flavour": "vanilla", "to": "tray"}),
            (60, "hero_in", {"scoops": [1], **HERO}),
            (200, "shot", COUPE | {"name": "drips", "look": "melt"}),
            (400, "out", {"scoops": [1], "why": "gone"}),
        )
    )
    (passage,) = review.heroes
    before, after = shown(review, 199.0, 201.0)
    assert (before.shot.name, after.shot.name) == ("coupe", "drips")
    assert before.left_s == pytest.approx(passage.starts[3] - 199)
    assert after.left_s == pytest.approx(passage.starts[5] - 201)
    assert [len(shot.heroes) for shot in review.shots] == [1, 1]


def test_stacks():
    review = review_of(heroes((60, 120), (120.5, 200)))
    frames = shown(review, 70, 70 + STACK_S - 0.1, 72 + STACK_S, 119.8, 120.6, 150)
    assert [len(series.frames) for series in all_series(frames)] == [2, 1, 1, 1, 1]
    assert [frame.of_series for frame in frames] == [2, 2, 1, 1, 1, 1]


def test_a_stack_knows_its_change_of_stage():
    review = review_of(heroes((60, 400)))
    gone = review.heroes[0].starts[3]
    (series,) = all_series(shown(review, gone - 0.8, gone + 0.1, gone + 0.9))
    assert series.change == "sheen to edges gone"
    (calm,) = all_series(shown(review, gone + 3, gone + 4))
    assert calm.change == ""


def test_selects_are_matched_by_name_with_or_without_folder_and_ending():
    review = review_of(heroes((60, 120)))
    frames = [Found(name, None, 70.0 + n) for n, name in enumerate(["day/A_1.CR3", "A_2.CR3", "A_3.CR3"])]
    moments = dated(review.session, Gathered(frames), CameraClock())
    found = aged(review, moments, ["a_1.cr3", "A_3", "A_9"])
    assert [frame.select for frame in found] == [True, False, True]
    assert unknown(["a_1.cr3", "A_3", "A_9"], found) == ["A_9"]


SPANS = ((100, 300), (400, 600), (700, 900), (1000, 1200))
EVERY = [since + 5 + 10 * step for since, _ in SPANS for step in range(19)]


def chosen(review, pick):
    frames = shown(review, *EVERY)
    return [replace(frame, select=pick(frame)) for frame in frames]


def test_an_age_that_stands_out():
    review = review_of(heroes(*SPANS))
    (found,) = selects_by_age(chosen(review, lambda frame: 30 <= frame.scoops[0].on_set_s <= 80))
    assert (found.start_s, found.end_s) == (35.0, 75.0)
    assert (found.selects, found.inside, found.count, found.heroes) == (20, 20, 76, 4)
    assert found.words == (
        "best age 0:35 to 1:15: 20 of 20 selects (4 heroes, 76 frames)"
    )  # fmt: skip
    assert sum(one.selects for one in found.bins) == 20
    assert sum(one.count for one in found.bins) == 76
    assert all(one.end_s - one.start_s == BIN_S for one in found.bins)


def test_selects_without_regard_to_age_have_none_that_stands_out():
    review = review_of(heroes(*SPANS))
    dice = np.random.default_rng(4)
    told = [selects_by_age(chosen(review, lambda frame: dice.random() < 0.3))[0].start_s for _ in range(20)]
    assert sum(start is not None for start in told) <= 3


@pytest.mark.parametrize(
    ("pick", "why"),
    [
        (lambda frame: 30 <= frame.scoops[0].on_set_s <= 40, f"{LEAST_SELECTS} selects are needed"),
        (lambda frame: frame.scoops[0].passage.stay.scoop <= 2 and frame.scoops[0].on_set_s < 60, "of 3 heroes"),
        (lambda frame: True, "8 frames that were not chosen are needed"),
        (lambda frame: False, f"{LEAST_SELECTS} selects are needed"),
    ],
)
def test_too_few_to_say(pick, why):
    (found,) = selects_by_age(chosen(review_of(heroes(*SPANS)), pick))
    assert found.start_s is None
    assert found.words.startswith("not enough yet: ")
    assert why in found.words


def test_a_stack_counts_once():
    review = review_of(heroes(*SPANS))
    frames = shown(review, 150, 150.5, 151, 151.5, 160, 170)
    (found,) = selects_by_age([replace(frame, select=frame.at < 152) for frame in frames])
    assert (found.selects, found.count) == (1, 3)


def test_the_best_run_is_the_best_of_all():
    """Against every run tried one by one."""
    dice = np.random.default_rng(7)
    for _ in range(60):
        picks = dice.random(int(dice.integers(2, 14))) < 0.4
        share = picks.mean()
        runs = [
            (float((picks[a : b + 1] - share).sum()), a, b) for a in range(len(picks)) for b in range(a, len(picks))
        ]
        assert _best_run(picks)[0] == pytest.approx(max(runs)[0])


def test_frames_without_a_hero_are_not_counted():
    review = review_of(heroes((60, 120)))
    assert selects_by_age(shown(review, 10, 20, 30)) == []
