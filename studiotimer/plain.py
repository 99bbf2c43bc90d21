"""Plain text: one line of words with nothing in it that turns, hides or breaks what stands around it."""

from __future__ import annotations

import unicodedata

_UNSEEN = ("Cf", "Cc", "Zs", "Zl", "Zp", "Mn", "Me")
_JOINERS = "\u200c\u200d"
"""Invisible, but words of some scripts and many emoji need them."""


def plain(text: str) -> str:
    """Return `text` on one line, without control, direction and invisible characters, and stripped.

    A control character or line break becomes a space, an invalid one a replacement character.
    """
    return text.strip() if text.isprintable() else "".join(map(_plain, text)).strip()


def shown(value: object, longest: int = 40) -> str:
    """Return what somebody wrote, in quotes and short enough for one sentence."""
    if not isinstance(value, str | int | float | None):
        return "this"
    try:
        text = plain(str(value))
    except ValueError:  # a whole number of more digits than Python will print
        text = "a number of very many digits"
    return f"“{text[:longest]}…”" if len(text) > longest else f"“{text}”"


def short(text: str, longest: int) -> str:
    """Return `text`, its end left out where it is longer than `longest` letters."""
    return text if len(text) <= longest else f"{text[: longest - 1]}…"


def _plain(character: str) -> str:
    category = unicodedata.category(character)
    if category in ("Cc", "Zl", "Zp"):
        return " "
    if category == "Cf" and character not in _JOINERS:
        return ""
    return "\ufffd" if category == "Cs" else character


def starts_a_formula(text: str) -> bool:
    """Whether a spreadsheet may take a cell for a formula (OWASP): also behind signs that are not seen, and full-width.

    Apostrophes at the start are passed over.
    """
    for letter in text:
        if letter in "\t\r\n":
            return True
        if letter not in "' " and unicodedata.category(letter) not in _UNSEEN:
            return unicodedata.normalize("NFKC", letter)[:1] in ("=", "+", "-", "@")
    return False


def reason(error: Exception) -> str:
    """Return why the disk refused something, as part of a sentence."""
    return str(getattr(error, "strerror", None) or "there is no such place").lower()
