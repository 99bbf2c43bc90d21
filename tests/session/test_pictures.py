"""What is said on set of the pictures taken."""

from studiotimer.session.pictures import frames_words, no_frame_s, no_frame_words
from tests.wrap.shoots import COUPE, session

BEGUN = (
    (0, "shot", COUPE),
    (10, "pull", {"scoop": 1, "flavour": "vanilla", "to": "tray"}),
    (15, "frame", {"name": "test.jpg"}),
)
HERO = (60, "hero_in", {"scoops": [1], "flavours": ["vanilla"], "spots": ["centre"], "shot": "coupe"})


def state(*calls):
    return session(*BEGUN, *calls).state


def test_frames_of_this_take_and_the_newest():
    assert frames_words(session(BEGUN[0]).state) == ""
    assert frames_words(state()) == "1 frame of this take, last test.jpg"
    assert frames_words(state(HERO)) == "0 frames of this take, last test.jpg"
    shot = state(HERO, (70, "frame", {"name": "A_1.jpg"}), (75, "frame", {"name": "A_2.jpg"}))
    assert frames_words(shot) == "2 frames of this take, last A_2.jpg"

    following = state(HERO, (70, "frame", {"name": "A_1.jpg"}), (80, "shot", COUPE | {"name": "cone"}))
    assert frames_words(following) == "0 frames of this take, last A_1.jpg", "those of the shot before are not its own"


def test_a_hero_without_pictures_is_said_after_a_while():
    stands = state(HERO)
    assert no_frame_s(stands, 79.0) is None
    assert no_frame_words(stands, 100.0) == "no frame for 0:40"
    assert no_frame_words(state(HERO, (95, "frame", {"name": "A_1.jpg"})), 100.0) == ""
    assert no_frame_words(state(HERO, (95, "frame", {"name": "A_1.jpg"})), 135.0) == "no frame for 0:40"


def test_nothing_is_missed_without_a_hero_or_on_hold():
    assert no_frame_words(state(), 500.0) == ""
    assert no_frame_words(state(HERO, (70, "hold", {})), 500.0) == ""
    assert no_frame_words(state(HERO, (70, "out", {"scoops": [1], "why": "gone"})), 500.0) == ""
