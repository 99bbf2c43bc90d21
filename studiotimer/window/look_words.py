"""The looks a shot may want, in words: the same wherever they are chosen."""

from __future__ import annotations

from studiotimer.prep.looks import Look

LOOK_WORDS: dict[Look, str] = {
    "crisp": "crisp: sharp, until edges go",
    "sheen": "sheen: shine, edges still there",
    "melt": "melt: drips, until it slumps",
    "first drip": "first drip: the 45 s from it on",
    "run": "run: drops and runs, the 90 s after those",
    "pool": "pool: from the first drip, until it slumps",
}
