"""Holds the window to what is kept, and shows the settings and the list of keys where they cover no clock."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QWidget

from studiotimer import units
from studiotimer.places import keep_sessions_in
from studiotimer.window import theme
from studiotimer.window.keys import Action, KeyMap
from studiotimer.window.navigation import KEYS, WORDS, Navigation
from studiotimer.window.settings.remembered import Remembered
from studiotimer.window.sounds import Sounds
from studiotimer.window.stack import LISTENING, Part

if TYPE_CHECKING:
    from studiotimer.window.set.page import SetPage

ASKED = ("settings", "key_list", "how")
PAGE_KEYS = tuple((key, f"{WORDS[view]} page") for view, key in KEYS.items())
PAGE_MARGINS = (theme.MARGIN, theme.ABOVE, 0, theme.BELOW)
"""What scrolls on them reaches to the window's side."""


class SettingsShown(QObject):
    """Between what is kept and the window's pages and sounds."""

    def __init__(self, kept: Remembered, sounds: Sounds, nav: Navigation) -> None:
        super().__init__(nav)
        self._kept, self._sounds, self._nav = kept, sounds, nav
        self._page: SetPage | None = None
        nav.units_chosen.connect(lambda chosen: kept.change(f"units {chosen}", units=chosen))
        nav.asked.connect(self.ask)
        kept.changed.connect(self._follow)
        kept.said.connect(nav.say)
        self._follow()
        if kept.words:
            QTimer.singleShot(0, self, lambda: nav.say(kept.words))

    @property
    def keys(self) -> KeyMap:
        """The keys as they are now."""
        return self._kept.keys

    def take(self, page: SetPage | None) -> None:
        """Hold a session's page to what is kept; None when there is none any more."""
        self._page = page
        if page is not None:
            page.asked.connect(self.ask)

    def ask(self, action: Action) -> None:
        """Show the settings or the list of keys, on the Set page under its clock; asked for again, they go."""
        if action not in ASKED:
            return
        pages = self._nav.pages
        page = self._page if self._page is not None and pages.currentWidget() is self._page else None
        stack = page.below if page is not None else pages

        def made() -> Part:
            if action == "key_list" and page is None:
                from studiotimer.window.settings.keys_page import KeysPage

                keys = KeysPage(self._kept)
                keys.closed.connect(stack.back)
                return keys
            if action == "key_list":
                from studiotimer.session.rehearsal import Rehearsal
                from studiotimer.window.set.playbar import PLAY_KEYS
                from studiotimer.window.settings.key_list import KeyList

                played = page is not None and isinstance(page.running.session, Rehearsal)
                pages_keys = [(key, words) for key, words in PAGE_KEYS if key not in self.keys.names]
                return KeyList(self.keys, pages_keys, PLAY_KEYS if played else ())
            if action == "how":
                from studiotimer.window.help_part import HelpPart

                return HelpPart()
            from studiotimer.window.settings.panel import SettingsPanel  # seldom wanted: the window opens without it

            panel = SettingsPanel(self._kept, self._sounds, whole=page is None)
            panel.closed.connect(stack.back)
            return panel

        part = stack.turn(action, made)
        if part is not None and page is None:
            part.setContentsMargins(*PAGE_MARGINS)

    def hears(self, watched: QObject, event: QKeyEvent) -> bool:
        """Show or leave what a key asks for on a page that has no calls; return whether it did."""
        focus, pages = QApplication.focusWidget(), self._nav.pages
        window = self._nav.window()
        if pages.currentWidget() is self._page or not isinstance(watched, QWidget) or watched.window() is not window:
            return False
        if watched is not (focus or window) or (focus is not None and focus.property(LISTENING)):
            return False
        action, _ = self.keys.action(event)
        if action == "let_go" and pages.part is not None:
            pages.back()
            return True
        if action not in ASKED or (event.text() and event.text().isprintable()):
            return False
        if not event.isAutoRepeat():
            self.ask(action)
        return True

    def _follow(self) -> None:
        settings = self._kept.settings
        changed = units.shown_in() != settings.units
        units.show_in(settings.units)
        keep_sessions_in(settings.sessions)
        self._sounds.follow(settings)
        self._nav.follow(self.keys, settings)
        if self._page is not None and (changed or self._page.keys is not self.keys):
            self._page.take_keys(self.keys)
