"""The looks a shot may want, in words: the same wherever they are chosen."""

from __future__ import annotations

from studiotimer.session.entries import Look

LOOK_WORDS: dict[Look, str] = {
    "crisp": "crisp: sharp ruffles, shine or not, until the edges go",
    "sheen": "sheen: a shine has come, the edges are still there",
    "melt": "melt: drips, until it slumps",
}
