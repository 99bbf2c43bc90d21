"""The Set page: shot, life left, ribbons, cue, line, log and calls of the running session."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from studiotimer.session.calls.notes import Frame
from studiotimer.session.calls.registry import RECORDS
from studiotimer.session.cues import Cue, cues
from studiotimer.session.elsewhere import beside_words, moved_words
from studiotimer.session.freezers import freezers_now
from studiotimer.session.wording import entry_words, short_words
from studiotimer.window import theme
from studiotimer.window.faults import logged
from studiotimer.window.keys import KeyMap
from studiotimer.window.running import Running
from studiotimer.window.set import face
from studiotimer.window.set.actions import CALL_ACTIONS, ON_BAR, OPENS, Action, call_of
from studiotimer.window.set.alarms import Alarms, leaves
from studiotimer.window.set.arrangement import Arrangement
from studiotimer.window.set.buttons import CallButton, WordButton
from studiotimer.window.set.callbar import BarCall
from studiotimer.window.set.calldesk import CallDesk
from studiotimer.window.set.cautions_view import Cautions
from studiotimer.window.set.clock_face import ClockFace
from studiotimer.window.set.cold_cards import cold_cards
from studiotimer.window.set.cold_view import ColdView
from studiotimer.window.set.cue_face import CueFace, brief, cue_face, in_order, stand_ins
from studiotimer.window.set.cue_key import CueKey, as_cued
from studiotimer.window.set.cue_view import CueView
from studiotimer.window.set.flavours import Palette
from studiotimer.window.set.fresh import SAID, STOPPED, Fresh
from studiotimer.window.set.header import Header
from studiotimer.window.set.hero_bands import hero_bands
from studiotimer.window.set.hero_ribbons import HeroRibbons
from studiotimer.window.set.line_view import LineView
from studiotimer.window.set.log_rows import log_rows
from studiotimer.window.set.log_view import LogView
from studiotimer.window.set.playbar import PlayBar
from studiotimer.window.set.set_keys import SetKeys
from studiotimer.window.set.teller import Teller
from studiotimer.window.set.warned import QuietLine, WarningLine
from studiotimer.window.spoken import SpokenLabel
from studiotimer.window.stack import Stack

TICK_MS = 40
QUIET_LINE_MS = 6000


class SetPage(QWidget):
    """The page a crew works from. Keys and clicks make calls; it shows what the session says."""

    sound_wanted = Signal(str)
    hushed = Signal()
    asked = Signal(str)

    def __init__(self, running: Running, keys: KeyMap, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.running = running
        self.keys = keys
        self.pressed = SetKeys(self)
        self.cues: list[Cue] = [Cue("shot", "", 0.0)]
        self._cue_key = CueKey()
        self._told = ("", "", False)
        self._answering = False
        """Whether the quiet line is about a call."""
        self.alarms = Alarms(self.hushed.emit)
        self._teller = Teller()
        self.colours = Palette(tuple(one.name for one in running.session.plan.flavours))
        self._build()
        running.changed.connect(self.refresh)
        running.stored.connect(self._show_log)
        running.refused.connect(self._answer)
        running.accepted.connect(self._answered)
        running.leapt.connect(self._doubt)
        running.moved.connect(lambda path: self.say(moved_words(path), stay=True))
        running.beside.connect(lambda beside: self.say(beside_words(beside), stay=True))
        self._tick = QTimer(self)
        self._tick.setTimerType(Qt.TimerType.PreciseTimer)
        self._tick.setInterval(TICK_MS)
        self._tick.timeout.connect(self.tick)
        self._tick.start()
        self._hush = QTimer(self)
        self._hush.setSingleShot(True)
        self._hush.timeout.connect(lambda: self.say(""))
        self._second = -2
        if running.session.words:
            self.say(" ".join(running.session.words))
        self.refresh()

    def _build(self) -> None:
        self.setAccessibleName("Set page")
        self.header = Header()
        self.clock = ClockFace()
        self.cue_label = CueView()
        self.under_cue = SpokenLabel("about the heroes")
        self.under_cue.setProperty("role", "quiet")
        self.quiet_line = QuietLine()
        self.standing = WarningLine()
        self.elsewhere = WordButton()
        self.elsewhere.hide()
        for label in (self.cue_label, self.under_cue, self.quiet_line, self.standing):
            label.setTextFormat(Qt.TextFormat.PlainText)
            if label is not self.cue_label:
                label.setMinimumWidth(1)
                label.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.ribbon = HeroRibbons()
        self.line = LineView()
        self.cold = ColdView()
        running = self.running
        self.log = LogView(lambda most: log_rows(running.session, most))
        self.moving = Fresh(self)
        for fresh in (self.clock.fresh, self.moving):
            fresh.changed.connect(self._aged)
        self.calls = CallDesk(self.running)
        self.bar = self.calls.bar
        self.cue_button = CallButton("", main=True)
        self.below = Stack()
        self._arrangement = Arrangement(self)
        self.hero = self._arrangement.hero
        self.below.currentChanged.connect(lambda _: self._show_cues(self.now()))
        self.header.called.connect(self.act)
        self.header.choices_wanted.connect(self.calls.choose)
        self.header.cautions_wanted.connect(self.show_cautions)
        self.line.chosen.connect(self._chose)
        self.log.picked.connect(self.calls.amend)
        self.cue_label.lock_wanted.connect(lambda lock: self.act(f"lock:{lock}"))
        self.bar.called.connect(self.act)
        self.bar.choices_wanted.connect(lambda action: self.act(action, choosing=True))
        self.calls.left.connect(self.setFocus)
        self.calls.turned.connect(lambda typing: self.cue_button.setVisible(not typing))
        self.elsewhere.clicked.connect(lambda: self.act("elsewhere"))
        self.cue_button.clicked.connect(lambda: self.act("cue"))
        self.cue_button.choices_wanted.connect(lambda: self.act("cue", choosing=True))

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._arrangement.fit()

    def show_cautions(self) -> None:
        """Show the cautions of dry ice where the line and the log stand, or put those back."""
        self.below.turn("cautions", Cautions)

    def take_keys(self, keys: KeyMap) -> None:
        """Hear and show these keys from now on."""
        self.keys = keys
        self.refresh()

    def shown_keys(self) -> Mapping[str, str]:
        """Return the key of each action, as it is shown."""
        return self.keys.all_shown

    def now(self) -> float:
        """Return the session second."""
        return self.running.session.time()

    def act(self, action: Action, choosing: bool = False, tick: float | None = None) -> None:
        """Make the call of an action, or open its choices."""
        deeds: dict[Action, Callable[[], object]] = {
            "cue": lambda: self._act_cue(choosing, tick),
            "next": lambda: self.line.step(1),
            "previous": lambda: self.line.step(-1),
            "let_go": self._let_go,
            "seen": lambda: self._hush_alarm(action),
            "keep": lambda: self._hush_alarm(action),
            "watch": self.calls.choose_folder,
            "elsewhere": self._take_offer,
            "more": self._show_more,
            "restore": lambda: self.calls.restore(tick),
        }
        if action in deeds:
            deeds[action]()
        elif action in CALL_ACTIONS:
            kind, given = call_of(action, self.running.state)
            made = self.calls.call(kind, {**self._cued(kind, choosing), **given}, choosing=choosing, tick=tick)
            if isinstance(made, Frame):
                self.say(f"Frame {made.name.removeprefix('frame ')} is logged.", calm=True)
        else:
            self.asked.emit(action)

    def _let_go(self) -> None:
        self.running.asked = None
        self.calls.leave()
        self.below.back()
        self.line.let_go()

    def _show_more(self) -> None:
        self.calls.leave()
        self.bar.turn()

    def _take_offer(self) -> None:
        """Do what the warning that stands offers."""
        session = self.running.session
        if session.trouble is None and (doubted := session.doubt()) is not None:
            self.calls.set_right(doubted)
        else:
            self.running.go_on_elsewhere()

    def _hush_alarm(self, action: Action) -> None:
        """End the sound of the cue that was heard; or keep the hero that is to leave one minute more."""
        pulled, words, done = len(self.running.state.scoops), "Seen.", True
        if action == "seen":
            for cue in self.alarms.heard(self.cues, pulled, self.now()):
                self.alarms.hush(cue, pulled)
        else:
            leaving = next(filter(leaves, self.cues), self.cues[0])
            done = self.alarms.keep(leaving, pulled, self.now())
            words = "Kept one minute more. Nothing is logged." if done else "No swap and no out is cued."
        self._show_cues(self.now())
        self.say(words, calm=done)

    def _act_cue(self, choosing: bool, tick: float | None) -> None:
        cue = self.cues[0]
        if cue.kind is not None and (choosing or cue.kind in OPENS):
            self.calls.call(cue.kind, cue.given, choosing=True, tick=tick)
        elif (instead := self._cue_key.pressed(cue, self.now())) is not None:
            self._answer(instead)
        elif cue.kind is not None:
            pulled = len(self.running.state.scoops)
            if self.running.call(cue.kind, cue.given, tick).refused is None:
                self._cue_key.made(self.now())
                self.alarms.hush(cue, pulled)
            self.calls.done()

    def take_play(self, play: PlayBar) -> None:
        """Show the bar of a rehearsal in the call bar's place, and hear its keys."""
        self.calls.take_bar(play)
        self.pressed.play = play

    def say(self, words: str, stay: bool = False, calm: bool = False) -> None:
        """Show a line for a while, or until the next one: as a warning, but where it is `calm`."""
        self._answering = False
        self.quiet_line.say(words, calm)
        self.log.setVisible(not words)
        if words and not stay:
            self._hush.start(QUIET_LINE_MS)

    def _doubt(self, leap: float) -> None:
        """Say how to take a look back that moved the countdowns far: it may have been a slip."""
        if words := face.leap_words(leap, self.keys.shown("take_back")):
            self._answer(words)

    def _answer(self, words: str) -> None:
        """Show a line about the call that was made last; it goes with the next one."""
        self.say(words)
        self._answering = True

    def _answered(self) -> None:
        if self._answering:
            self.say("")

    def stand(self, words: str, offer: str = "", urgent: bool = False) -> None:
        """Show a warning that stands until it is cleared, and what is offered about it.

        An urgent one (calls are being lost) stands out; another is quiet.
        """
        self._told = (words, offer, urgent)
        if self.clock.fresh.stale or self.moving.stale:
            words, urgent = f"{SAID} {words}".strip(), True
        self.standing.say(words, urgent)
        self.elsewhere.say(f"{self.keys.shown('elsewhere')}  {offer}", colour=theme.DARK.text)
        self.elsewhere.setVisible(bool(offer))

    def _aged(self, stale: bool) -> None:
        """Say whether what is shown can be relied on; what moved does not stand when it cannot."""
        if stale:
            self._show_stopped()
        self.stand(*self._told)

    def _show_stopped(self) -> None:
        if self.moving.stale:
            self._second = -2
            self.cue_label.clear_cue()
            self.under_cue.setText("")
            self.ribbon.show_bands(None, STOPPED)
            self.line.show_line([], STOPPED)

    def _chose(self, scoop: int | None) -> None:
        self.running.selected = scoop
        self._show_calls()

    def tick(self, shown: float | None = None) -> None:
        """Move the clock; everything else follows twice a second, unless it was just `shown` as it is at a moment."""
        with logged("the clock", SAID):
            if self.running.session.clock.stands() or self.running.hung:
                return
            now = self.now() if shown is None else shown
            face_now = face.clock(self.running.forecast, self.running.state, now)
            self.clock.say(face_now.words, face_now.label, face_now.colour, face_now.detail)
            if shown is None and int(now * 2) != self._second:
                self._show_moving(now)
            self.moving.mark()

    def refresh(self) -> None:
        """Show the session as it is; the line's times go on with the next tick, so that a call is shown the sooner."""
        now = self.now()
        self.header.show_shot(self.running.state, self.shown_keys())
        half = self._second if 0.0 <= now - self._second / 2 < 1.0 else None
        self._show_cues(now) if self.running.hung else self._show_moving(now, half)
        self._show_log()
        self._show_calls()
        self.tick(now)

    def _show_moving(self, now: float, half: int | None = None) -> None:
        try:
            self._show_all_moving(now, int(now * 2) if half is None else half)
        except Exception:
            self._show_stopped()  # nor does what was shown before it failed stand while the rest is old
            raise

    def _show_all_moving(self, now: float, half: int) -> None:
        """Show all that moves as it is `now`, the tiles as they are in a half second."""
        running, forecast = self.running, self.running.forecast
        if forecast is not None:
            plan, state = running.session.plan, running.state
            self.header.show_cold(plan, state)
            self.header.show_climate(forecast.climate, plan, state, now, face.pace_words(forecast.pace))
        self.header.show_frames(running.state, now, watched=bool(self.calls.capture_now[0]))
        self._show_cues(now)
        state = running.state
        self.ribbon.show_bands(hero_bands(forecast, state, self.cues, now, self.colours))
        self.under_cue.setText(face.beside(forecast, state, now))
        cued = {chip.scoop for chip in self.cues[0].parts.chips if chip.scoop is not None}
        shown = face.tiles(forecast, state, half / 2, self.colours, cued)
        self.line.show_line(shown, self._empty_line())
        self._show_cold(not shown, now)
        self._second = half

    def _show_cold(self, empty: bool, now: float) -> None:
        """Show freezers and flavours in the place of a line that is empty."""
        plan, state = self.running.session.plan, self.running.state
        freezers = freezers_now(plan, state) if self.running.forecast is not None else ()
        self.cold.show_cards(cold_cards(plan, state, freezers, now, self.colours) if empty else [])
        self.cold.setVisible(empty)
        self.line.setVisible(not empty)

    def _show_cues(self, now: float) -> None:
        """Show the most urgent cue, what follows, and sound what has come due."""
        self.cues = in_order(self.alarms.standing(cues(self.running.desk(), self.running.relied_on)))
        first = self.cues[0]
        self._arrangement.stand_cue()
        self.cue_label.show_cue(self._cue_face(now), first.said_at(now), self._arrangement.large)
        self._teller.tell(self.cue_label, self.clock, first, self.running.relied_on, now)
        makes = first.kind is not None and not self.running.session.read_only
        how, ahead = f"{self.keys.shown('cue')}, foot switch" if makes else "", first.ahead_at(now)
        enabled = makes and not self.calls.choosing
        self.cue_button.show_call(first.words, ahead, how, enabled=enabled, brief=brief(first))
        self.cue_button.set_due(not ahead and first.kind is not None)
        pulled = len(self.running.state.scoops)
        for name in self.alarms.sounding(self.cues, self.running.relied_on, pulled, self.now()):
            self.sound_wanted.emit(name)
            if name == "swap":
                seen, keep = self.keys.shown("seen"), self.keys.shown("keep")
                self.say(f"{seen}: seen, no more sound. {keep}: keep it one minute more.", calm=True)

    def _cue_face(self, now: float) -> CueFace:
        """Return what is drawn of the cues, and what the line would have if it were placed now."""
        running = self.running
        shown = cue_face(self.cues, now, self.colours, running.state, self.shown_keys())
        about = face.placed_now(running.relied_on, running.state, now)
        lines = (*shown.lines, *stand_ins(running.state, running.relied_on, now))
        return replace(shown, lines=lines, about=about or ("" if running.state.line() else self._empty_line()))

    def _empty_line(self) -> str:
        if self.running.session.read_only:
            return "The line is empty."
        return f"The line is empty. {self.keys.shown('pull')} logs a pull."

    def _show_log(self, _stored: int = 0) -> None:
        self.log.renew()

    def _show_calls(self) -> None:
        calls = []
        for action in ON_BAR:
            row = CALL_ACTIONS[action]
            kind = row.kind(self.running.state)
            title = row.words if action == "restore" else RECORDS[kind].name
            detail = partial(self._detail, kind) if row.told and not row.opens else str
            calls.append(BarCall(action, title, detail, self.keys.shown(action), row.icons[kind]))
        self.bar.show_calls(calls, self.keys.shown("more"))

    def _cued(self, kind: str, choosing: bool = False) -> Mapping[str, object]:
        """Return what the key of a call fills in of its cue; nothing where a scoop is chosen."""
        return as_cued(kind, self.cues, self.now(), choosing) if self.running.selected is None else {}

    def _detail(self, kind: str) -> str:
        """Return what a call would do now, short enough for its button."""
        fields = self.running.preview(kind, self._cued(kind))
        if fields is None:
            return "–"
        if kind == "take_back":
            entry = self.running.session.ledger.entry(int(str(fields["entry"])))
            return entry_words(entry) if entry else ""
        return short_words(kind, fields)
