"""The keys of the Set page: which of them count is looked up by what the page is doing."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Literal, NamedTuple

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QLineEdit

from studiotimer.window.hearing import age_s
from studiotimer.window.keys import WAY_OUT, Action
from studiotimer.window.set.actions import CALL_ACTIONS, call_of
from studiotimer.window.set.playbar import PlayBar

if TYPE_CHECKING:
    from studiotimer.window.set.page import SetPage

Mode = Literal["set", "choosing", "typed", "typing", "playing", "elsewhere"]
"""What the page is doing; `typed`, a call is typed in its strip; `elsewhere`, the key is for whatever has the focus."""

_WHILE_TYPING = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Escape, Qt.Key.Key_Up, Qt.Key.Key_Down)
OF_THE_WINDOW: tuple[Action, ...] = ("dim", "crew")


class Press(NamedTuple):
    """A key press: what it means, whether Shift asks for choices, when it was, and whether the crew screen has it."""

    event: QKeyEvent
    action: Action | None
    choosing: bool
    tick: float
    on_crew: bool


class SetKeys:
    """Hears a key press; whoever of its mode takes it first has it."""

    def __init__(self, page: SetPage) -> None:
        self._page = page
        self.play: PlayBar | None = None
        """The bar of a rehearsal, which has keys of its own."""
        self.leads_out = False
        """Whether Escape leaves the session: during the first try."""
        self._heard: dict[Mode, tuple[Callable[[Press], bool], ...]] = {
            "set": (self._held, self._crew_away, self._yes, self._way_out, self._window, self._act),
            "playing": (self._held, self._crew_away, self._window, self._play, self._act),
            "choosing": (self._held, self._window, self._choose, self._letters, self._act),
            "typed": (self._type,),
            "typing": (self._held, self._choose, self._act),
            "elsewhere": (),
        }

    def hear(self, event: QKeyEvent, on_crew: bool) -> bool:
        """Act on a key press; return whether it meant anything here."""
        action, choosing = self._page.keys.action(event)
        tick = max(self._page.running.session.clock.tick() - age_s(event), 0.0)
        press = Press(event, action, choosing, tick, on_crew)
        return any(heard(press) for heard in self._heard[self.mode(event, action)])

    def mode(self, event: QKeyEvent, action: Action | None) -> Mode:
        """Return what the page is doing, as far as a key press is concerned."""
        if self._page.calls.typing:
            return "typed"
        if self._page.calls.choosing:
            mode: Mode = "choosing"
        elif self._page.below.wants(event):
            return "elsewhere"
        else:
            mode = "set" if self.play is None else "playing"
        if not isinstance(QApplication.focusWidget(), QLineEdit):
            return mode
        return "typing" if _ends_a_line(event, action) else "elsewhere"

    def _held(self, press: Press) -> bool:
        """A key that is held calls once."""
        return press.event.isAutoRepeat()

    def _crew_away(self, press: Press) -> bool:
        return press.on_crew and press.action == "let_go" and self._ask("crew")

    def _yes(self, press: Press) -> bool:
        """Enter is the yes to a call that was asked about; the cue key and a foot switch never are."""
        entered = press.event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and press.action != "cue"
        return entered and self._page.running.assume_asked()

    def _way_out(self, press: Press) -> bool:
        open_now = self._page.below.part is not None
        return self.leads_out and press.action == "let_go" and not open_now and self._ask(WAY_OUT)

    def _window(self, press: Press) -> bool:
        return press.action in OF_THE_WINDOW and self._ask(press.action)

    def _play(self, press: Press) -> bool:
        return self.play is not None and self.play.key(press.event)

    def _choose(self, press: Press) -> bool:
        return self._page.calls.key(press.event)

    def _letters(self, press: Press) -> bool:
        """While choices are open letters make no calls; the choices' own key steps them."""
        text = press.event.text().strip()
        if not text or not text.isprintable():
            return False
        own = press.action in CALL_ACTIONS and call_of(press.action, self._page.running.state)[0]
        if own == self._page.calls.chooser.kind:
            return False
        self._page.running.refused.emit(f"Choices are open: {text} calls nothing. Enter makes the call, esc cancels.")
        return True

    def _type(self, press: Press) -> bool:
        """While a call is typed, what prints is typed; what prints nothing still calls, as foot switches do."""
        taken = self._page.calls.strip.key(press.event)
        if taken:
            return taken == "strip"
        return self._held(press) or self._window(press) or self._act(press)

    def _act(self, press: Press) -> bool:
        if press.action is None or press.action in OF_THE_WINDOW:
            return False
        self._page.act(press.action, press.choosing, press.tick)
        return True

    def _ask(self, action: Action) -> bool:
        self._page.asked.emit(action)
        return True


def _ends_a_line(event: QKeyEvent, action: Action | None) -> bool:
    """Whether a key is none that a line of text takes: one of the choices', or the cue's on a clicker or switch."""
    clicked = action == "cue" and not event.text().strip(" ") and event.key() != Qt.Key.Key_Space
    return clicked or event.key() in _WHILE_TYPING
