"""A first try of a minute: a shoot of its own, and one call after another to press."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Set
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from studiotimer.files import PRIVATE_FOLDER, make_folder, write_whole
from studiotimer.places import demo_copies, where_kept
from studiotimer.session.first_lines import SUFFIX
from studiotimer.window import shelf

if TYPE_CHECKING:
    from studiotimer.prep.plan import Plan
    from studiotimer.session.state import State
    from studiotimer.window.keys import KeyMap
    from studiotimer.window.running import Running


@dataclass(frozen=True)
class Step:
    """What to press, with the keys' names filled in, and what shows that it was done.

    That is told by the session's state and the kinds of call made since the step before.
    """

    words: str
    done: Callable[[State, Set[str]], bool]


STEPS = (
    Step("the cue, in large letters, is what to call next; {cue} makes it, from a foot switch too. Press it three "
         "times, a second apart.", lambda state, _: all(state.locks.values())),
    Step("light, set and camera are locked, so a hero never waits. {pull} logs a pull: a scoop drawn from the tub into "
         "the box.", lambda state, _: bool(state.scoops)),
    Step("{hero_in} is hero in. From then on the large figures count what is left of it.",
         lambda state, _: any(scoop.hero for scoop in state.scoops.values())),
    Step("the ribbon shows its stages. Pretend that you see it shine: {look} says so, and every countdown learns.",
         lambda _, made: "look" in made),
    Step("too soon? {take_back} takes the last call back; it stays in the log, struck out.",
         lambda _, made: "take_back" in made),
    Step("called too late? {amend} opens the last call; each ↓ is 5 s earlier, enter keeps it, esc cancels.",
         lambda _, made: bool({"amend", LEFT} & made)),
)  # fmt: skip
LEFT = "left"
"""What counts as made when the choices of a call were left."""
OFFERED = "first-try-offered"
DONE = "That was all. Esc leaves; the log is a file of its own, and nothing you press can lose it."

PLAN = {
    "title": "A first try",
    "flavours": [{"name": "vanilla", "mix": "premium"}],
    "shots": [{"name": "One scoop", "look": "crisp", "light": "LED 2000 lx", "takes": 2, "dressing": "0 s",
               "heroes": [{"flavour": "vanilla", "spot": "centre"}]}],
    "pull_to_set": "5 s",
}  # fmt: skip


def practice_plan() -> Plan:
    """Return the plan of the first try."""
    from studiotimer.prep.plan import parse_plan  # the start page, which offers it, opens without

    return parse_plan(PLAN)


def practice_path(now: datetime) -> Path:
    """Return where the first try is kept, out of the way of real shoots."""
    return demo_copies() / f"first-try-{now:%Y-%m-%d-%H%M%S}{SUFFIX}"


def was_offered() -> bool:
    """Whether the first try was offered before, or that cannot be told in time."""
    file = _offered()
    return shelf.read(file.exists, True)


def keep_offered() -> None:
    """Remember that the first try was offered; where nothing can be kept it is offered again."""
    file = _offered()
    shelf.write(f"offered in {file}", lambda: _touch(file))


def _offered() -> Path:
    return where_kept()[0] / OFFERED


def _touch(file: Path) -> None:
    with contextlib.suppress(OSError):
        make_folder(file.parent, PRIVATE_FOLDER)
        write_whole(file, b"", private=True)


class Guide(QObject):
    """Says one step at a time, and goes on when it is done, however that came about."""

    said = Signal(str)

    def __init__(self, running: Running, keys: KeyMap, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._running = running
        self._keys = keys
        self._place = 0
        self._made: set[str] = set()
        running.accepted.connect(lambda entry: self._heard(entry.kind))

    @property
    def words(self) -> str:
        """What is asked now."""
        if self._place >= len(STEPS):
            return DONE
        names = {action.partition(":")[2] or action: self._keys.shown(action) for action in self._keys.keys}
        words = STEPS[self._place].words.format(**names)
        return f"{self._place + 1} of {len(STEPS)}: {words[:1].upper()}{words[1:]}"

    def left(self) -> None:
        """Take in that the choices of a call were left."""
        self._heard(LEFT)

    def _heard(self, kind: str) -> None:
        self._made.add(kind)
        before = self._place
        while self._place < len(STEPS) and STEPS[self._place].done(self._running.state, self._made):
            self._place += 1
            self._made.clear()
        if self._place != before:
            self.said.emit(self.words)
