"""Tool tips that show words as they are: what looks like markup would be taken for it."""

from __future__ import annotations

from html import escape

from studiotimer.plain import plain


def tip(words: str) -> str:
    """Return what makes a tool tip show `words`; none for none."""
    return f"<qt>{escape(plain(words))}</qt>" if words else ""
