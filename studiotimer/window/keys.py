"""Which key makes which call; keys can be changed, and clickers and foot switches bound."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from functools import cached_property

from PySide6.QtCore import QKeyCombination, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence

from studiotimer.errors import InputError
from studiotimer.places import config_folder
from studiotimer.session import small_files
from studiotimer.window.set.actions import CALL_ACTIONS, action_name
from studiotimer.window.set.actions import Action as Action

CUE_KEYS = ("Space", "PgDown", "Media Next")
"""Media Next and page down are what clickers and foot switches send."""

DEEDS: dict[Action, tuple[tuple[str, ...], str]] = {
    "next": (("Right",), "Next scoop"),
    "previous": (("Left",), "Scoop before"),
    "let_go": (("Escape",), "Leave, cancel"),
    "more": (("X",), "More calls"),
    "seen": (("Y",), "Seen: end the cue's sound"),
    "keep": (("T",), "Keep the hero one minute more"),
    "dim": (("Z",), "Dim the screens"),
    "crew": (("C",), "Crew screen"),
    "phones": (("F7",), "Phones"),
    "watch": (("V",), "Watch a picture folder"),
    "elsewhere": (("F8",), "Do what a warning offers"),
    "settings": (("F10",), "Settings"),
    "key_list": (("F1",), "List of keys"),
    "how": (("F5",), "How the time is found"),
}
"""What keys do that make no call: the usual keys, and the words for it."""

DEFAULT_KEYS: dict[Action, tuple[str, ...]] = {
    "cue": CUE_KEYS,
    **{action: row.keys for action, row in CALL_ACTIONS.items()},
    **{action: names for action, (names, _) in DEEDS.items()},
}
FILE = "keys.json"
WAY_OUT: Action = "way out"
"""Asked for by Escape during the first try, where nothing is open that it would close."""
ALWAYS = ("let_go", "Escape")
"""The way out of everything: this key stays bound to this action."""


def action_words(action: Action) -> str:
    """Return an action as the screen names it."""
    if action in DEEDS:
        return DEEDS[action][1]
    return "Make the cued call" if action == "cue" else action_name(action)


class KeyMapError(InputError):
    """A key map that cannot be used; the message says which key and why."""


class KeyMap:
    """Keys by action; each key means one action."""

    def __init__(self, keys: Mapping[Action, tuple[str, ...]] | None = None) -> None:
        self.keys = dict(DEFAULT_KEYS if keys is None else keys)
        self._actions: dict[int, Action] = {}
        for action, names in self.keys.items():
            for name in names:
                code = _code(name)
                taken = self._actions.setdefault(code, action)
                if names.count(name) > 1:
                    raise KeyMapError(f"the key {key_words(name)} means “{action_words(action)}” already")
                if taken != action:
                    both = f"“{action_words(taken)}” and “{action_words(action)}”"
                    raise KeyMapError(f"the key {key_words(name)} cannot mean both {both}; free it first")

    @property
    def names(self) -> frozenset[str]:
        """Every key that means an action."""
        return frozenset(name for names in self.keys.values() for name in names)

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
        digit = digit_of(event) if modifiers == Qt.KeyboardModifier.NoModifier else None
        return (self._actions.get(digit.value) if digit is not None else None), False

    def shown(self, action: Action) -> str:
        """Return an action's first key as the screen shows it."""
        return self.all_shown.get(action, "")

    @cached_property
    def all_shown(self) -> Mapping[Action, str]:
        """The first key of each action as the screen shows it, empty where it has none; a map does not change."""
        return {action: key_words(names[0]) if names else "" for action, names in self.keys.items()}

    def bound(self, action: Action, name: str) -> KeyMap:
        """Return these keys with `name` for `action` too; raises KeyMapError when it means something already."""
        return KeyMap({**self.keys, action: (*self.keys[action], name)})

    def freed(self, action: Action, name: str) -> KeyMap:
        """Return these keys without `name` for `action`; raises KeyMapError for the one that must stay."""
        if (action, name) == ALWAYS:
            raise KeyMapError(f"the key {key_words(name)} always means “{action_words(action)}”; it is the way out")
        return KeyMap({**self.keys, action: tuple(one for one in self.keys[action] if one != name)})

    def changed(self) -> dict[Action, list[str]]:
        """Return the keys that are not the usual ones, as their file has them."""
        return {action: list(names) for action, names in self.keys.items() if names != DEFAULT_KEYS[action]}


_SHOWN = {
    "Backspace": "⌫", "Space": "space", "PgDown": "page down", "PgUp": "page up", "Escape": "esc", "Esc": "esc",
    "Left": "←", "Right": "→", "Up": "↑", "Down": "↓",
}  # fmt: skip
_SHIFT = "Shift+"


_DIGIT_ROW = "1234567890"
_FIRST_DIGIT = {"linux": 10, "win32": 2}
"""The scan code of the key of 1, those of 2 to 0 follow it: X11 and Wayland (evdev's code and 8), Windows (set 1)."""
_MAC_DIGITS = (0x12, 0x13, 0x14, 0x15, 0x17, 0x16, 0x1A, 0x1C, 0x19, 0x1D)
"""The virtual keys of 1 to 0 on a Mac (Events.h)."""


def digit_of(event: QKeyEvent) -> Qt.Key | None:
    """Return the digit whose key a press is of; French keyboards write it only with Shift."""
    if sys.platform == "darwin":
        code, codes = event.nativeVirtualKey(), _MAC_DIGITS
    else:
        first = _FIRST_DIGIT.get(sys.platform, _FIRST_DIGIT["linux"])
        code, codes = event.nativeScanCode(), tuple(range(first, first + 10))
    return Qt.Key(ord(_DIGIT_ROW[codes.index(code)])) if code in codes else None


def key_words(name: str) -> str:
    """Return a key as the screen shows it."""
    plain = name.removeprefix(_SHIFT)
    shown = _SHOWN.get(plain, plain)
    return shown if plain == name else f"shift {shown}"


def prints(name: str) -> bool:
    """Whether a key writes something where text is typed."""
    combination = QKeyCombination.fromCombined(_code(name))
    held = combination.keyboardModifiers() & ~Qt.KeyboardModifier.ShiftModifier
    return not held and Qt.Key.Key_Space.value <= combination.key().value <= Qt.Key.Key_ydiaeresis.value


def key_pressed(event: QKeyEvent) -> str | None:
    """Return the name of the key a press is of; None for Shift and its like alone, and for keys without a name."""
    combination = event.keyCombination()
    key = combination.key()
    modifiers = combination.keyboardModifiers() & ~Qt.KeyboardModifier.KeypadModifier
    if key in (Qt.Key.Key_Shift, Qt.Key.Key_Control, Qt.Key.Key_Alt, Qt.Key.Key_Meta, Qt.Key.Key_AltGr):
        return None
    name = QKeySequence(QKeyCombination(modifiers, key)).toString(QKeySequence.SequenceFormat.PortableText)
    try:
        _code(name)
    except KeyMapError:
        return None
    return name


def load_keys() -> tuple[KeyMap, str | None]:
    """Return the crew's keys, and a sentence when their file could not be used and the usual keys hold."""
    return small_files.load(config_folder() / FILE, keys_of, KeyMap(), "the changed keys")


def change_keys(base: KeyMap, mine: KeyMap) -> tuple[KeyMap | None, str | None]:
    """Keep the keys that differ in `mine` from `base`, on top of what is kept now; see `keeping.change`."""
    return small_files.change(
        config_folder() / FILE, keys_of, KeyMap(), "the changed keys", lambda theirs: merged(base, mine, theirs),
        KeyMap.changed,
    )  # fmt: skip


def merged(base: KeyMap, mine: KeyMap, theirs: KeyMap) -> KeyMap:
    """Return `theirs` with the actions whose keys differ in `mine` from `base`; `mine`, where a key would mean two."""
    try:
        return KeyMap(small_files.merged(base.keys, mine.keys, theirs.keys))
    except KeyMapError:
        return mine


def keys_of(changed: object) -> KeyMap:
    """Return the key map in JSON values: an object of action to list of keys, laid over the usual ones.

    Raises KeyMapError when it is not one.
    """
    if not isinstance(changed, dict):
        raise KeyMapError("it is no key map")
    keys = dict(DEFAULT_KEYS)
    for action, names in changed.items():
        if action not in DEFAULT_KEYS:
            raise KeyMapError(f"there is no action {action[:40]!r}; the actions are {', '.join(DEFAULT_KEYS)}")
        if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
            raise KeyMapError(f"the keys of {action} must be a list of key names")
        keys[action] = tuple(names)
    if ALWAYS[1] not in keys[ALWAYS[0]]:
        raise KeyMapError(f"the key {key_words(ALWAYS[1])} must stay with “{action_words(ALWAYS[0])}”")
    return KeyMap(keys)


def _code(name: str) -> int:
    sequence = QKeySequence.fromString(name, QKeySequence.SequenceFormat.PortableText)
    combination = sequence[0] if sequence.count() == 1 else None  # type: ignore[index]
    if combination is None or combination.key() in (Qt.Key.Key_unknown, Qt.Key(0)):
        raise KeyMapError(f"{name[:40]!r} is not a key; write for example P, Shift+D, PgDown or Media Next")
    return int(combination.toCombined())
