"""An entry's line says what the entry says, and tells when it was changed."""

import json
import zlib
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from studiotimer.session.first_lines import BadLineError
from studiotimer.session.lines import from_line, to_line
from tests.session.given import ACTIONS, fields_of
from tests.session.shoots import BEGAN, entry, small_shoot

NOTE = entry(12, "note", 312.482, run=3, at=BEGAN + timedelta(microseconds=123456), text="crème")


def summed_by_hand(body: bytes) -> bytes:
    return body + b',"sum":"' + f"{zlib.crc32(body):08x}".encode() + b'"}'


def test_the_line_is_as_the_format_says():
    line = to_line(NOTE)
    assert (
        line
        == summed_by_hand(
            '{"n":12,"run":3,"at":"2026-06-14T10:00:00.123456Z","tick":312.482,"kind":"note","text":"crème"'.encode()
        )
        + b"\n"
    )
    assert json.loads(line)["text"] == "crème"


@pytest.mark.parametrize("one", small_shoot(), ids=lambda one: one.kind)
def test_each_kind_comes_back_as_it_was(one):
    line = to_line(one)
    assert line.endswith(b'"}\n')
    assert line.count(b"\n") == 1
    assert from_line(line[:-1]) == one


@pytest.mark.parametrize("kind", ACTIONS)
@given(data=st.data(), tick=st.floats(-80_000, 1e7), seconds=st.floats(0, 1e9))
@settings(max_examples=20, deadline=None)
def test_any_possible_entry_comes_back_as_it_was(kind, data, tick, seconds):
    one = entry(5, kind, round(tick, 6), at=BEGAN + timedelta(seconds=seconds), **data.draw(fields_of(kind)))
    assert from_line(to_line(one)[:-1]) == one


def test_an_amend_keeps_a_field_that_is_emptied():
    one = entry(5, "amend", entry=3, change={"spot": None, "tick": 3, "scoops": [1, 2], "on": True, "in": 4.0})
    back = from_line(to_line(one)[:-1])
    assert back == one
    assert back.change == {"spot": None, "tick": 3, "scoops": (1, 2), "on": True, "in": 4.0}


@given(place=st.integers(0, len(to_line(NOTE)) - 2), bit=st.integers(0, 7))
@settings(max_examples=200, deadline=None)
def test_a_flipped_bit_never_passes(place, bit):
    line = bytearray(to_line(NOTE)[:-1])
    line[place] ^= 1 << bit
    with pytest.raises(
        BadLineError, match=r"the line was changed: its sum does not match|the line has no sum at its end"
    ):
        from_line(bytes(line))


@pytest.mark.parametrize(
    ("body", "sentence"),
    [
        (b"", "the line has no sum at its end"),
        (b"{}", "it has no kind"),
        (b'{"kind":"sing"}', "its kind is not known"),
        (b'{"kind":["note"]}', "its kind is not known"),
        (b'{"kind":"note","n":1,"run":1,"at":0,"tick":1,"text":"x"}', "at: “0” is not possible; give a time like"),
        (b'{"kind":"note","n":"1"}', "n: “1” is not possible; give a whole number"),
        (b'{"kind":"note","n":NaN}', "n: “nan” is not possible; give a whole number"),
        (b'{"kind":"note","text":"\\ud800"}', "it is not JSON as this program writes it"),
        (b'{"kind":"note","text":"\xff"}', "it is not JSON as this program writes it"),
        (b'{"kind":"note","n":' + b"[" * 100_000 + b"}", "it is not JSON as this program writes it"),
        (b"not json at all", "it is not JSON as this program writes it"),
    ],
)
def test_a_line_with_a_right_sum_must_still_be_an_entry(body, sentence):
    with pytest.raises(BadLineError) as refused:
        from_line(summed_by_hand(body[:-1]) if body else body)
    assert str(refused.value).startswith(sentence)
