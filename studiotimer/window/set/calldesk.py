"""Where calls are made: the call bar, and in its place the choices of one call."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QSizePolicy, QStackedWidget, QWidget

from studiotimer.session.calls.record import Field, Stepper, Words
from studiotimer.session.calls.registry import RECORDS
from studiotimer.session.choices import choices
from studiotimer.session.desk import NoDefaultError, last_call, last_take_back
from studiotimer.session.entries import Entry
from studiotimer.session.joined import Doubt
from studiotimer.session.typed import Form, amend_form, form_of
from studiotimer.session.typed import given as given_on
from studiotimer.units import TIME, UnitError, duration, parse
from studiotimer.window.running import Running
from studiotimer.window.set.actions import OPENS
from studiotimer.window.set.callbar import CallBar
from studiotimer.window.set.chooser import Chooser
from studiotimer.window.set.typing_strip import Strip

MOST_AHEAD_S = 4e9
TYPED_FIRST = "Enter or esc first: a call is being typed."


class CallDesk(QStackedWidget):
    """Makes calls with their defaults, or opens their choices first."""

    left = Signal()
    turned = Signal(bool)
    """A call is being typed, or no longer."""
    watch_wanted = Signal(str, float)

    def __init__(self, running: Running) -> None:
        super().__init__()
        self._running = running
        self.bar = CallBar()
        self.chooser = Chooser()
        self._usual: QWidget = self.bar
        self.strip = Strip()
        self._target = 0
        self._opened: float | None = None
        """When the key that opened the choices was pressed: that is when their call was."""
        self._doubted: Doubt | None = None
        self.capture_now = ("", 0.0)
        """The capture folder watched, and by how many seconds its camera's clock is ahead."""
        self.addWidget(self.bar)
        self.addWidget(self.chooser)
        self.addWidget(self.strip)
        self.currentChanged.connect(self._turned)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.chooser.made.connect(self._made)
        self.chooser.left.connect(self.leave)
        self.strip.made.connect(self._typed)
        self.strip.left.connect(self.leave)
        self.strip.refused.connect(self._running.refused)

    @property
    def choosing(self) -> bool:
        """Whether the choices of a call are open, or it is being typed."""
        return self.currentWidget() in (self.chooser, self.strip)

    @property
    def typing(self) -> bool:
        """Whether a call is being typed."""
        return self.currentWidget() is self.strip

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        self.bar.set_scale(scale)
        self.chooser.set_scale(scale)
        self.strip.set_scale(scale)
        self._stand_high()

    def set_target(self, pixels: int) -> None:
        """Make the targets of the bar so high."""
        self._target = pixels
        self._stand_high()

    def _stand_high(self) -> None:
        self.setFixedHeight(max(self._target, self.strip.wanted_height) if self.typing else self._target)

    def _turned(self) -> None:
        self._stand_high()
        self.turned.emit(self.typing)

    def take_bar(self, bar: QWidget) -> None:
        """Put another bar in the call bar's place, for a session that takes no calls."""
        self.addWidget(bar)
        self.setCurrentWidget(bar)
        self._usual = bar

    def key(self, event: QKeyEvent) -> bool:
        """Act on a key while choices are open; return whether it was one of theirs."""
        return self.currentWidget() is self.chooser and self.chooser.key(event)

    def call(self, kind: str, given: Mapping[str, object], choosing: bool, tick: float | None) -> Entry | None:
        """Make a call and return what was logged, or open its choices; its key again while they are open steps them."""
        opens = choosing or kind in OPENS or self._asks(kind, given)
        if self.typing and opens:
            self._running.refused.emit(TYPED_FIRST)
        elif self.choosing and self.chooser.kind == kind and not self.typing:
            self.chooser.again()
        elif opens:
            self.choose(kind, dict(given), tick)
        else:
            outcome = self._running.call(kind, given, tick)
            self.done()
            return None if outcome.repeated else outcome.entry
        return None

    def _asks(self, kind: str, given: Mapping[str, object]) -> bool:
        """Whether a call's choices come first as things are."""
        desk = self._running.session.desk(self._running.choice(), given)
        return RECORDS[kind].asks(desk) is not None

    def choose(self, kind: str, given: Mapping[str, object], tick: float | None = None) -> None:
        """Open the choices of a call of `kind`, asked for at `tick` (now, when None); one that has none is made."""
        self._open_at(tick)
        desk = self._running.session.desk(self._running.choice(), given)
        if kind == "amend":
            last = last_call(desk)
            if last is None:
                self._running.refused.emit("there is no call to amend yet")
            else:
                self._amend(last.n)
            return
        try:
            fields = choices(kind, desk)
        except NoDefaultError as error:
            self._running.refused.emit(str(error))
            return
        if not fields:
            self._running.call(kind, given, tick)
            return
        session = self._running.session
        form = form_of(kind, RECORDS[kind].name, fields, session, desk, session.time(self._opened))
        if form is not None:
            self._type(form)
        else:
            self._offer(kind, RECORDS[kind].name, fields)

    def restore(self, tick: float | None) -> None:
        """Take the last take back back."""
        last = last_take_back(self._running.desk())
        if last is None:
            self._running.refused.emit("nothing was taken back")
        else:
            self._running.call("take_back", {"entry": last.n}, tick)

    def amend(self, number: int) -> None:
        """Open what can be amended about entry `number`."""
        self._open_at(None)
        self._amend(number)

    def _amend(self, number: int) -> None:
        form = amend_form(self._running.session, self._running.desk(), number)
        if form is None:
            self._running.refused.emit(f"entry {number} cannot be amended")
        else:
            self._type(form)

    def _open_at(self, tick: float | None) -> None:
        self._opened = self._running.session.clock.tick() if tick is None else tick

    def _type(self, form: Form) -> None:
        self.setCurrentWidget(self.strip)
        self.strip.open(form)

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

    def done(self) -> None:
        """Leave the choices where they are chosen; what is being typed goes on."""
        if not self.typing:
            self.leave()

    def leave(self) -> None:
        """Leave the choices."""
        self.strip.rest()
        self.setCurrentWidget(self._usual)
        self.left.emit()

    def _offer(self, kind: str, title: str, fields: list[Field]) -> None:
        self.chooser.offer(kind, title, fields)
        self.setCurrentWidget(self.chooser)

    def _made(self, kind: str, values: dict[str, object]) -> None:
        if kind == "watch":
            self.watch_wanted.emit(values["folder"] or "", values["ahead_s"])
            self.leave()
            return
        if kind == "set_right":
            self._closed_for(str(values["since"] or ""))
            return
        self._typed(kind, values)

    def _typed(self, kind: str, fields: dict[str, object]) -> None:
        if self._running.call(kind, given_on(fields), self._opened).refused is None:
            self.leave()


def _off_words(ahead_s: float) -> str:
    from studiotimer.wrap.dating import off_words

    return off_words(ahead_s)
