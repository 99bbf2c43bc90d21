"""Words shown anywhere are one plain line."""

import pytest

from studiotimer.plain import plain, shown


@pytest.mark.parametrize(
    ("written", "kept"),
    [
        ("vanilla", "vanilla"),
        ("  two  words ", "two  words"),
        ("line\nbreak\tand\x07bell", "line break and bell"),
        ("\u2028both\u2029", "both"),
        ("right\u202eleft\u2066x\u2069\u200f", "rightleftx"),
        ("zero\u200bwidth\ufeff", "zerowidth"),
        ("\ud800", "\ufffd"),
        ("پی\u200cدی", "پی\u200cدی"),
        ("👩\u200d🍳", "👩\u200d🍳"),
        ("a\u00a0b", "a\u00a0b"),
        ("<b>=1+1</b>", "<b>=1+1</b>"),
        ("\x00\x1b", ""),
    ],
)
def test_control_direction_and_invisible_characters_go(written, kept):
    assert plain(written) == kept
    assert plain(kept) == kept


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("vanilla", "“vanilla”"),
        ("x" * 50, "“" + "x" * 40 + "…”"),
        (-1, "“-1”"),
        (None, "“None”"),
        ([1], "this"),
        pytest.param(10**5000, "“a number of very many digits”", id="very large"),
        ("a\x1b[31mb", "“a [31mb”"),
    ],
)
def test_what_was_written_is_shown_short_and_plain(value, words):
    assert shown(value) == words
