"""The way between the window's pages: words at the top right, F-keys, each page made when first wanted."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Literal, Protocol, cast

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QKeySequence, QShortcut, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from studiotimer.errors import SlowError
from studiotimer.plain import plain
from studiotimer.units import Style
from studiotimer.window import style, theme
from studiotimer.window.aside import LOOK_S, answered
from studiotimer.window.keys import Action, KeyMap, action_words
from studiotimer.window.recent import new_session_path, remember_soon
from studiotimer.window.settings.values import Settings
from studiotimer.window.spoken import SpokenLabel
from studiotimer.window.stack import Stack
from studiotimer.window.strip_style import strip_style

if TYPE_CHECKING:
    from studiotimer.prep.plan import Plan
    from studiotimer.window.prep.page import PrepPage
    from studiotimer.window.running import Running
    from studiotimer.window.start import StartPage
    from studiotimer.window.wrap.page import WrapPage

View = Literal["start", "prep", "set", "wrap"]
KEYS: dict[View, str] = {"prep": "F2", "set": "F3", "wrap": "F4"}
WORDS: dict[View, str] = {"start": "Start", "prep": "Prep", "set": "Set", "wrap": "Wrap"}
ASKS: tuple[Action, ...] = ("settings", "key_list")
HEIGHT = 26
IN_BUTTON = 10
"""How far the words of a button are from its side, so that the last one's end where the page does."""
SET_HEIGHT = 38
"""Over the Set page, whose shot and locks stand in the strip too."""
ROOMY, ROOMY_SET = 700, 1150
"""From this width on, the words at the top have room for their keys."""
MOST = 100
"""How much more of the strip's free room its shot and locks get."""
LEAST = 560  # below this width each has one word
CLOCK_MS = 200
OPEN_SESSION = "{name} is open: press Start once more to close it."
OPEN_SHOOT = "{name} is open: press once more to close it and begin this shoot."


class Page(Protocol):
    """What every page can do."""

    def say(self, words: str) -> None:
        """Show a quiet line."""


class Navigation(QWidget):
    """Knows the pages, which of them is in view, and how to come to another.

    `make_start` makes the start page, which a window that is opened on a session can do without.
    """

    begun = Signal(object, object)
    units_chosen = Signal(str)
    asked = Signal(str)
    closing = Signal()
    """The open session is to be closed."""

    def __init__(self, make_start: Callable[[], StartPage], keys: KeyMap, window: QWidget) -> None:
        super().__init__()
        self._bound = keys.names
        self._make_start = make_start
        self._start: StartPage | None = None
        self._set: QWidget | None = None
        self._running: Running | None = None
        self._plan: Plan | None = None
        self._warned: Path | None = None
        self.prep: PrepPage | None = None
        self.wrap: WrapPage | None = None
        self.units: Style = "metric"
        self._light = True
        self._dressed: tuple[QWidget | None, str] = (None, "")
        """The part that was given a page's colours last, and its own style sheet."""
        self._short: dict[QPushButton, tuple[str, str]] = {}
        """What each button says, and its key, which is left out where there is little room."""
        self.pages = Stack()
        self.setFixedHeight(HEIGHT)
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self._top: QWidget | None = None
        """What the Set page has in the strip: its shot and locks."""
        self._build_row(window)
        self.frame = QWidget()
        column = QVBoxLayout(self.frame)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self)
        column.addWidget(self.pages, 1)
        self._ticks = QTimer(self, interval=CLOCK_MS)
        self._ticks.timeout.connect(self._tick)
        self.pages.currentChanged.connect(lambda _: self._stand())
        self._stand()

    def _build_row(self, window: QWidget) -> None:
        row = self._row = QHBoxLayout(self)
        row.setContentsMargins(theme.MARGIN, 4, theme.MARGIN - IN_BUTTON, 0)
        row.setSpacing(4)
        self.clock = SpokenLabel("clock of the open session")
        row.addWidget(self.clock)
        row.addStretch(1)
        self.buttons = {view: self._button(view) for view in WORDS}
        self.asks = {action: QPushButton() for action in ASKS}
        for button in (*self.buttons.values(), *self.asks.values()):
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            button.setAutoDefault(True)  # Return presses it; Space is the cue's on the Set page
            row.addWidget(button)
        for action, button in self.asks.items():
            button.setCheckable(True)
            button.clicked.connect(partial(self._ask, action))
        self._shortcuts = {view: QShortcut(QKeySequence(key), window) for view, key in KEYS.items()}
        for view, shortcut in self._shortcuts.items():
            shortcut.activated.connect(self.buttons[view].click)

    @property
    def start(self) -> StartPage:
        """The start page, made when there is none yet."""
        if self._start is None:
            self._start = self._make_start()
            self._start.plan_wanted.connect(self.plan)
            self.pages.addWidget(self._start)
        return self._start

    @property
    def view(self) -> View:
        """The page in view."""
        current = self.pages.page
        if current is None or current is self._start:
            return "start"
        return "prep" if current is self.prep else "wrap" if current is self.wrap else "set"

    def show_session(self, page: QWidget, top: QWidget, running: Running) -> None:
        """Show the Set page of a session that was opened, `top` in the strip; the one before is done with."""
        old, self._set, self._running = self._set, page, running
        self._plan, self._warned = running.session.plan, None
        self.pages.back()
        self.pages.addWidget(page)
        self.pages.setCurrentWidget(page)
        page.setFocus()
        self._take_away(old)
        self._top = top
        self._row.insertWidget(0, top, MOST)
        self._stand()

    def leave_session(self) -> None:
        """Show the start page in place of a session that was closed."""
        old, self._set, self._running, self._plan = self._set, None, None, None
        self.pages.back()
        self._show_start()
        self._take_away(old)
        self._stand()

    def _take_away(self, page: QWidget | None) -> None:
        """Be done with a session's page."""
        if self._top is not None:
            self._row.removeWidget(self._top)
            self._top.hide()
            self._top.deleteLater()
            self._top = None
        if page is not None:
            self.pages.removeWidget(page)
            page.deleteLater()

    def go(self, view: View) -> None:
        """Show a page and give it the keys."""
        self.pages.back()
        if view == "prep":
            prep = self._made()
            if self._plan is None:
                prep.take_up_unsaved()
            elif not prep.changed:
                prep.show_plan(self._plan)
            self._plan = None
            self.pages.setCurrentWidget(prep)
            prep.focus_plan()
        elif view == "wrap":
            wrap = self._made_wrap()
            self.pages.setCurrentWidget(wrap)
            if self._running is not None:
                wrap.show_session(self._running.session)
            wrap.take_focus()
        elif view == "set" and self._set is not None:
            self.pages.setCurrentWidget(self._set)
            self._set.setFocus()
        elif view == "start" and self._running is not None and not self._running.session.read_only:
            if not self._stays_open(OPEN_SESSION):
                self.closing.emit()
        elif view == "start":
            self._show_start()
        self._stand()

    def begin(self) -> None:
        """Show the start page, unless there is a page already; a plan that is there gets the keys."""
        if not self.pages.count():
            self._show_start()
        elif self.view == "prep" and self.prep is not None:
            self.prep.focus_plan()

    def _show_start(self) -> None:
        self.pages.setCurrentWidget(self.start)
        self.start.flavour.setFocus()

    def follow(self, keys: KeyMap, settings: Settings) -> None:
        """Keep to these keys and settings from now on."""
        self._bound = keys.names
        self._light = settings.colours == "light"
        for action, button in self.asks.items():
            key = keys.shown(action)
            self._short[button] = (action_words(action), key)
            button.setAccessibleName(f"{action_words(action)}, key {key}" if key else action_words(action))
        self.units = settings.units
        if self.prep is not None and self.prep.style_of_units != settings.units:
            self.prep.choose_units(settings.units)
        self._stand()

    def plan(self, path: Path | None = None) -> None:
        """Plan a shoot: a new one, or the one in a file."""
        self._plan = None
        wrong = self._made().open_plan(path) if path is not None else None
        self.go("prep")
        if wrong is not None:
            self._made().say(f"{wrong}.")

    def say(self, words: str) -> None:
        """Show a quiet line on the page in view."""
        self.begin()
        cast(Page, self.pages.currentWidget()).say(words)

    def may_close(self) -> bool:
        """Whether the window may close: a plan that is not saved is said once, with the keys on what saves it."""
        if self.prep is not None and not self.prep.may_leave():
            self.go("prep")
            self.prep.head.save.setFocus()
            return False
        return True

    def end(self) -> None:
        """Stop what works aside."""
        self._ticks.stop()
        for page in self._by_day():
            page.end()

    def _by_day(self) -> list[StartPage | PrepPage | WrapPage]:
        """Return the pages beside the Set page that are made."""
        return [page for page in (self._start, self.prep, self.wrap) if page is not None]

    def _made(self) -> PrepPage:
        if self.prep is None:
            from studiotimer.window.prep.page import PrepPage  # brings the physics, which the window opens without

            self.prep = PrepPage(self.units, lambda: self._running is not None, self.pages)
            self.prep.begun.connect(self._begin)
            self.prep.kept.connect(remember_soon)
            self.prep.units_chosen.connect(self.units_chosen)
            self.pages.addWidget(self.prep)
        return self.prep

    def _made_wrap(self) -> WrapPage:
        if self.wrap is None:
            from studiotimer.window.wrap.page import WrapPage  # brings the physics, which the window opens without

            self.wrap = WrapPage(lambda: self._running is None, self.pages)
            self.wrap.plan_wanted.connect(self.plan)
            self.pages.addWidget(self.wrap)
        return self.wrap

    def _begin(self, plan: Plan) -> None:
        """Begin a shoot from the plan; one that is open is named first, and closed at the second press."""
        if self._stays_open(OPEN_SHOOT):
            return
        try:
            path = answered("a look there", lambda: new_session_path(plan.title, datetime.now()), LOOK_S)
        except SlowError as error:
            self.say(str(error))
        else:
            self.begun.emit(plan, path)

    def _stays_open(self, words: str) -> bool:
        """Say that a session is open that is written, and return True; the second time it may be closed."""
        session = self._running.session if self._running is not None else None
        if session is None or session.read_only or self._warned == session.path:
            return False
        self._warned = session.path
        self.say(words.format(name=plain(session.path.stem)))
        return True

    def _stand(self) -> None:
        """Show which page is in view; the Set page keeps all keys it has."""
        view = self.view
        dark = self._running is not None or not self._light
        self._draw(dark)
        for page in self._by_day():
            if page is self.pages.page:
                page.darken(dark)
        self._dress(dark)
        self._word()
        for name, button in self.buttons.items():
            button.setChecked(name == view and not self.pages.name)
        for action, button in self.asks.items():
            button.setChecked(action == self.pages.name)
        self.buttons["set"].setVisible(self._set is not None)
        for name, shortcut in self._shortcuts.items():
            shortcut.setEnabled(view != "set" or KEYS[name] not in self._bound)
        if self._top is not None:
            self._top.setVisible(view == "set")
        self.clock.setVisible(view != "set" and self._running is not None)
        if view != "set" and self._running is not None:
            self._tick()
            self._ticks.start()
        else:
            self._ticks.stop()

    def _ask(self, action: Action) -> None:
        """Ask for a part; what stands in the strip follows what is shown."""
        self.asked.emit(action)
        self._stand()

    def _draw(self, dark: bool) -> None:
        """Draw the strip in the page's colours, over the Set page as large as that is; not before it is seen.

        Qt keeps the colours of buttons that were styled one way and then another before they were seen.
        """
        if not self.isVisible():
            return
        one = self._one()
        self.setFixedHeight(round((SET_HEIGHT if self.view == "set" else HEIGHT) * one))
        theme.give_sheet(self, strip_style(theme.DARK if dark else theme.LIGHT, one))

    def _one(self) -> float:
        if self.view != "set":
            return 1.0
        return max(theme.filling(self.window().width(), self.window().height()), theme.unzoomed(1.0))

    def _word(self) -> None:
        """Name the pages, with their keys where there is room for them."""
        one, width = self._one(), self.window().width()
        for button, words in self._short.items():
            shown = words if width >= (ROOMY_SET if self.view == "set" else ROOMY) * one else words[:1]
            one_word = words[0].split()[-1].capitalize()
            button.setText("  ".join(shown).strip() if width >= LEAST * one else one_word)

    def _dress(self, dark: bool) -> None:
        """Give a part that stands in a page's place the page's colours; one under the Set page's clock has them."""
        part = self.pages.part
        if part is None:
            return
        if part is not self._dressed[0]:
            self._dressed = (part, part.styleSheet())
            part.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        theme.give_sheet(part, style.style(theme.DARK if dark else theme.LIGHT) + self._dressed[1])

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._stand()

    def fit(self) -> None:
        """Fit the strip to the window, whose size changed."""
        if self.view == "set":
            self._draw(dark=True)
        self._word()

    def _tick(self) -> None:
        """Show the running session's clock while its own page is out of view."""
        if self._running is not None:
            from studiotimer.window.set import face  # it comes with a session, which the window opens without

            shown = face.clock(self._running.forecast, self._running.state, self._running.session.time())
            self.clock.setText(f"{shown.label} {shown.words}".rstrip())

    def _button(self, view: View) -> QPushButton:
        key = KEYS.get(view, "")
        button = QPushButton()
        self._short[button] = (WORDS[view], key)
        button.setCheckable(True)
        button.setAccessibleName(f"{WORDS[view]} page" + (f", key {key}" if key else ""))
        button.clicked.connect(lambda: self.go(view))
        return button
