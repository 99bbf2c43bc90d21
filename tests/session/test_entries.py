"""Every kind of entry: what it takes, what it refuses and in which words."""

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from studiotimer.plain import plain
from studiotimer.session.calls.registry import CALLS, KINDS, field_names, made
from studiotimer.session.first_lines import BadLineError
from tests.session.given import ACTIONS, JUNK, fields_of
from tests.session.shoots import BEGAN, SHOT, entry

HEAD = {"n": 1, "run": 1, "at": BEGAN, "tick": 0.0}


def test_the_kinds_are_those_of_the_trade():
    assert set(KINDS) == set(ACTIONS) | {"amend", "take_back", "opened", "closed"}
    assert set(CALLS) == set(KINDS) - {"opened", "closed"}


def test_field_names_are_those_of_the_file():
    assert field_names("judge") == ("scoop", "as")
    assert field_names("swap") == ("out", "in", "spot", "flavour", "assumed_pull_s")


@pytest.mark.parametrize(
    ("kind", "fields", "sentence"),
    [
        ("sing", {}, "there is no call named “sing”; the calls are shot, lock, pull"),
        (
            "shot",
            SHOT | {"look": "crunchy"},
            "shot: look: “crunchy” is not known; write crisp, sheen, melt, first drip, run or pool",
        ),
        ("shot", SHOT | {"name": " \n"}, "shot: name: it is empty; it must not be"),
        ("shot", SHOT | {"flavours": []}, "shot: each spot needs its flavour: give as many flavours as spots"),
        ("shot", SHOT | {"lux": float("inf")}, "shot: lux: “inf” is not possible; give a finite number"),
        ("top_up", {"mass_kg": -1, "form": "slab"}, "top_up: mass_kg: −1 is not possible; give more than 0"),
        ("top_up", {"mass_kg": 5000, "form": "slab"}, "top_up: mass_kg: 5000 is not possible; give at most 1000"),
        ("top_up", {"form": "slab"}, "top_up: mass_kg: it is missing; it must be given"),
        ("pull", {"scoop": 0, "flavour": "a", "to": "box"}, "pull: scoop: 0 is not possible; give at least 1"),
        (
            "pull",
            {"scoop": 1.5, "flavour": "a", "to": "box"},
            "pull: scoop: “1.5” is not possible; give a whole number",
        ),
        ("pull", {"scoop": 10**400, "flavour": "a", "to": "box"}, "pull: scoop: “1000"),
        ("pull", {"scoop": 1, "flavour": 7, "to": "box"}, "pull: flavour: “7” is not possible; give words"),
        ("note", {"text": "x" * 2001}, "note: text: “xxxx"),
        ("note", {"text": "x", "mood": 1}, "note: mood: there is no such field; the fields are text"),
        ("note", {"text": "x", "a\x1b[2J" + "b" * 90: 1}, "note: a [2Jbbbb"),
        ("note", {"text": "x", "n": "z"}, "note: n: “z” is not possible; give a whole number"),
        ("note", {"text": "x", "tick": float("nan")}, "note: tick: “nan” is not possible; give a finite number"),
        ("note", {"text": "x", "tick": 1e300}, "note: tick: 1e+300 is not possible; give at most 100000000"),
        (
            "note",
            {"text": "x", "at": datetime(2026, 1, 1)},
            "note: at: this is not possible; give a time with its time",
        ),
        (
            "note",
            {"text": "x", "at": datetime(26, 1, 1, tzinfo=UTC)},
            "note: at: the year 26 is not possible; give",
        ),
        ("hero_in", {"scoops": []}, "hero_in: scoops: it is empty; it must not be"),
        ("hero_in", {"scoops": [1, 1]}, "hero_in: a scoop can be in one spot only"),
        (
            "hero_in",
            {"scoops": [1, 2], "spots": ["left"]},
            "hero_in: give as many flavours and spots as scoops, or none",
        ),
        ("hero_in", {"scoops": list(range(1, 90))}, "hero_in: scoops: this is not possible; give one at most 60 long"),
        ("swap", {"out": 3, "in": 3}, "swap: a swap needs two different scoops"),
        ("swap", {"out": 3}, "swap: in: it is missing; it must be given"),
        ("stand_in", {"on": True}, "stand_in: a stand-in is either a scoop or a prop"),
        ("stand_in", {"on": True, "scoop": 1, "prop": "ball"}, "stand_in: a stand-in is either a scoop or a prop"),
        ("reading", {"what": "lux", "value": -1}, "reading: light: -1 lx is not possible; give 0 to 200,000 lx"),
        ("reading", {"what": "humidity", "value": 45}, "reading: humidity: 4500 % is not possible; give 0 to 100 %"),
        ("lock", {"which": ["light"], "on": True}, "lock: which: this is not known; write light, set or camera"),
        ("lock", {"which": "light", "on": "maybe"}, "lock: on: “maybe” is not possible; give true or false"),
        ("amend", {"entry": 1, "change": {}}, "amend: change: it is empty; it must not be"),
        (
            "amend",
            {"entry": 1, "change": {"a": {"b": 1}}},
            "amend: change: a: this is not possible; give a number, a word",
        ),
        (
            "amend",
            {"entry": 1, "change": {"tick": float("nan")}},
            "amend: change: tick: “nan” is not possible; give a number",
        ),
        (
            "amend",
            {"entry": 1, "change": {"scoops": [[1]]}},
            "amend: change: scoops: this is not possible; give a number",
        ),
        (
            "amend",
            {"entry": 1, "change": {"scoops": [1] * 61}},
            "amend: change: scoops: this is not possible; give a number",
        ),
        ("take_back", {"entry": 0}, "take_back: entry: 0 is not possible; give at least 1"),
    ],
)
def test_what_cannot_be_is_one_clear_sentence(kind, fields, sentence):
    with pytest.raises(BadLineError) as refused:
        made(kind, {**HEAD, **fields})
    assert str(refused.value).startswith(sentence)
    assert "\n" not in str(refused.value)
    assert len(str(refused.value).removesuffix(", ".join(CALLS))) < 300


@pytest.mark.parametrize("kind", CALLS)
@given(data=st.data())
@settings(max_examples=25, deadline=None)
def test_anything_at_all_is_taken_or_refused_in_a_sentence(kind, data):
    junk = {name: data.draw(JUNK) for name in field_names(kind)} | data.draw(
        st.dictionaries(st.text(), JUNK, max_size=1)
    )
    said = ""
    try:
        made(kind, junk | HEAD)
    except BadLineError as error:
        said = str(error)
    assert plain(said) == said


@pytest.mark.parametrize("kind", ACTIONS)
@given(data=st.data())
@settings(max_examples=15, deadline=None)
def test_possible_fields_are_taken(kind, data):
    assert made(kind, data.draw(fields_of(kind)) | HEAD).kind == kind


def test_names_are_one_plain_line():
    call = made(
        "hero_in", {**HEAD, "scoops": [1, 2], "flavours": ["\u202evan\nilla", "<b>"], "spots": ["=1+1", "b\x00"]}
    )
    assert call.flavours == ("van illa", "<b>")
    assert call.spots == ("=1+1", "b")
    assert made("amend", {**HEAD, "entry": 1, "change": {"spot": "a\u2066b"}}).change == {"spot": "ab"}


def test_one_scoop_or_name_needs_no_list():
    call = made("hero_in", {**HEAD, "scoops": "7", "flavours": "vanilla", "spots": "left"})
    assert (call.scoops, call.flavours, call.spots) == ((7,), ("vanilla",), ("left",))


def test_a_scoop_named_twice_is_out_once():
    assert made("out", {**HEAD, "scoops": [3, 4, 3], "why": "gone"}).scoops == (3, 4)


def test_wall_times_are_utc_and_a_clock_that_was_never_set_does_not_stop_the_log():
    east = datetime(2026, 6, 14, 12, 0, tzinfo=timezone(timedelta(hours=2)))
    assert entry(1, "note", at=east, text="x").at == BEGAN
    assert entry(1, "note", at=east, text="x").at.tzinfo is UTC
    assert entry(1, "note", at=datetime(1970, 1, 1, tzinfo=UTC), text="x").at.year == 1970
