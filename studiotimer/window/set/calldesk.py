"""Where calls are made: the call bar, and in its place the choices of one call."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QSizePolicy, QStackedWidget, QWidget

from studiotimer.plain import short
from studiotimer.session.calls.record import Field, Stepper, Words
from studiotimer.session.calls.registry import RECORDS, amend_fields
from studiotimer.session.choices import amendment, choices
from studiotimer.session.desk import NoDefaultError, last_call
from studiotimer.session.entries import Entry
from studiotimer.session.joined import Doubt
from studiotimer.session.mending import MendError
from studiotimer.session.wording import entry_words
from studiotimer.units import TIME, UnitError, duration, parse
from studiotimer.window.running import Running
from studiotimer.window.set.actions import OPENS
from studiotimer.window.set.callbar import CallBar
from studiotimer.window.set.chooser import Chooser

MOST_AHEAD_S = 4e9
MOST_LETTERS = 22


class CallDesk(QStackedWidget):
    """Makes calls with their defaults, or opens their choices first."""

    left = Signal()
    watch_wanted = Signal(str, float)

    def __init__(self, running: Running) -> None:
        super().__init__()
        self._running = running
        self.bar = CallBar()
        self.chooser = Chooser()
        self._usual: QWidget = self.bar
        self._tick: float | None = None
        """When the key that is being heard was pressed."""
        self._doubted: Doubt | None = None
        self.capture_now = ("", 0.0)
        """The capture folder watched, and by how many seconds its camera's clock is ahead."""
        self.addWidget(self.bar)
        self.addWidget(self.chooser)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.chooser.made.connect(self._made)
        self.chooser.left.connect(self.leave)
        self.chooser.refilled.connect(self.choose)

    @property
    def choosing(self) -> bool:
        """Whether the choices of a call are open."""
        return self.currentWidget() is self.chooser

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        self.bar.set_scale(scale)
        self.chooser.set_scale(scale)

    def take_bar(self, bar: QWidget) -> None:
        """Put another bar in the call bar's place, for a session that takes no calls."""
        self.addWidget(bar)
        self.setCurrentWidget(bar)
        self._usual = bar

    def key(self, event: QKeyEvent, tick: float) -> bool:
        """Act on a key pressed at `tick` while choices are open; return whether it was one of theirs."""
        self._tick = tick
        try:
            return self.choosing and self.chooser.key(event)
        finally:
            self._tick = None

    def call(self, kind: str, given: Mapping[str, Any], choosing: bool, tick: float | None) -> Entry | None:
        """Make a call and return what was logged, or open its choices; its key again while they are open steps them."""
        if self.choosing and self.chooser.kind == kind:
            self.chooser.again()
        elif choosing or kind in OPENS:
            self.choose(kind, dict(given))
        else:
            outcome = self._running.call(kind, given, tick)
            self.leave()
            return None if outcome.repeated else outcome.entry
        return None

    def choose(self, kind: str, given: Mapping[str, Any]) -> None:
        """Open the choices of a call of `kind`; one that has none is made."""
        desk = self._running.session.desk(self._running.choice(), given)
        try:
            fields = choices(kind, desk)
        except NoDefaultError as error:
            self._running.refused.emit(str(error))
            return
        if not fields:
            self._running.call(kind, given)
            return
        last = last_call(desk) if kind == "amend" else None
        self._offer(kind, _amending(last) if last else RECORDS[kind].name, fields, last.n if last else None)

    def amend(self, number: int) -> None:
        """Open what can be amended about entry `number`."""
        fields = amend_fields(self._running.desk(), number)
        if fields:
            entry = self._running.session.ledger.entry(number)
            self._offer("amend", _amending(entry) if entry else f"Amend {number}", fields, number)
        else:
            self._running.refused.emit(f"entry {number} cannot be amended")

    def choose_folder(self) -> None:
        """Open the choice of the capture folder and of how far the camera's clock is ahead."""
        folder, ahead_s = self.capture_now
        fields: list[Field] = [
            Words("folder", "capture folder, empty to stop", (), folder),
            Stepper("ahead_s", "camera is", ahead_s, 1.0, -MOST_AHEAD_S, MOST_AHEAD_S, _off_words),
        ]
        self._offer("watch", "Watch", fields)

    def set_right(self, doubted: Doubt) -> None:
        """Open the question how long the session was closed; by the wall clock, where nobody knows better."""
        self._doubted = doubted
        by_wall = duration(doubted.by_wall_s)
        fields: list[Field] = [Words("since", "closed for, such as 3:25 or 4 min", (by_wall,), "")]
        self._offer("set_right", "Closed for", fields)

    def _closed_for(self, written: str) -> None:
        try:
            since_s = parse(written, TIME, "closed for")
        except UnitError as error:
            self._running.refused.emit(str(error))
            return
        if self._doubted is not None and self._running.call("amend", self._doubted.amendment(since_s)).refused is None:
            self.leave()

    def propose_camera(self, ahead_s: float) -> None:
        """Have this offered the next time, as what the camera's clock seems to be ahead by."""
        self.capture_now = (self.capture_now[0], ahead_s)

    def leave(self) -> None:
        """Leave the choices."""
        self.setCurrentWidget(self._usual)
        self.left.emit()

    def _offer(self, kind: str, title: str, fields: list[Field], target: int | None = None) -> None:
        self.chooser.offer(kind, title, fields, target)
        self.setCurrentWidget(self.chooser)

    def _made(self, kind: str, values: dict[str, Any]) -> None:
        if kind == "watch":
            self.watch_wanted.emit(values["folder"] or "", values["ahead_s"])
            self.leave()
            return
        if kind == "set_right":
            self._closed_for(values["since"] or "")
            return
        try:
            asked = amendment(self._running.desk(), self.chooser.target, values) if kind == "amend" else values
        except MendError as error:
            self._running.refused.emit(str(error))
            return
        given = {name: list(one) if isinstance(one, tuple) else one for name, one in asked.items() if one is not None}
        if self._running.call(kind, given, self._tick).refused is None:
            self.leave()


def _off_words(ahead_s: float) -> str:
    from studiotimer.wrap.dating import off_words

    return off_words(ahead_s)


def _amending(entry: Entry) -> str:
    """Return what is amended, in as few words as a button takes."""
    return f"Amend {short(entry_words(entry), MOST_LETTERS)}"
