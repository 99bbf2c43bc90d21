"""Which key makes which call; keys can be changed, and clickers and foot switches bound."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from PySide6.QtCore import QKeyCombination, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence

from studiotimer.places import config_folder
from studiotimer.session.entries import KINDS

Action = str
"""A call's kind with a fixed field ("lock:light"), or a deed of the window ("cue", "dim")."""

DEFAULT_KEYS: dict[Action, tuple[str, ...]] = {
    "cue": ("Space", "PgDown", "Media Next"),
    "pull": ("P",),
    "hero_in": ("H",),
    "swap": ("S",),
    "out": ("O",),
    "look": ("L",),
    "top_up": ("D",),
    "ice_cleared": ("Shift+D",),
    "reading": ("R",),
    "got_it": ("G",),
    "judge": ("J",),
    "move": ("M",),
    "stand_in": ("B",),
    "shot": ("K",),
    "lock:light": ("1",),
    "lock:set": ("2",),
    "lock:camera": ("3",),
    "hold": ("W",),
    "lamp": ("E",),
    "tub": ("U",),
    "frame": ("F",),
    "note": ("N",),
    "amend": ("A",),
    "take_back": ("Backspace",),
    "restore": ("Shift+Backspace",),
    "next": ("Right",),
    "previous": ("Left",),
    "let_go": ("Escape",),
    "more": ("X",),
    "dim": ("Z",),
    "crew": ("C",),
}
SHIFTED_CHOICES = True
FILE = "keys.json"


class KeyMapError(ValueError):
    """A key map that cannot be used; the message says which key and why."""


class KeyMap:
    """Keys by action; each key means one action."""

    def __init__(self, keys: Mapping[Action, tuple[str, ...]] | None = None) -> None:
        self.keys = dict(DEFAULT_KEYS if keys is None else keys)
        self._actions: dict[int, Action] = {}
        for action, names in self.keys.items():
            for name in names:
                code = _code(name)
                if code in self._actions:
                    raise KeyMapError(f"the key {name} is bound to {self._actions[code]} and to {action}; free one")
                self._actions[code] = action

    def action(self, event: QKeyEvent) -> tuple[Action | None, bool]:
        """Return the action of a key press, and whether Shift asks for its choices."""
        combination = event.keyCombination()
        modifiers = combination.keyboardModifiers() & ~Qt.KeyboardModifier.KeypadModifier
        exact = self._actions.get(QKeyCombination(modifiers, combination.key()).toCombined())
        if exact is not None:
            return exact, False
        if modifiers == Qt.KeyboardModifier.ShiftModifier:
            plain = self._actions.get(QKeyCombination(Qt.KeyboardModifier.NoModifier, combination.key()).toCombined())
            return plain, plain is not None
        return None, False

    def shown(self, action: Action) -> str:
        """Return an action's first key as the screen shows it."""
        names = self.keys.get(action, ())
        return _SHOWN.get(names[0], names[0]) if names else ""


_SHOWN = {"Backspace": "⌫", "Shift+Backspace": "shift ⌫", "Space": "space", "Shift+D": "shift D", "PgDown": "page down"}


def load_keys() -> tuple[KeyMap, str | None]:
    """Return the crew's keys, and a sentence when their file could not be used and the usual keys hold."""
    path = config_folder() / FILE
    try:
        return read_keys(path), None
    except FileNotFoundError:
        return KeyMap(), None
    except (OSError, KeyMapError) as error:
        return KeyMap(), f"The changed keys could not be used ({error}); the usual keys hold."


def read_keys(path: Path) -> KeyMap:
    """Return the key map in a file: an object of action to list of keys, laid over the usual ones.

    Raises KeyMapError when it is not one, OSError when it cannot be read.
    """
    try:
        changed: Any = json.loads(path.read_text(encoding="utf-8"))
    except (UnicodeDecodeError, ValueError, RecursionError):
        raise KeyMapError(f"{path.name} is not a key map") from None
    if not isinstance(changed, dict):
        raise KeyMapError(f"{path.name} is not a key map")
    keys = dict(DEFAULT_KEYS)
    for action, names in changed.items():
        if action not in DEFAULT_KEYS:
            raise KeyMapError(f"there is no action {action[:40]!r}; the actions are {', '.join(DEFAULT_KEYS)}")
        if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
            raise KeyMapError(f"the keys of {action} must be a list of key names")
        keys[action] = tuple(names)
    return KeyMap(keys)


def kind_of(action: Action) -> tuple[str, dict[str, Any]] | None:
    """Return the call an action makes: its kind and fixed fields; None when it is a deed of the window."""
    kind, _, part = action.partition(":")
    if kind not in KINDS:
        return None
    return kind, {"which": part} if part else {}


def _code(name: str) -> int:
    sequence = QKeySequence.fromString(name, QKeySequence.SequenceFormat.PortableText)
    combination = sequence[0] if sequence.count() == 1 else None  # type: ignore[index]
    if combination is None or combination.key() in (Qt.Key.Key_unknown, Qt.Key(0)):
        raise KeyMapError(f"{name[:40]!r} is not a key; write for example P, Shift+D, PgDown or Media Next")
    return int(combination.toCombined())
