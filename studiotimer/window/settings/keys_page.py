"""The list of keys as a page of its own: the keyboard drawn, every action by group, a search, and one key to change."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QComboBox, QGridLayout, QHBoxLayout, QLabel, QLineEdit, QVBoxLayout, QWidget

from studiotimer.window import theme
from studiotimer.window.choice import Choice
from studiotimer.window.flow import Scrolled
from studiotimer.window.keys import Action, KeyMapError, action_words, key_words
from studiotimer.window.settings.key_editor import NO_NAME, KeyRow
from studiotimer.window.settings.keyboard import GROUPS, SCREENS, WRITING, Keyboard, group_of, usual_board
from studiotimer.window.settings.remembered import Remembered
from studiotimer.window.settings.setting_parts import cleared, press, quiet, row, say
from studiotimer.window.stack import Part

ABOUT = "Click a key to change what it means. While a call is typed, letters only type."
FREE = "{key} means nothing yet. Let it mean"
RULES = "The cued call, also by foot switch and clicker: {keys}.  Shift and a call's key, where no other call has \
that, or a long press on its button: its choices, before it is logged.  The same call twice within 0.4 s counts once."
PAGES = (("F2", "Prep page"), ("F3", "Set page"), ("F4", "Wrap page"))


class KeysPage(Part):
    """The keys; what is changed holds at once. `closed` asks for the page that was before."""

    closed = Signal()

    def __init__(self, kept: Remembered) -> None:
        super().__init__()
        self.setAccessibleName("List of keys")
        self._kept = kept
        self.board = Keyboard()
        self.board.wanted.connect(self.change_key)
        self.search = QLineEdit()
        self.search.setPlaceholderText("search: swap, lock, P …")
        self.search.setAccessibleName("search the keys")
        self.search.setFixedWidth(240)
        self.search.textChanged.connect(lambda _: self._find())
        self.lying = Choice()
        self.lying.setMinimumContentsLength(7)
        self.lying.setAccessibleName("how the letters lie")
        self.lying.setToolTip("How the letters of your keyboard lie")
        self.lying.activated.connect(lambda _: kept.change("the keyboard", keyboard=self.lying.currentData()))
        self.undo = press("Undo", kept.undo)
        self.usual = press("The usual keys", kept.usual_keys, "back to the usual keys")
        self.back = press("Back", self.closed.emit, "back to the page before")
        self.back.setProperty("role", "main")
        self.message = say("", "warning", "about the keys", news=True)
        self.message.setWordWrap(True)
        self.rules = quiet("")
        self._change = QVBoxLayout()
        self._grid = QGridLayout()
        self._grid.setVerticalSpacing(1)
        self._grid.setHorizontalSpacing(18)
        self.lines: dict[Action, tuple[QLabel, QLabel]] = {}
        self.rows: dict[Action, KeyRow] = {}
        self.give: QComboBox | None = None
        self._arrange()
        kept.changed.connect(self._show)
        self._show()

    def _arrange(self) -> None:
        inside = QWidget()
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(theme.GAP)
        titles = QVBoxLayout()
        titles.setSpacing(0)
        titles.addWidget(say("Keys", "title"))
        titles.addWidget(quiet(ABOUT))
        head = QHBoxLayout()
        head.setContentsMargins(0, 0, theme.MARGIN, 0)
        head.setSpacing(theme.GAP)
        head.addLayout(titles, 1)
        for part in (self.search, self.lying, self.undo, self.usual, self.back):
            head.addWidget(part)
        whole.addLayout(head)
        whole.addWidget(self.message)
        whole.addWidget(Scrolled(inside, "the keys"), 1)
        self.message.hide()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, theme.MARGIN - theme.BAR, 0)
        column.setSpacing(12)
        column.addWidget(self.board)
        column.addLayout(self._change)
        column.addLayout(self._grid)
        column.addWidget(self.rules)
        column.addStretch(1)
        self._list()

    def _list(self) -> None:
        """Put every action under its group."""
        for place, group in enumerate((*GROUPS, SCREENS)):
            self._grid.addWidget(say(group.name, "strong"), 0, 2 * place, 1, 2)
            actions = [action for action in self._kept.keys.keys if group_of(action) is group]
            for line, action in enumerate(actions, 1):
                keys, words = say("", "strong"), quiet(action_words(action))
                self.lines[action] = keys, words
                self._grid.addWidget(keys, line, 2 * place)
                self._grid.addWidget(words, line, 2 * place + 1)
            self._grid.setColumnStretch(2 * place + 1, 1)
            if group is SCREENS:
                for line, (key, words_of) in enumerate(PAGES, len(actions) + 1):
                    self._grid.addWidget(say(key, "strong"), line, 2 * place)
                    self._grid.addWidget(quiet(words_of), line, 2 * place + 1)

    def take_focus(self) -> None:
        self.search.setFocus()

    def say(self, words: str) -> None:
        self.message.setText(f"{words[:1].upper()}{words[1:]}")
        self.message.setVisible(bool(words))

    def change_key(self, name: str) -> None:
        """Offer to change what a key means: its actions with their keys, or the actions that it can be given."""
        cleared(self._change)
        self.rows.clear()
        self.give = None
        self.say("")
        cap = self.board.cap(name)
        for action in cap.means:
            line = self.rows[action] = KeyRow(action)
            line.add.caught.connect(partial(self._bind, action))
            line.add.nameless.connect(lambda: self.say(NO_NAME))
            self._change.addWidget(line)
        if not cap.means:
            self.give = QComboBox()
            self.give.setAccessibleName(f"what {key_words(name)} means")
            self.give.addItem("nothing", None)
            for action in self._kept.keys.keys:
                self.give.addItem(action_words(action), action)
            self.give.activated.connect(lambda _: self._given(name))
            holder = QWidget()
            holder.setLayout(row(say(FREE.format(key=key_words(name))), self.give))
            self._change.addWidget(holder)
            self.give.setFocus()
        self._show()
        if self.rows:
            next(iter(self.rows.values())).add.setFocus()

    def _given(self, name: str) -> None:
        action = self.give.currentData() if self.give is not None else None
        if action is not None:
            self._bind(action, name)
            self.change_key(name)

    def _bind(self, action: Action, key: str) -> None:
        try:
            self._kept.bind(action, key)
        except KeyMapError as error:
            self.say(str(error))

    def _free(self, action: Action, key: str) -> None:
        try:
            self._kept.free(action, key)
        except KeyMapError as error:
            self.say(str(error))

    def _show(self) -> None:
        """Show the keys as they are kept."""
        keys = self._kept.keys
        board = self._kept.settings.keyboard or usual_board(QGuiApplication.inputMethod().locale())
        self.lying.fill([(one, one) for one in WRITING], board)
        self.board.lay(board)
        self.board.show_keys(keys)
        for action, (name, _) in self.lines.items():
            name.setText(", ".join(map(key_words, keys.keys[action])) if action != "cue" else keys.shown("cue"))
        for one in self.rows.values():
            one.show_keys(self._kept, partial(self._free))
        self.rules.setText(RULES.format(keys=", ".join(map(key_words, keys.keys["cue"])) or "no key"))
        self.usual.setEnabled(bool(keys.changed()))
        step = self._kept.step
        self.undo.setVisible(bool(step))
        self.undo.setText(f"Undo: {step}")
        self._find()

    def _find(self) -> None:
        """Show what is searched for, the rest quietly."""
        wanted = self.search.text().strip().casefold()
        found = {}
        for action, (name, words) in self.lines.items():
            names = [key_words(one).casefold() for one in self._kept.keys.keys[action]]
            found[action] = not wanted or wanted in words.text().casefold() or wanted in names
            for each in (name, words):
                each.setEnabled(found[action])
        self.board.tint(found)
