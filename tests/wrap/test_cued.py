"""Cues counted anew: a hero that left in time, one that was left standing, and a day with too many calls."""

import pytest

from studiotimer.wrap import cued
from studiotimer.wrap.cued import tally
from studiotimer.wrap.review import review_of
from tests.wrap.shoots import COUPE, session

HERO = {"flavours": ["vanilla"], "spots": ["centre"], "shot": "coupe"}
READY = (
    (0, "opened", {"version": "0", "machine": "m"}),
    (0, "shot", COUPE | {"takes": 1}),
    *((1, "lock", {"which": lock, "on": True}) for lock in ("light", "set", "camera")),
    (10, "pull", {"scoop": 1, "flavour": "vanilla", "to": "tray"}),
    (40, "hero_in", {"scoops": [1], **HERO}),
)


@pytest.fixture(scope="module")
def end():
    """When the window of scoop 1 ends."""
    (hero,) = review_of(session(*READY, (900, "note", {"text": "x"}))).heroes
    return hero.window()[1]


PULLED = (60, "pull", {"scoop": 2, "flavour": "vanilla", "to": "box"})


def leaving(at, *others):
    return session(*READY, PULLED, *others, (at, "swap", {"out": 1, "in": 2, "spot": "centre"}))


def test_a_hero_that_left_when_it_was_cued(end):
    before, _ = tally(leaving(end - 85))
    taken, missed = tally(leaving(end - 40))
    assert (taken, missed) == (before + 1, 0)


def test_a_hero_left_standing_is_a_cue_unheeded(end):
    late = end + cued.MISSED_S + 20
    _, missed = tally(leaving(late + 60, (late, "pull", {"scoop": 3, "flavour": "vanilla", "to": "box"})))
    assert missed == 2, "the swap, and the pull that was to rest meanwhile"


def test_a_pull_that_was_wanted_is_on_its_cue():
    taken, _ = tally(session(*READY[:6]))
    assert taken == 1


def test_too_many_calls_are_not_counted(monkeypatch):
    monkeypatch.setattr(cued, "MOST_CALLS", 1)
    assert tally(session(*READY)) is None
