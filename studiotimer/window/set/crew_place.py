"""The crew screen's monitor: full and without a frame on the second one, and never over the window's own."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QGuiApplication, QScreen
from PySide6.QtWidgets import QWidget

from studiotimer.window.places_kept import kept, remember

if TYPE_CHECKING:
    from studiotimer.window.set.crew_screen import CrewScreen
    from studiotimer.window.set.page import SetPage

OPEN, MONITOR = "crew/open", "crew/monitor"
WAITS = "The crew screen waits for a second monitor: it opens there by itself."
SETTLE_MS = 300
"""How long monitors that come and go are left to sort themselves out."""


def monitor_for(window: QWidget, wanted: str = "") -> QScreen | None:
    """Return the monitor for the crew: the one wanted, else any that shows nothing of the window's; None without."""
    here = window.screen()
    others = [one for one in QGuiApplication.screens() if not one.geometry().intersects(here.geometry())]
    return next((one for one in others if called(one) == wanted), others[0] if others else None)


def called(monitor: QScreen) -> str:
    """Return what a monitor is known by when it comes back."""
    return "|".join((monitor.name(), monitor.manufacturer(), monitor.model(), monitor.serialNumber()))


class CrewPlace(QObject):
    """Opens and closes the crew screen and keeps it on its monitor; without one it waits, unseen.

    `said` has a sentence for the crew, `turned` tells that the screen came or went.
    """

    said = Signal(str)
    turned = Signal()

    def __init__(self, window: QWidget, listen: Callable[[QWidget], None]) -> None:
        super().__init__(window)
        self._window, self._listen = window, listen
        self.screen: CrewScreen | None = None
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(SETTLE_MS)
        self._soon.timeout.connect(self._settle)
        app = QGuiApplication.instance()
        assert isinstance(app, QGuiApplication)
        app.screenAdded.connect(self._came)
        app.screenRemoved.connect(self._went)
        for monitor in QGuiApplication.screens():
            monitor.geometryChanged.connect(self.moved)

    @property
    def active(self) -> bool:
        """Whether the crew screen has the keys."""
        return self.screen is not None and self.screen.isActiveWindow()

    def turn(self, page: SetPage) -> None:
        """Open the crew screen, or close it, as a person asks; it opens again with the next session if it was open."""
        if self.screen is not None:
            self._closed()
            return
        self._make(page)
        self._settle()
        remember(OPEN, True)
        if self.screen is not None and not self.screen.isVisible():
            self.said.emit(WAITS)

    def reopen(self, page: SetPage) -> None:
        """Open the crew screen for a session if it was open when it was last seen."""
        if kept(OPEN) in (True, "true"):
            self._make(page)
            self._soon.start()

    def leave(self) -> None:
        """The session is over: the crew screen goes with it."""
        self._soon.stop()
        screen, self.screen = self.screen, None
        if screen is None:
            return
        screen.closed.disconnect(self._closed)
        active = screen.isActiveWindow()
        screen.close()
        screen.deleteLater()
        if active:
            self._window.activateWindow()
        self.turned.emit()

    def _make(self, page: SetPage) -> None:
        from studiotimer.window.set.crew_screen import CrewScreen

        self.screen = CrewScreen(page)
        self.screen.closed.connect(self._closed)
        self._listen(self.screen)
        self.turned.emit()

    def moved(self) -> None:
        """The window is on another monitor, or monitors changed: see to it that the crew screen is on its own."""
        if self.screen is not None:
            self._soon.start()

    def _closed(self) -> None:
        """A person closed the crew screen."""
        self.leave()
        remember(OPEN, False)

    def _came(self, monitor: QScreen) -> None:
        monitor.geometryChanged.connect(self.moved)
        self.moved()

    def _went(self, monitor: QScreen) -> None:
        """A monitor went: a screen that was on it must not be moved over the window."""
        if self.screen is not None and self.screen.screen() is monitor:
            self._hide()
        self.moved()

    def _hide(self) -> None:
        assert self.screen is not None
        active = self.screen.isActiveWindow()
        self.screen.hide()
        if active:
            self._window.activateWindow()

    def _settle(self) -> None:
        """Put the crew screen on its monitor, or away while there is none."""
        if self.screen is None:
            return
        if not self._window.isVisible():
            self._soon.start()
            return
        wanted = kept(MONITOR)
        monitor = monitor_for(self._window, str(wanted or ""))
        if monitor is None:
            self._hide()
            return
        if not wanted:
            remember(MONITOR, called(monitor))
        if not self.screen.isVisible() or self.screen.screen() is not monitor:
            self.screen.fill(monitor)
        elif self.screen.size() != monitor.size():
            self.screen.setGeometry(monitor.geometry())
