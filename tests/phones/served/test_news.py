"""What phones are told: what to fetch and by when, the line, the tubs, and the calls that their right allows."""

import json
from dataclasses import replace

import pytest

from studiotimer.phones.news import CAUTION, LOW_PULLS, Page, asked, cue_id, due_now, told
from studiotimer.phones.telling import for_right
from studiotimer.session.calls.registry import made
from studiotimer.session.calls.rights import why_not
from studiotimer.session.cue import Cue
from studiotimer.session.cues import cues
from studiotimer.session.desk import Desk
from studiotimer.session.forecast import Forecaster
from tests.session.shoots import BEGAN, TRIO, plan
from tests.session.shoots import told as ledger_of

STAGES = dict.fromkeys(("frosted", "matte", "sheen", "edges gone", "dripping", "slumped"), "#123456")
LOCKED = tuple((1.0, "lock", {"which": which, "on": True}) for which in ("light", "set", "camera"))
PULLS = tuple(
    (10.0 + number, "pull", {"scoop": number, "flavour": flavour, "to": "box", "slot": f"B{number}"})
    for number, flavour in enumerate(("vanilla", "cherry", "cherry"), 1)
)
SHOT = ((0.0, "shot", TRIO),)
ICE = {"dry_ice": {"form": "pellets"}}


def page(*calls, at=600.0, forecast=True, **changes):
    ledger, days = ledger_of(*calls), plan(**ICE)
    made_of = Forecaster(days).forecast(ledger.state, at) if forecast else None
    desk = Desk(ledger, days, at, tuple(made_of.best) if made_of else ())
    found = Page(
        desk, cues(desk, made_of), made_of, [scoop.number for scoop in ledger.state.line()], lambda second: second + 1e5,
        lambda name: (name, name[:3], "#ABCDEF"), STAGES, {},
    )  # fmt: skip
    return replace(replace(found, due_since=due_now(found)), **changes)


def offered(news):
    """Return every call in news, wherever it stands."""
    if isinstance(news, dict):
        if {"kind", "fields"} <= news.keys():
            yield news
        for one in news.values():
            yield from offered(one)
    elif isinstance(news, list):
        for one in news:
            yield from offered(one)


def test_before_the_first_shot_there_is_news_that_says_so():
    news = told(page(forecast=False))
    assert (news["shot"], news["cue"]["verb"], news["line"], news["hero"]) == ("No shot yet", "Begin", [], None)
    assert json.loads(json.dumps(news)) == news


def test_what_is_wanted_on_set_is_to_be_fetched_before():
    found = page(*SHOT, *LOCKED, *PULLS)
    hero_in = next(cue for cue in found.cues if cue.kind == "hero_in")
    news = told(found)
    bring = [one for one in (news["cue"], *news["then"]) if one["verb"] == "Bring"]
    assert [(one["scoop"], one["slot"], one["from"]) for one in bring] == [
        (1, "B1", "box B1"), (2, "B2", "box B2"), (3, "B3", "box B3"),
    ]  # fmt: skip
    assert [one["to"] for one in bring] == ["left", "middle", "right"]
    wanted = min(hero_in.due - found.desk.plan.carried_s, 600.0) + 1e5
    assert bring[0]["due"] == pytest.approx(wanted, abs=0.01)
    assert bring[0]["call"]["fields"] == {"scoop": 1}
    assert bring[0]["call"]["title"] == "1 is at the set"


def test_a_brought_scoop_is_not_fetched_again_and_the_next_one_is():
    news = told(page(*SHOT, *LOCKED, *PULLS, (590.0, "brought", {"scoop": 1})))
    fetched = [one["scoop"] for one in (news["cue"], *news["then"]) if one["verb"] == "Bring"]
    assert fetched == [2, 3]
    first = next(one for one in news["line"] if one["scoop"] == 1)
    assert (first["place"], first["words"]) == ("carried", "at the set")
    assert "brought" not in [one["kind"] for one in first["calls"]]


def test_a_cue_that_is_due_keeps_the_moment_since_which_it_is():
    first = page(*SHOT, at=600.0)
    later = page(*SHOT, at=620.0)
    again = told(replace(later, due_since=due_now(replace(later, due_since=due_now(first)))))
    assert again["cue"]["late_words"] == "now"
    assert again["cue"]["due"] == told(first)["cue"]["due"]
    assert again["cue"]["id"] == told(first)["cue"]["id"]


def test_the_line_has_moments_of_the_steady_clock_and_the_tubs_what_is_left():
    found = page(*SHOT, *LOCKED, *PULLS)
    news = told(found)
    waiting = news["line"][0]
    assert waiting["since"] == 100_011.0
    assert 1e5 + 600 <= waiting["opens"] < waiting["ends"]
    vanilla = next(one for one in news["tubs"] if one["flavour"]["name"] == "vanilla")
    assert vanilla["left"] > LOW_PULLS
    assert not vanilla["low"]
    pulls = [one["fields"] for one in vanilla["calls"] if one["kind"] == "pull"]
    assert pulls == [{"flavour": "vanilla", "to": "box"}, {"flavour": "vanilla", "to": "tray"}]


def test_a_hero_is_told_with_its_life_and_its_stages_one_after_another():
    news = told(page(*SHOT, *LOCKED, *PULLS, (590.0, "hero_in", {"scoops": [1, 2, 3]}), at=595.0))
    hero = news["hero"]
    assert hero["early"] <= hero["ends"] <= hero["late"]
    for before, after in zip(hero["stages"], hero["stages"][1:], strict=False):
        assert before["to"] == after["from"]
    assert hero["stages"][0]["from"] == 1e5 + 590


def test_the_cautions_are_there_where_dry_ice_is():
    assert told(page(*SHOT))["caution"] == CAUTION
    for words in ("Gloves", "eye protection", "Ventilate", "low places", "sealed", "monitor decides"):
        assert words in CAUTION


@pytest.mark.parametrize("right", ["watch", "assistant", "everything"])
def test_a_phone_is_offered_what_it_may_call_and_every_offer_can_be_made(right):
    calls = (*SHOT, *LOCKED, *PULLS, (590.0, "hero_in", {"scoops": [2]}), (591.0, "tub_out", {"flavour": "cherry"}))
    whole = told(page(*calls))
    news = for_right(whole, lambda one: why_not(right, one["kind"], one["fields"]) is None)
    found = list(offered(news))
    kinds = {one["kind"] for one in found}
    if right == "watch":
        assert found == []
    elif right == "assistant":
        assert {"pull", "brought", "move", "judge", "tub_out", "tub_back", "top_up", "hold", "poured"} <= kinds
        assert not kinds & {"hero_in", "swap", "out", "lock", "got_it", "amend", "shot"}
    else:
        assert {"swap", "out", "lock", "got_it", "amend", "hero_in"} <= kinds
    head = {"n": 99, "run": 1, "at": BEGAN, "tick": 600.0}
    from studiotimer.session.defaults import filled

    desk = page(*calls).desk
    for one in found:
        assert one["title"]
        given = replace(desk, given=one["fields"])
        made(one["kind"], filled(one["kind"], given) | head)


def test_a_cue_is_the_same_one_whoever_is_pulled_meanwhile_and_whoever_replaces_the_hero():
    swap = Cue("swap", "Swap left: 8 for 4", 100.0, {"out": 4, "in": 8}, "swap")
    assert cue_id(swap, 5) == cue_id(replace(swap, words="Swap left: 9 for 4", given={"out": 4, "in": 9}), 6)
    pull = Cue("pull", "Pull lemon", 100.0, {"flavour": "lemon"}, "pull")
    assert cue_id(pull, 5) != cue_id(pull, 6), "the next pull of a flavour is another cue"
    lock = Cue("lock", "Lock set", 100.0, {"which": "set", "on": True})
    assert cue_id(lock, 5) == cue_id(lock, 6)


def test_a_cue_sounds_on_phones_until_it_was_seen_here_or_there():
    found = page(*SHOT, *LOCKED[:2])
    sounding = told(found)["sound"]["cue"]
    cue = next(cue for name, (_, cue) in asked(found).items() if name == sounding)
    assert cue.sound == "pull"
    hushed = told(replace(found, silent=lambda one: one == cue))
    assert hushed["sound"] != {"cue": sounding}
    assert [one["seen"] for one in (hushed["cue"], *hushed["then"]) if one["id"] == sounding] in ([], [True])
    assert told(replace(found, silent=lambda one: True))["sound"] is None
    assert told(replace(found, cues=()))["sound"] is None


def test_one_sound_asks_for_all_scoops_of_a_cue_and_seen_on_a_phone_ends_it():
    found = page(*SHOT, *LOCKED, *PULLS)
    bring = [name for name, (one, cue) in asked(found).items() if one is not cue]
    hero_in = asked(found)[bring[0]][1]
    swap = replace(found, cues=[replace(hero_in, sound="swap", due=600.0)])
    swap = replace(swap, due_since=due_now(swap))
    assert told(swap)["sound"] == {"cue": bring[0]}
    seen = told(replace(swap, seen=frozenset(bring[:1])))
    assert (seen["sound"], seen["cue"]["seen"]) == (None, True)


def test_news_of_the_same_moment_are_the_same():
    one = told(page(*SHOT, *LOCKED, *PULLS))
    assert one == told(page(*SHOT, *LOCKED, *PULLS))
