"""The open session as the window sees it: calls go in, signals come out, forecasts are worked out aside."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, TypeVar

from PySide6.QtCore import QObject, QTimer, Signal

from studiotimer import hops
from studiotimer.errors import SlowError
from studiotimer.session.asked import Assumption
from studiotimer.session.calls.deliveries import Delivery
from studiotimer.session.countdowns import Forecast
from studiotimer.session.defaults import filled
from studiotimer.session.desk import Desk, NoDefaultError, last_call
from studiotimer.session.elsewhere import NowhereError, copy_elsewhere, go_on_elsewhere, join_elsewhere
from studiotimer.session.entries import Entry
from studiotimer.session.freezers import question
from studiotimer.session.lines import to_line
from studiotimer.session.live import SAME_CALL_S, Choice, Outcome, Session
from studiotimer.session.state import State
from studiotimer.session.together import Other, other_of
from studiotimer.window.aside import Aside, answered
from studiotimer.window.forecasts import Forecasts
from studiotimer.window.shown_first import ShownFirst

if TYPE_CHECKING:
    from studiotimer.session.beat import Taken
    from studiotimer.session.learning import Learned

REFRESH_MS = 30_000  # in that time the room, the ice and the line change by less than a band
TOLD_WITH_A_FAULT = 20  # entries: what led to it
SLOW_S, DISK_MS = 2.0, 250
SLOW = f"the disk has not answered for {SLOW_S:g} s"
CLOSING = "the session is being closed"
CLOSING_S, ELSEWHERE_S = 3 * SLOW_S, 4.0
TOGETHER_MS = 25
ONCE = f"Counted once: the same call within {SAME_CALL_S:g} s is one."
OPENED = "the session was opened"

T = TypeVar("T")


def _another_disk(work: Callable[[], T], late: Callable[[T], object]) -> T:
    return answered("writing there", work, ELSEWHERE_S, late)


ASKED_FOR_S = 30.0
"""How long a call that names scoops nobody logged waits for its yes."""


class Running(QObject):
    """One open session: makes calls, and says what changed."""

    changed = Signal()
    forecast_ready = Signal(object)
    accepted = Signal(object)
    refused = Signal(str)
    stored = Signal(int)
    trouble = Signal(object)
    moved = Signal(object)
    copied = Signal(object)
    beside = Signal(object)
    """Where the session goes on since another program changed its file."""
    found = Signal()
    """There is another file of this session, with entries that this one lacks."""
    left_to_us = Signal()
    """A session that is followed shall go on here."""
    taken_over = Signal(object)
    """Another machine took the session over."""
    leapt = Signal(float)
    """How many times longer the newest look made countdowns, while it is the last call."""

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.forecast: Forecast | None = None
        self.selected: int | None = None
        self.asked: Assumption | None = None
        """The call that waits for a yes, since it names scoops nobody logged."""
        session.listeners.on_disk = self.stored.emit
        session.listeners.on_trouble = self.trouble.emit
        session.listeners.on_beside = self.beside.emit
        self.other: Other | None = None
        self._aside = Aside("the session's folder", self)
        self._questions = Aside("what is asked of a delivery", self)
        self.trouble.connect(lambda _: self.changed.emit())
        self.taken_over.connect(self._taken)
        self.forecast_ready.connect(self._forecast)
        self._forecasts = Forecasts(session.plan, self.forecast_ready.emit)
        self.destroyed.connect(self._forecasts.end)
        self._soon = ShownFirst(self._unwritten, self)
        self._why = OPENED
        self._soon.due.connect(lambda: self.ask_forecast(self._why))
        self._unshown: list[int] = []
        self._shown_as_stored = session.on_disk
        self._together = QTimer(self)
        self._together.setSingleShot(True)
        self._together.setInterval(TOGETHER_MS)
        self._together.timeout.connect(self._show)
        self._refresh = QTimer(self)
        self._refresh.setInterval(REFRESH_MS)
        self._refresh.timeout.connect(lambda: self.ask_forecast(f"{REFRESH_MS / 1000:g} s went by"))
        self._refresh.start()
        self.closing = self._slow = False
        self._disk = QTimer(self)
        self._disk.setInterval(DISK_MS)
        self._disk.timeout.connect(self._look_at_disk)
        self._disk.timeout.connect(self._forecasts.look)
        self._disk.start()

    @property
    def state(self) -> State:
        """The state after everything called so far."""
        return self.session.state

    @property
    def hung(self) -> bool:
        """Whether a forecast does not come to an end, so that the one there is may be of another state than this."""
        return self._forecasts.hung

    @property
    def relied_on(self) -> Forecast | None:
        """The forecast, None while the next one does not come to an end."""
        return None if self.hung else self.forecast

    def choice(self) -> Choice:
        """Return what the screen knows: the ranking, what ends the window, the chosen scoop."""
        forecast = self.forecast
        ending = forecast.window.ended_by if forecast and forecast.window else None
        return Choice(forecast.best if forecast else (), ending, self.selected)

    def learned(self) -> Learned:
        """Return what the session's looks taught; for a worker, since it may take a while."""
        return self._forecasts.learned(self.state)

    def preview(self, kind: str, given: Mapping[str, object]) -> dict[str, object] | None:
        """Return the fields that a call of `kind` would get now, or None when it has no default."""
        try:
            return filled(kind, self.session.desk(self.choice(), given))
        except NoDefaultError:
            return None

    def desk(self) -> Desk:
        """Return what defaults and choices are made from."""
        return self.session.desk(self.choice())

    def call(
        self,
        kind: str,
        given: Mapping[str, object] | None = None,
        tick: float | None = None,
        at_once: bool = True,
        assume: bool = False,
        program: bool = False,
        caller: Mapping[str, str] | None = None,
    ) -> Outcome:
        """Make a call and say what became of it; not `at_once`, calls that come close together are shown together.

        One that names scoops nobody logged is kept and asked about, unless `assume`; see `assume_asked`. A phone, the
        `caller`, is told by itself why its call was refused.
        """
        if self.closing:
            return Outcome(refused=CLOSING)
        outcome = self.session.call(kind, given, self.choice(), tick, assume, program, caller)
        if outcome.entry is None or outcome.repeated:
            why = "counted once" if outcome.repeated else "asked about first" if outcome.assumes else "refused"
            hops.note("calls", "%s not made: %s", kind, why)
        if caller is not None and outcome.refused is not None:
            return outcome
        if outcome.assumes is not None:
            if not program:
                self.asked = outcome.assumes
                self.refused.emit(f"Not logged yet: {outcome.assumes.words}. Enter logs it so, Esc leaves it.")
        elif outcome.refused is not None:
            self.refused.emit(f"Not logged: {outcome.refused}")
        elif outcome.repeated:
            self.refused.emit(ONCE)
        elif outcome.entry is not None:
            self.asked = None
            self.told(outcome.entry, at_once)
            self.accepted.emit(outcome.entry)
            if not program:
                hops.note("calls", "entry %d answered in the window", outcome.entry.n)
            self.asked_of(outcome.entry, lambda words: self.refused.emit(words) if words else None)
        return outcome

    def asked_of(self, entry: Entry, then: Callable[[str], object]) -> None:
        """Tell `then` what is asked of an entry that was taken, nothing where all is well: of a delivery later, for
        how its tubs temper is worked out."""
        plan, state = self.session.plan, self.state
        if isinstance(entry, Delivery):
            self._questions.ask(f"asked of {entry.n}", lambda: question(plan, state, entry), then)
        else:
            then(question(plan, state, entry))

    def assume_asked(self) -> bool:
        """Log the call that was asked about last, at the time of its key; return whether there was one."""
        asked, self.asked = self.asked, None
        if asked is None or self.session.clock.tick() - asked.tick > ASKED_FOR_S:
            return False
        self.call(asked.kind, asked.given, asked.tick, assume=True)
        return True

    def told(self, entry: Entry, at_once: bool = True) -> None:
        """Say that `entry` joined the session."""
        if self.selected is not None and self.selected not in {scoop.number for scoop in self.state.line()}:
            self.selected = None
        if self.forecast is not None:
            self.forecast = self.forecast.standing(self.state)
        self._unshown.append(entry.n)
        if at_once:
            self._show()
        elif not self._together.isActive():
            self._together.start()
        if entry.kind not in ("frame", "note"):
            self._why = f"entry {entry.n}"
            self._soon.start()

    def _show(self) -> None:
        """Have the session shown as it is; whoever shows it has when `changed` returns."""
        self.changed.emit()
        hops.each(self._unshown, "shown")
        self._unshown.clear()

    def _stored(self, number: int) -> None:
        """Note what is shown as on disk; the page, which is there when a session begins, heard of it before."""
        hops.each(range(self._shown_as_stored + 1, number + 1), "shown as on disk")
        self._shown_as_stored = max(self._shown_as_stored, number)
        self._soon.again()  # who calls without a pause calls now

    def begin(self) -> None:
        """Ask for the first forecast once the page is shown: it brings the physics, which takes a while to load."""
        self.stored.connect(self._stored)
        self._soon.start()
        if not (self.session.read_only and not self.session.damaged):
            self._look_for_others()

    def _unwritten(self) -> bool:
        """Whether something called here is not shown as on disk yet."""
        entries = self.session.ledger.entries
        return not self.session.read_only and bool(entries) and self._shown_as_stored < entries[-1].n

    def look_anew(self) -> None:
        """A rehearsal jumped: what was shown belongs to another time."""
        self.forecast = None
        self.changed.emit()
        self.ask_forecast("the rehearsal jumped")

    def ask_forecast(self, why: str = "it was asked for") -> None:
        """Ask for a fresh forecast of the state as it is."""
        self._forecasts.want(self.state, self.session.time(), why)

    def go_on_elsewhere(self) -> None:
        """Go on at another place while the disk refuses, in a copy of a damaged file, or in two files joined.

        Says where, or why not.
        """
        if self.session.may_be_taken_over():
            self.left_to_us.emit()
            return
        if self.other is not None and self.session.trouble is None:
            self._join(self.other)
            return
        if not self.session.damaged and (self.session.read_only or self.session.trouble is None):
            self.refused.emit("the disk takes everything; the session stays where it is")
            return
        try:
            if self.session.damaged:
                self.copied.emit(copy_elsewhere(self.session.path, _another_disk))
            else:
                self.moved.emit(go_on_elsewhere(self.session, _another_disk))
        except NowhereError as error:
            self.refused.emit(str(error))

    def _join(self, other: Other) -> None:
        try:
            self.copied.emit(join_elsewhere(self.session.path, other.path, _another_disk))
        except NowhereError as error:
            self.refused.emit(str(error))

    def _look_for_others(self) -> None:
        session = self.session
        path, name, entries = session.path, session.header.session, tuple(session.ledger.entries)

        def found(other: Other | None) -> None:
            self.other = other
            self.found.emit()

        self._aside.ask("others", lambda: other_of(path, name, entries), found)

    def _taken(self, taken: Taken) -> None:
        """Another machine goes on with the session: it stands for whoever comes back to this one."""
        self.session.taken = taken
        self.trouble.emit(self.session.trouble)

    def _look_at_disk(self) -> None:
        """Say that the disk is slow, and that it is not any more."""
        session, held_up = self.session, self.session.held_up_s > SLOW_S
        if held_up == self._slow or (held_up and session.trouble is not None):
            return
        hops.note("disk", "does not answer" if held_up else "answers again")
        if held_up or session.trouble == SLOW:
            session.trouble = SLOW if held_up else None
            self.trouble.emit(session.trouble)
        self._slow = held_up

    def last_entries(self) -> list[str]:
        """Return the newest entries as the file has them."""
        return [to_line(entry).decode().rstrip() for entry in self.session.ledger.entries[-TOLD_WITH_A_FAULT:]]

    def close(self) -> bool:
        """End the session and return True; while the disk refuses, it goes on."""
        if self.closing:
            return False
        self.closing = True
        try:
            closed = answered("closing the session", lambda: self.session.close(SLOW_S), CLOSING_S)
        except SlowError:
            closed = False
        finally:
            self.closing = False
        if closed:
            self.leave()
        return closed

    def leave(self) -> None:
        """Let the session go; what is not on disk yet is lost."""
        self._refresh.stop()
        self._disk.stop()
        self._soon.stop()
        self._together.stop()
        self._forecasts.end()
        self._aside.end()
        self._questions.end()
        self.session.leave()

    def _forecast(self, forecast: Forecast) -> None:
        before, self.forecast = self.forecast, forecast.standing(self.state)
        self.changed.emit()
        if before is None or self.session.read_only:
            return
        last = last_call(self.desk())
        if last is not None and last.kind == "look":
            self.leapt.emit(forecast.pace.leap_since(before.pace))
