"""What the server tells each phone: the news once worked out for a right, its own calls, and nothing of before."""

from studiotimer.phones.telling import Known, Told

LOCK = {"kind": "lock", "fields": {"which": "light", "on": True}}
PULL = {"kind": "pull", "fields": {"flavour": "lemon", "to": "box"}}
BACK = {"kind": "take_back", "fields": {"entry": 7}}


def known(name, right):
    return Known(name, name, right, "")


def test_phones_of_one_right_have_the_same_news_and_each_its_own_calls():
    told = Told()
    told.take({"do": "news", "news": {"calls": [PULL, LOCK], "shot": "a"}, "own": {"p1": [BACK]}})
    for _ in range(2):
        assert told.news(known("p1", "assistant"))["calls"] == [BACK, PULL]
        assert told.news(known("p2", "assistant"))["calls"] == [PULL]
        assert told.news(known("p3", "everything"))["calls"] == [PULL, LOCK]
        assert told.news(known("p4", "watch"))["calls"] == []


def test_newer_news_are_told_to_each_right():
    told = Told()
    for shot in ("a", "b"):
        told.take({"do": "news", "news": {"calls": [], "shot": shot}, "own": {}})
        for right in ("watch", "assistant", "everything"):
            assert told.news(known("p1", right))["shot"] == shot
