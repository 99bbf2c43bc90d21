"""A keyboard drawn with what each key means, tinted by group; each key is a button that is clicked to change it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from PySide6.QtCore import QLocale, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from studiotimer.window import theme
from studiotimer.window.keys import Action, KeyMap, action_words, key_words

GAP, HIGH, WIDE = 6, 48, 15.0
"""Between keys and how high one is [px]; how many plain keys a row is wide."""
SHIFT = "Shift+"
ROWS = 6


@dataclass(frozen=True)
class Group:
    """Actions that belong together, and the tints of their keys on light and dark pages."""

    name: str
    light: str
    dark: str
    actions: tuple[Action, ...]


GROUPS = (
    Group("The line", "#CFE5EE", "#27434E", (
        "pull", "judge", "move", "brought", "tub", "tub_finished", "door", "delivery", "next", "previous",
    )),
    Group("The hero", "#F5E1B4", "#4A4026", (
        "cue", "hero_in", "swap", "out", "look", "poured", "frame", "clip", "got_it", "stand_in", "keep",
    )),
    Group("The set", "#D5E7DD", "#26443A", (
        "lock:light", "lock:set", "lock:camera", "hold", "lamp", "top_up", "ice_cleared", "reading", "frost_wiped",
        "dew_wiped",
    )),
    Group("The log", "#F0D2BC", "#4C3328", ("shot", "note", "amend", "take_back", "restore")),
)  # fmt: skip
"""What has no group of these is of the screens."""
SCREENS = Group("The screens", "#E9DFCD", "#3A3F41", ())

Row = tuple[tuple[str, float], ...]
WRITING: dict[str, tuple[str, str, str, str]] = {
    "QWERTY": ("`1234567890-=", "QWERTYUIOP[]\\", "ASDFGHJKL;'", "ZXCVBNM,./"),
    "QWERTZ": ("^1234567890ß´", "QWERTZUIOPÜ+", "ASDFGHJKLÖÄ#", "<YXCVBNM,.-"),
    "AZERTY": ("²1234567890)=", "AZERTYUIOP^$", "QSDFGHJKLMÙ*", "<WXCVBN,;:!"),
}
"""What the four writing rows write, as the keyboards of the US (ANSI INCITS 154), Germany (DIN 2137) and France have it
(memory); of the French digits, which are written with Shift, the digit."""
WITH_Z = (QLocale.Language.German, QLocale.Language.Czech, QLocale.Language.Hungarian, QLocale.Language.Croatian,
          QLocale.Language.Slovenian, QLocale.Language.Slovak)  # fmt: skip


def rows_of(board: str) -> tuple[Row, ...]:
    """Return the keys of each row of a keyboard from the left, with their widths in plain keys; no name is a gap."""
    digits, upper, middle, lower = (tuple((key, 1.0) for key in row) for row in WRITING[board])
    return (
        (("Escape", 1.4), ("", 0.6), *((f"F{number}", 1.08) for number in range(1, 13))),
        (*digits, ("Backspace", 2.0)),
        (("Tab", 1.5), *upper),
        (("CapsLock", 1.8), *middle, ("Return", 2.2)),
        (("Shift", 2.3), *lower, ("Shift", 2.7)),
        (("Ctrl", 1.4), ("Alt", 1.4), ("Space", 6.2), ("Alt", 1.4), ("Left", 1.15), ("Right", 1.15), ("Up", 1.15),
         ("Down", 1.15)),
    )  # fmt: skip


def usual_board(typed: QLocale) -> str:
    """Return how letters usually lie on keyboards of a language and country."""
    country = typed.territory()
    if typed.language() in WITH_Z or country == QLocale.Country.Switzerland:
        return "QWERTZ"
    if typed.language() == QLocale.Language.French and country != QLocale.Country.Canada:
        return "AZERTY"
    return "QWERTY"


SHORT: dict[Action, str] = {
    "key_list": "this page", "how": "how found", "elsewhere": "warning", "tub": "tub", "door": "door",
    "keep": "one more", "seen": "seen", "dim": "dim", "more": "more", "crew": "crew", "watch": "pictures",
    "hold": "hold", "lock:light": "lock light", "lock:set": "lock set", "lock:camera": "lock cam.",
    "previous": "before", "next": "next scoop", "let_go": "leave",
}  # fmt: skip
"""What is written on a key where its action's words have no room."""
HELD = ("Tab", "CapsLock", "Return", "Shift", "Ctrl", "Alt")
"""Keys that call nothing alone."""


def group_of(action: Action) -> Group:
    """Return the group of an action."""
    return next((group for group in GROUPS if action in group.actions), SCREENS)


class KeyCap(QAbstractButton):
    """One key: its name, and what it means alone and with Shift."""

    def __init__(self, name: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.name = name
        self.means: tuple[Action, ...] = ()
        self.found = True
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        if name in HELD:
            self.setEnabled(False)
            self.setFocusPolicy(Qt.FocusPolicy.NoFocus)

    def show_meaning(self, plain: Action | None, shifted: Action | None) -> None:
        """Show what the key means."""
        self.means = tuple(action for action in (plain, shifted) if action is not None)
        said = [action_words(plain)] if plain else []
        said += [f"with shift {action_words(shifted)}"] if shifted else []
        self.setText("\n".join(said))
        held = self.name in HELD
        self.setAccessibleName(f"key {key_words(self.name)}: {', '.join(said) or ('held' if held else 'free')}")
        self.setToolTip("" if held else ", ".join(said) or "means nothing yet: click to give it an action")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        colours = theme.under(self.palette().windowText().color())
        box = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        strong = bool(self.means) and self.found
        ink, ground = colours.colour("text" if strong else "quiet"), QColor(0, 0, 0, 0)
        if strong:
            group = group_of(self.means[0])
            ground = QColor(group.dark if colours is theme.DARK else group.light)
            if self.name == "Space":
                ground, ink = colours.colour("text"), colours.colour("ground")
        painter.setPen(QPen(colours.colour("accent" if self.hasFocus() else "line"), 2 if self.hasFocus() else 1))
        painter.setBrush(ground)
        painter.drawRoundedRect(box, 8, 8)
        inner = box.adjusted(7, 3, -3, -4)
        painter.setPen(ink)
        painter.setFont(theme.font(theme.BODY if strong else theme.SMALL, "strong" if strong else "regular"))
        painter.drawText(inner, Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft, key_words(self.name).lower()
                         if self.name in HELD else key_words(self.name))  # fmt: skip
        if self.means:
            painter.setFont(theme.font(theme.SMALL))
            words = SHORT.get(self.means[0], action_words(self.means[0]))
            shown = painter.fontMetrics().elidedText(words, Qt.TextElideMode.ElideRight, round(inner.width()))
            painter.drawText(inner, Qt.AlignmentFlag.AlignBottom | Qt.AlignmentFlag.AlignLeft, shown)


class Keyboard(QWidget):
    """The keys in rows; `wanted` tells the name of one that was clicked."""

    wanted = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("keyboard")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.board = ""
        self._rows: list[list[tuple[KeyCap | None, float]]] = []
        self.caps: list[KeyCap] = []

    def lay(self, board: str) -> None:
        """Lay the keys as a keyboard of that name has them."""
        if board == self.board:
            return
        for cap in self.caps:
            cap.hide()
            cap.deleteLater()
        self.board = board
        self._rows = [[(KeyCap(name, self) if name else None, wide) for name, wide in row] for row in rows_of(board)]
        self.caps = [cap for row in self._rows for cap, _ in row if cap is not None]
        for cap in self.caps:
            cap.clicked.connect(lambda _=False, name=cap.name: self.wanted.emit(name))
            cap.setVisible(True)
        self._place()

    def sizeHint(self) -> QSize:
        return QSize(900, ROWS * (HIGH + GAP) - GAP)

    def minimumSizeHint(self) -> QSize:
        return QSize(560, self.sizeHint().height())

    def cap(self, name: str) -> KeyCap:
        """Return the first key of a name."""
        return next(cap for cap in self.caps if cap.name == name)

    def show_keys(self, keys: KeyMap) -> None:
        """Show what each key means."""
        means = {name: action for action, names in keys.keys.items() for name in names}
        for cap in self.caps:
            cap.show_meaning(means.get(cap.name), means.get(SHIFT + cap.name))

    def tint(self, found: Mapping[Action, bool]) -> None:
        """Tint the keys of the actions that are `found` alone."""
        for cap in self.caps:
            cap.found = any(found.get(action, True) for action in cap.means)
            cap.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._place()

    def _place(self) -> None:
        one = (self.width() + GAP) / WIDE
        for place, row in enumerate(self._rows):
            left, scale = 0.0, WIDE / sum(wide for _, wide in row)
            for cap, wide in row:
                across = wide * scale * one
                if cap is not None:
                    cap.setGeometry(QRect(round(left), place * (HIGH + GAP), round(across) - GAP, HIGH))
                left += across
