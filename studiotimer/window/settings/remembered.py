"""What the crew keeps between sessions: settings, keys, learned mixes; a change is kept at once and can be undone."""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Any, NamedTuple

from PySide6.QtCore import QObject, Signal

from studiotimer.places import demo_copies, guess_documents, usual_sessions_folder
from studiotimer.session import memory
from studiotimer.session.memory import Memory, change_memory, load_memory
from studiotimer.window import keys, shelf
from studiotimer.window.aside import answered
from studiotimer.window.faults import logged
from studiotimer.window.keys import Action, KeyMap, action_words, change_keys, key_words, load_keys
from studiotimer.window.settings import values
from studiotimer.window.settings.values import Settings, change_settings, load_settings

if TYPE_CHECKING:
    from studiotimer.session.learning import Learned
    from studiotimer.session.live import Session

NOTHING = (None, None)
LONGEST_LEARNING_S = 20.0
SILENT = (
    "The disk with settings, keys and what was learned does not answer, so the usual ones hold; "
    "what is there is not written over."
)
CAME = "The disk with settings, keys and what was learned answers now; they hold from here on."


@dataclass(frozen=True)
class _Held:
    settings: Settings
    keys: KeyMap
    memory: Memory

    def same(self, other: _Held) -> bool:
        """Whether nothing differs."""
        keys = self.keys.keys == other.keys.keys
        return keys and (self.settings, self.memory) == (other.settings, other.memory)

    def over(self, before: _Held, now: _Held) -> _Held:
        """Return `now` with what differed in `before` from this."""
        return _Held(
            values.merged(self.settings, before.settings, now.settings),
            keys.merged(self.keys, before.keys, now.keys),
            memory.merged(self.memory, before.memory, now.memory),
        )


class _Read(NamedTuple):
    held: _Held
    words: str
    """What was wrong with the files; empty when nothing was."""


class _Written(NamedTuple):
    asked: _Held
    """What was to be kept."""
    now: _Held
    """That, with what another window kept."""
    troubles: tuple[str, ...]


def _read() -> _Read:
    usual_sessions_folder()
    settings, about_settings = load_settings()
    keys, about_keys = load_keys()
    memory, about_memory = load_memory()
    words = " ".join(one for one in (about_settings, about_keys, about_memory) if one)
    return _Read(_Held(settings, keys, memory), words)


class Remembered(QObject):
    """Settings, keys and memory. `changed` says that any of them did, `said` what the crew must be told.

    They hold at once and are written aside, each change on top of what the files have then.
    """

    changed = Signal()
    said = Signal(str)
    _came = Signal(object)
    _was_written = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._usual = _Held(Settings(), KeyMap(), Memory())
        self._came.connect(self._take)
        self._was_written.connect(self._after)
        self._lock = threading.Lock()
        found = shelf.read(_read, _Read(self._usual, SILENT), self._late)
        self._held = self._given = found.held
        """What holds, and what of it the files were given so far: the rest is still to be written."""
        self.words = found.words
        """What was wrong with the files, to be said once; empty when nothing was."""
        if found.words == SILENT:
            guess_documents()
        self._before: _Held | None = None
        self._step = ""

    @property
    def settings(self) -> Settings:
        """The settings."""
        return self._held.settings

    @property
    def keys(self) -> KeyMap:
        """The keys."""
        return self._held.keys

    @property
    def memory(self) -> Memory:
        """The learned mixes."""
        return self._held.memory

    @property
    def step(self) -> str:
        """The change that `undo` takes back, in words; empty when there is none."""
        return self._step

    def change(self, words: str, **settings: Any) -> None:
        """Change settings; one change after another under the same words is undone as one."""
        self._go(words, replace(self._held, settings=replace(self.settings, **settings)))

    def bind(self, action: Action, key: str) -> None:
        """Let a key mean an action; raises KeyMapError when it means something already."""
        keys = self.keys.bound(action, key)
        self._go(f"{key_words(key)} for {action_words(action)}", replace(self._held, keys=keys))

    def free(self, action: Action, key: str) -> None:
        """Let a key mean an action no longer; raises KeyMapError for the one that must stay."""
        keys = self.keys.freed(action, key)
        self._go(f"{key_words(key)} freed", replace(self._held, keys=keys))

    def usual_keys(self) -> None:
        """Go back to the usual keys."""
        self._go("the usual keys", replace(self._held, keys=KeyMap()))

    def correct(self, mix: str, factor: float) -> None:
        """Set how long a mix takes, in times the book's."""
        self._go(f"{mix} corrected", replace(self._held, memory=self.memory.corrected(mix, factor, date.today())))

    def forget(self, mix: str) -> None:
        """Forget what was learned of a mix."""
        self._go(f"{mix} forgotten", replace(self._held, memory=self.memory.forgotten(mix, date.today())))

    def forget_all(self) -> None:
        """Forget everything learned."""
        self._go("all mixes forgotten", replace(self._held, memory=self.memory.all_forgotten(date.today())))

    def undo(self) -> None:
        """Take the last change back."""
        if self._before is not None:
            before, self._before, self._step = self._before, None, ""
            self._keep(before)

    def learn_from(self, session: Session, learned: Callable[[], Learned]) -> None:
        """Take in what a session's looks taught; the copy of a demo teaches nothing, for its day is invented.

        `learned` works out what they said; the window goes on meanwhile.
        """
        known = any(session.header.session in one.lessons for one in self.memory.mixes.values())
        looked = any(scoop.seen for scoop in session.state.scoops.values())
        if demo_copies() in session.path.parents or not (looked or known):
            return
        with logged("learning from the session"):
            found = answered("learning from the session", learned, LONGEST_LEARNING_S)
            taught = self.memory.taught(session.header.session, session.plan, found, date.today())
            if taught != self.memory:
                self._before, self._step = None, ""
                self._keep(replace(self._held, memory=taught))

    def _go(self, words: str, held: _Held) -> None:
        if held.same(self._held):
            return
        if self._before is None or words != self._step:
            self._before = self._held
        self._step = words
        self._keep(held)

    def _keep(self, held: _Held) -> None:
        """Let `held` hold, and have what differs from the files brought to them."""
        self._held = held
        self.changed.emit()
        shelf.write(f"kept {id(self)}", self._write, self._tell)

    def _write(self) -> _Written:
        """Bring what was not given to the files yet to them, on top of what another window wrote; for the worker."""
        with self._lock:
            before, asked = self._given, self._held
            self._given = asked
        settings = change_settings(before.settings, asked.settings) if asked.settings != before.settings else NOTHING
        keys = change_keys(before.keys, asked.keys) if asked.keys.keys != before.keys.keys else NOTHING
        memory = change_memory(before.memory, asked.memory) if asked.memory != before.memory else NOTHING
        with self._lock:
            given = self._given
            self._given = _Held(
                before.settings if settings[1] else given.settings,
                before.keys if keys[1] else given.keys,
                before.memory if memory[1] else given.memory,
            )
        now = _Held(settings[0] or asked.settings, keys[0] or asked.keys, memory[0] or asked.memory)
        return _Written(asked, now, tuple(trouble for _, trouble in (settings, keys, memory) if trouble is not None))

    def _tell(self, written: _Written) -> None:
        with suppress(RuntimeError):  # the window went while it was written
            self._was_written.emit(written)

    def _after(self, written: _Written) -> None:
        """Take in what another window kept meanwhile."""
        asked, now = written.asked, written.now
        if not now.same(asked):
            self._rest_on(asked, now)
        for trouble in written.troubles:
            self.said.emit(trouble)

    def _late(self, found: _Read) -> None:
        with suppress(RuntimeError):  # the window went before its disk answered
            self._came.emit(found)

    def _take(self, found: _Read) -> None:
        """Take in what was read once the disk answered, under what was changed since."""
        self._rest_on(self._usual, found.held)
        self.said.emit(f"{CAME} {found.words}".rstrip())

    def _rest_on(self, was: _Held, now: _Held) -> None:
        """Let `now` hold in place of `was`, with what was changed since."""
        with self._lock:
            self._given = was.over(self._given, now)
            self._held = was.over(self._held, now)
        if self._before is not None:
            self._before = was.over(self._before, now)
        self.changed.emit()
