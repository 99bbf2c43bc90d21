"""The keys, to be changed: every action with its keys, each to be freed, and one more to be pressed."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QEvent, Qt, QTimer, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from studiotimer.window.flow import flowing
from studiotimer.window.keys import ALWAYS, Action, KeyMapError, action_words, key_pressed, key_words, prints
from studiotimer.window.settings.remembered import Remembered
from studiotimer.window.settings.setting_parts import SPACE, Section, grid, press, row, say
from studiotimer.window.stack import LISTENING

ADD = "+ key"
WAITING = "press a key…"
WAIT_MS = 10_000
HOW = (
    "Press a key's name to free it; press “+ key”, then the key, clicker or foot switch that shall mean the action. "
    "Waiting for a key: calls are off. Esc or 10 s ends the wait."
)
NO_NAME = "this machine gives that key no name of its own; try another, or set the clicker or switch to Page Down"
PRINTS = (
    "{key} prints: while a call is typed it is typed too and calls nothing. For a foot switch or clicker take a key "
    "that prints nothing: page down, F13 or a media key"
)
COLUMNS = 2
ROW_WIDTH = 392
"""The least room [px] that a row of keys is given beside another."""
WORDS_WIDTH = 232


class KeyCatcher(QPushButton):
    """A button that, once pressed, takes the next key whatever it is."""

    caught = Signal(str)
    nameless = Signal()

    def __init__(self, words: str) -> None:
        super().__init__(ADD)
        self._words = words
        self.setAutoDefault(True)
        self._patience = QTimer(self)
        self._patience.setSingleShot(True)
        self._patience.setInterval(WAIT_MS)
        self._patience.timeout.connect(lambda: self.listen(False))
        self.clicked.connect(lambda _=False: self.listen(True))
        self.listen(False)

    @property
    def listening(self) -> bool:
        """Whether it waits for a key."""
        return bool(self.property(LISTENING))

    def listen(self, on: bool) -> None:
        """Wait for a key, or no longer."""
        self.setProperty(LISTENING, on)
        self.setText(WAITING if on else ADD)
        self.setAccessibleName(f"press the key for {self._words} now" if on else f"add a key for {self._words}")
        if on:
            self.setFocus()
            self._patience.start()
        else:
            self._patience.stop()

    def event(self, event: QEvent) -> bool:
        if self.listening and event.type() == QEvent.Type.ShortcutOverride:
            event.accept()
            return True
        if self.listening and event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            self._hear(event)
            return True
        return super().event(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        self.listen(False)
        super().focusOutEvent(event)

    def _hear(self, event: QKeyEvent) -> None:
        if event.isAutoRepeat() or event.key() in _HELD:
            return
        self.listen(False)
        if event.key() == Qt.Key.Key_Escape:
            return
        name = key_pressed(event)
        if name is None:
            self.nameless.emit()
        else:
            self.caught.emit(name)


_HELD = (Qt.Key.Key_Shift, Qt.Key.Key_Control, Qt.Key.Key_Alt, Qt.Key.Key_Meta, Qt.Key.Key_AltGr)


class KeyRow(QWidget):
    """One action: its name, its keys, and a button for one more."""

    def __init__(self, action: Action) -> None:
        super().__init__()
        self.action = action
        self.chips: dict[str, QPushButton] = {}
        self.add = KeyCatcher(action_words(action))
        line = QHBoxLayout(self)
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(SPACE)
        self.words = say(action_words(action))
        line.addWidget(self.words)
        holder = flowing(SPACE, self.add)
        layout = holder.layout()
        assert layout is not None
        self._keys = layout
        line.addWidget(holder, 1)

    def show_keys(self, kept: Remembered, free: partial[None]) -> None:
        """Show the action's keys."""
        names = kept.keys.keys[self.action]
        if list(self.chips) == list(names):
            return
        if any(chip.hasFocus() for chip in self.chips.values()):
            self.add.setFocus()
        for chip in self.chips.values():
            self._keys.removeWidget(chip)
            chip.hide()
            chip.deleteLater()
        self._keys.removeWidget(self.add)
        self.chips = {}
        for name in names:
            stays = (self.action, name) == ALWAYS
            words = f"{action_words(self.action)}: {key_words(name)}"
            chip = press(key_words(name) if stays else f"{key_words(name)}  ×", partial(free, self.action, name))
            chip.setAccessibleName(f"{words}, stays" if stays else f"{words}, press to free")
            self.chips[name] = chip
            self._keys.addWidget(chip)
        self._keys.addWidget(self.add)


class KeySection(Section):
    """Every action and its keys."""

    refused = Signal(str)

    def __init__(self, kept: Remembered, whole: bool = False) -> None:
        super().__init__(kept, whole)
        self.rows = {action: KeyRow(action) for action in kept.keys.keys}
        self.usual = press("Back to the usual keys", kept.usual_keys)
        about = say(HOW, "quiet")
        about.setWordWrap(True)
        self.column.addWidget(about)
        self.column.addLayout(row(self.usual))
        table = grid()
        for one in self.rows.values():
            one.add.caught.connect(partial(self._bind, one.action))
            one.add.nameless.connect(lambda: self.refused.emit(NO_NAME))
        self._table = table
        self._scale, self._columns = 1.0, 0
        self.column.addLayout(table)
        self.column.addStretch(1)
        self._lay_out()
        self.show_kept()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._lay_out()

    def _lay_out(self) -> None:
        """Put the rows in two columns, or in one where there is little room."""
        columns = COLUMNS if self.width() > COLUMNS * ROW_WIDTH * self._scale else 1
        if columns == self._columns:
            return
        self._columns = columns
        deep = -(-len(self.rows) // columns)
        for index, one in enumerate(self.rows.values()):
            self._table.addWidget(one, index % deep, index // deep)
        for number in range(COLUMNS):
            self._table.setColumnStretch(number, number < columns)

    def set_scale(self, scale: float) -> None:
        """Keep the keys of a column under each other."""
        self._scale = scale
        for one in self.rows.values():
            one.words.setMinimumWidth(round(WORDS_WIDTH * scale))

    def show_kept(self) -> None:
        for one in self.rows.values():
            one.show_keys(self.kept, partial(self._free))
        self.usual.setEnabled(bool(self.kept.keys.changed()))

    def _bind(self, action: Action, key: str) -> None:
        try:
            self.kept.bind(action, key)
        except KeyMapError as error:
            self.refused.emit(str(error))
        else:
            if prints(key):
                self.refused.emit(PRINTS.format(key=key_words(key)))

    def _free(self, action: Action, key: str) -> None:
        try:
            self.kept.free(action, key)
        except KeyMapError as error:
            self.refused.emit(str(error))
