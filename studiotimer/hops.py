"""The hops of calls and forecasts, and what the disk did: noted by category where somebody asked for a log of it."""

from __future__ import annotations

import logging
import time
from collections.abc import Sequence
from typing import Literal, get_args

from studiotimer.errors import InputError
from studiotimer.plain import plain, short, shown

Category = Literal["calls", "forecast", "disk"]
CATEGORIES: tuple[Category, ...] = get_args(Category)
MOST_EACH = 32
"""How many entries that come together have a line each; of more, as when a whole session is copied, there is one."""
LONGEST = 300
"""Letters of a line."""
LOGS = {category: logging.getLogger(f"studiotimer.hops.{category}") for category in CATEGORIES}
for _log in LOGS.values():
    _log.disabled, _log.propagate = True, False


class CategoryError(InputError):
    """A word that names no category of the log; the message says which do."""


def categories(text: str) -> tuple[Category, ...]:
    """Return the categories in `text`, commas between them; raises CategoryError."""
    words = [word.strip() for word in text.split(",")]
    if wrong := [word for word in words if word not in CATEGORIES]:
        raise CategoryError(
            f"--log: {shown(wrong[0])} is no category of the log; "
            f"write {', '.join(CATEGORIES[:-1])} or {CATEGORIES[-1]}, several with commas between them"
        )
    return tuple(category for category in CATEGORIES if category in words)


def on() -> bool:
    """Whether anything is noted."""
    return any(not log.disabled for log in LOGS.values())


def note(category: Category, words: str, *figures: object, ago_s: float = 0.0) -> None:
    """Note a hop as one line: steady milliseconds, those of `ago_s` seconds ago, its category and `words % figures`."""
    log = LOGS[category]
    if not log.disabled:
        line = f"{(time.monotonic() - ago_s) * 1000:.3f} {category} {words % figures}"
        log.info(short(plain(line), LONGEST))


def entered(number: int, kind: str, how: str, ago_s: float) -> None:
    """Note that a call, asked for `how` and `ago_s` seconds ago, was made into entry `number`."""
    note("calls", "entry %d asked %s: %s", number, how, kind, ago_s=ago_s)
    note("calls", "entry %d made", number)


def asked_how(with_moment: bool, program: bool, phone: bool) -> str:
    """Return by whom a call is made; one in the window whose moment is known has it from a key."""
    if program:
        return "by a phone" if phone else "by another program"
    return "by a key" if with_moment else "by a button or the page"


def each(numbers: Sequence[int], hop: str) -> None:
    """Note the same hop of several entries."""
    if LOGS["calls"].disabled:
        return
    if len(numbers) > MOST_EACH:
        note("calls", "entries %d to %d %s", numbers[0], numbers[-1], hop)
        return
    for number in numbers:
        note("calls", "entry %d %s", number, hop)
