"""A first try of a minute: a shoot of its own, and one call after another to press."""

from __future__ import annotations

import contextlib
from collections import Counter
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from studiotimer.places import config_folder, demo_copies
from studiotimer.prep.plan import Plan, parse_plan
from studiotimer.session.entries import AnyEntry
from studiotimer.session.reading import SUFFIX
from studiotimer.window.keys import KeyMap
from studiotimer.window.running import Running


@dataclass(frozen=True)
class Step:
    """What to press, with the keys' names filled in, and the calls that have then been made."""

    words: str
    calls: tuple[str, ...]


STEPS = (
    Step("{pull} logs a pull: the assistant draws a scoop from the tub into the box. Press it.", ("pull",)),
    Step("{light}, {set} and {camera} lock light, set and camera, so that nothing waits once the hero is in.",
         ("lock", "lock", "lock")),
    Step("{hero_in} is hero in. From then on the large figures count what is left of it.", ("hero_in",)),
    Step("The ribbon shows its stages. When you see one come, {look} says so, and the countdown learns.", ("look",)),
    Step("Told too late? {amend} opens the last call: press it four times for 20 s ago, then enter.", ("amend",)),
    Step("{take_back} takes the last call back; it stays in the log, struck out.", ("take_back",)),
    Step("{cue} makes whatever is cued beside the clock, from a foot switch too. Press it to end.", ("",)),
)  # fmt: skip
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
    return parse_plan(PLAN)


def practice_path(now: datetime) -> Path:
    """Return where the first try is kept, out of the way of real shoots."""
    return demo_copies() / f"first-try-{now:%Y-%m-%d-%H%M%S}{SUFFIX}"


def was_offered() -> bool:
    """Whether the first try was offered before."""
    return (config_folder() / OFFERED).exists()


def keep_offered() -> None:
    """Remember that the first try was offered; where nothing can be kept it is offered again."""
    with contextlib.suppress(OSError):
        (config_folder() / OFFERED).touch()


class Guide(QObject):
    """Says one step at a time, and goes on when its calls were made."""

    said = Signal(str)
    ended = Signal()

    def __init__(self, running: Running, keys: KeyMap, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._keys = keys
        self._place = 0
        self._made: Counter[str] = Counter()
        running.accepted.connect(self._heard)

    @property
    def words(self) -> str:
        """What is asked now."""
        if self._place >= len(STEPS):
            return DONE
        names = {action.partition(":")[2] or action: self._keys.shown(action) for action in self._keys.keys}
        words = STEPS[self._place].words.format(**names)
        return f"{self._place + 1} of {len(STEPS)}: {words[:1].upper()}{words[1:]}"

    @property
    def done(self) -> bool:
        """Whether every step was made."""
        return self._place >= len(STEPS)

    def _heard(self, entry: AnyEntry) -> None:
        if self.done:
            return
        wanted = Counter(STEPS[self._place].calls)
        self._made[entry.kind] += 1
        if wanted == Counter([""]) or all(self._made[kind] >= count for kind, count in wanted.items()):
            self._place += 1
            self._made.clear()
            self.said.emit(self.words)
            if self.done:
                self.ended.emit()
