"""The top of the Set page: the shot, its locks, and the climate of the set."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from PySide6.QtCore import Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from studiotimer.lamps import told
from studiotimer.prep.found import counted
from studiotimer.prep.plan import Plan
from studiotimer.session.countdowns import ClimateNow
from studiotimer.session.entries import LOCKS, Lock
from studiotimer.session.freezers import FreezerNow, freezers_now, warning_words
from studiotimer.session.pictures import frames_words, no_frame_words
from studiotimer.session.state import State
from studiotimer.session.tub_ledger import Open, low_tubs, tub_words
from studiotimer.thermal.charge import CAUTIONS_SHORT
from studiotimer.units import mass, temperature
from studiotimer.window import theme
from studiotimer.window.set import usual
from studiotimer.window.set.buttons import FactButton, WordButton
from studiotimer.window.spoken import announce
from studiotimer.window.theme import DARK

LOW_ICE_KG = 0.05
LEAST_NEEDED = ("pace", "plate_c", "frames", "lamp", "freezer_c", "box_c", "room_c")
"""What is left out first where there is no room for every fact."""
HIGH = "Ventilate now. At the monitor's alarm, everyone leaves."
USUAL = "Gloves and eye protection. Ventilate. The monitor decides."
FACTS: dict[str, str] = {
    "air_c": "air at the set", "room_c": "room", "ice": "dry ice at the set", "box_c": "box", "co2_ppm": "CO₂",
    "lamp": "light", "plate_c": "plate", "freezer_c": "freezer", "tubs": "tub", "pace": "pace of this set",
    "frames": "frames",
}  # fmt: skip
"""What each fact is called until it is known."""
READ = ("air_c", "room_c", "box_c", "co2_ppm", "plate_c", "freezer_c")
GAP, MOST_GAP = 14, 44
LEAST_ABOUT = 90
"""Less room than this is none for what is said of the shot."""


class _Top(QWidget):
    """What is fitted anew when its room changes."""

    def __init__(self, fit: Callable[[], None]) -> None:
        super().__init__()
        self._fit = fit

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()


class Header(QWidget):
    """Shot, locks and climate; each word can be pressed to change it."""

    called = Signal(str)
    choices_wanted = Signal(str, object)
    cautions_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        self.top = _Top(self.fit_top)
        """The shot and its locks, for the strip at the top of the window, beside the ways to the other pages."""
        self.top.setMinimumWidth(1)  # else what it held in a larger window would keep it from growing narrower
        top = QHBoxLayout(self.top)
        top.setContentsMargins(0, 0, 0, 0)
        top.setSpacing(12)
        self.shot = WordButton(size=theme.TITLE - 4)
        self.shot.clicked.connect(lambda: self.choices_wanted.emit("shot", {}))
        self.about = WordButton(size=theme.BODY)
        self.about.clicked.connect(lambda: self.choices_wanted.emit("shot", {}))
        top.addWidget(self.shot, 0)
        top.addWidget(self.about, 0)
        self._state: State | None = None
        self._keys: Mapping[str, str] = {}
        self._fitted: tuple[object, ...] = ()
        """What the words at the top were fitted to last."""
        self.locks: dict[Lock, WordButton] = {}
        for lock in LOCKS:
            button = WordButton(size=theme.BODY)
            button.clicked.connect(lambda _=False, one=lock: self.called.emit(f"lock:{one}"))
            self.locks[lock] = button
            top.addWidget(button)
        top.addStretch(1)
        self._strip = QWidget()
        self.chips: dict[str, WordButton] = {}
        self._build_strip()
        column.addWidget(self._strip)

    def _build_strip(self) -> None:
        self._scale = 1.0
        self._told: set[str] = set()
        """The facts that are known."""
        self._low: set[tuple[str, int]] = set()
        """The tubs that were told to be nearly empty."""
        for name, words in FACTS.items():
            self.chips[name] = FactButton(self._strip, size=theme.BODY)
            self.chips[name].setAccessibleName(f"{words}, not known yet")
            self.chips[name].hide()
        self.chips["caution"] = WordButton(size=theme.SMALL)
        """It stands at the end of the log."""
        self.chips["caution"].setAccessibleName("dry ice cautions")
        self.chips["caution"].hide()
        self.phones = WordButton(size=theme.SMALL)
        """It stands there too."""
        self.phones.say("Phones")
        self.phones.clicked.connect(lambda: self.called.emit("phones"))
        for what in READ:
            self.chips[what].clicked.connect(lambda _=False, one=what: self._reading(one))
        self.chips["ice"].clicked.connect(lambda: self.choices_wanted.emit("top_up", {}))
        self.chips["lamp"].clicked.connect(lambda: self.called.emit("lamp"))
        self.chips["frames"].clicked.connect(lambda: self.called.emit("frame"))
        self.chips["caution"].clicked.connect(self.cautions_wanted.emit)

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        self._scale = scale
        for button in (self.shot, self.about, self.phones, *self.locks.values(), *self.chips.values()):
            button.set_scale(scale)
        self._strip.setFixedHeight(self.chips["air_c"].sizeHint().height())
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Show every fact that is known, as far as there is room; what is needed least gives way."""
        shown = [name for name in FACTS if name in self._told]
        for name in LEAST_NEEDED:
            if sum(self.chips[one].sizeHint().width() + GAP for one in shown) <= self.width() + GAP:
                break
            if name in shown:
                shown.remove(name)
        sizes = {name: self.chips[name].sizeHint() for name in shown}
        free = self.width() - sum(size.width() for size in sizes.values())
        gap = min(free / max(len(shown) - 1, 1), MOST_GAP * self._scale) if shown else 0.0
        left = 0.0
        for name in FACTS:
            self.chips[name].setVisible(name in shown)
            if name in shown:
                self.chips[name].setGeometry(round(left), 0, sizes[name].width(), sizes[name].height())
                left += sizes[name].width() + gap

    def _tell(self, name: str, told: bool = True) -> None:
        """Take in whether a fact is known."""
        if told != (name in self._told):
            self._told ^= {name}

    def show_shot(self, state: State, keys: Mapping[str, str]) -> None:
        """Show the shot, how far it is, and the locks."""
        shot = state.shot
        self.shot.setVisible(True)
        if shot is None:
            self.shot.say("", "No shot yet", name="shot: none yet")
            self.about.say(f"press {keys['shot']} to begin the first")
        else:
            self.shot.say("", shot.name, name=f"shot {shot.name}")
            self.about.say(_about(state))
        self._state, self._keys = state, keys
        self.fit_top()

    def fit_top(self) -> None:
        """Say the locks in as many words as the strip has room for."""
        if self._state is None:
            return
        held = [(on, self._keys[f"lock:{lock}"]) for lock, on in self._state.locks.items()]
        wide = [one.sizeHint().width() for one in (self.shot, self.about)]
        fitted = (*held, *wide, self.top.width(), self._scale)
        if fitted != self._fitted:
            self._fitted = fitted
            self._say_locks(self._state, short=False)
            wanted = sum(one.sizeHint().width() + 12 for one in (self.shot, self.about, *self.locks.values()))
            self._say_locks(self._state, short=wanted > self.top.width())
            locks = sum(one.sizeHint().width() + 12 for one in self.locks.values())
            room = self.top.width() - locks
            shot = max(min(self.shot.sizeHint().width(), room - 40), 20)
            self.shot.setMinimumWidth(shot)
            self.about.setVisible(room - shot >= LEAST_ABOUT)

    def _say_locks(self, state: State, short: bool) -> None:
        for lock, button in self.locks.items():
            on = state.locks[lock]
            button.say(
                "" if on else lock if short else f"{lock} not locked",
                lock if on else "",
                mark="✓" if on else "○",
                colour=DARK.quiet if on else DARK.warning,
                name=f"{lock} {'locked' if on else 'not locked'}, key {self._keys[f'lock:{lock}']}",
            )

    def show_frames(self, state: State, at: float, watched: bool) -> None:
        """Show the frames of this take; while a folder is `watched`, also that none comes."""
        missed = no_frame_words(state, at) if watched else ""
        words = frames_words(state)
        self._tell("frames", bool(words or missed))
        counted, _, newest = words.partition(", ")
        said = {"mark": "▲", "colour": DARK.warning} if missed else {}
        name = ", ".join(part for part in (words, missed) if part)
        self.chips["frames"].say(counted if missed else newest or "frames", missed or counted, name=name, **said)
        self._fit()

    def show_cold(self, plan: Plan, state: State) -> None:
        """Show the freezer that matters most, and the tubs that are nearly empty."""
        self.show_freezers(freezers_now(plan, state) if state.freezers else (), warning_words(plan, state))
        self.show_tubs(low_tubs(plan, state), tub_words(plan, state))

    def show_freezers(self, freezers: Sequence[FreezerNow], warning: str) -> None:
        """Show the freezer that is too warm, with the warning; else the one read last; none before one was read."""
        read = [one for one in freezers if one.read_c is not None and one.since is not None]
        self._tell("freezer_c", bool(read))
        if read:
            one = max(read, key=lambda one: (one.too_warm, one.since))
            name = one.name if len(freezers) > 1 else "freezer"
            warm = {"mark": "▲", "colour": DARK.warning} if one.too_warm else {}
            self.chips["freezer_c"].say(name, temperature(one.read_c or 0.0, digits=1), name=warning, **warm)
            self.chips["freezer_c"].setToolTip(warning)

    def show_tubs(self, low: Sequence[Open], warning: str) -> None:
        """Show the tub with the fewest pulls left, with the warning of all that are nearly empty; nothing of others."""
        self._tell("tubs", bool(low))
        if low:
            more = f" +{len(low) - 1}" if len(low) > 1 else ""
            said = f"{low[0].flavour}{more}", f"{counted(low[0].left_in_tub, 'pull')} left"
            self.chips["tubs"].say(*said, mark="▲", colour=DARK.warning, name=warning)
            self.chips["tubs"].setToolTip(warning)
        now_low = {(one.flavour, one.tub) for one in low}
        if now_low - self._low:
            announce(self.chips["tubs"], warning)
        self._low = now_low

    def show_climate(self, climate: ClimateNow, plan: Plan, state: State, at: float, pace: str) -> None:
        """Show what is around the set; what nobody read says whether it is as usual or as planned."""
        for name in ("air_c", "room_c", "ice", "box_c"):
            self._tell(name)
        self.chips["air_c"].say("air at the set", temperature(climate.local_air_c, digits=1))
        self.chips["room_c"].say(
            _said("room", usual.room(plan, state)), f"{temperature(climate.room_c)}, {climate.humidity * 100:.0f} %"
        )
        self._show_ice(climate, at)
        self.chips["box_c"].say(_said("box", usual.box(plan, state)), temperature(climate.box_c))
        self._show_plate(usual.plate(state, climate))
        self._show_co2(climate, state)
        self._tell("pace", bool(pace))
        if pace:
            self.chips["pace"].say("", pace, name=pace)
        lamp = state.shot.lamp if state.shot else None
        self._tell("lamp", lamp is not None)
        if lamp is not None:
            lux = state.lights[-1].lux if state.lights else 0.0
            said = told(lamp, lux, usual=usual.light_is_usual(plan, state))
            self.chips["lamp"].say(said, "on" if state.lamp_on else "off")
        self._fit()

    def _show_plate(self, plate: tuple[str, float, str] | None) -> None:
        self._tell("plate_c", plate is not None)
        if plate is not None:
            name, at_c, whence = plate
            self.chips["plate_c"].say(_said(name, whence), temperature(at_c))

    def _show_ice(self, climate: ClimateNow, at: float) -> None:
        left = f", {_long(climate.ice_gone_at - at)} left" if climate.ice_gone_at else ""
        none = climate.ice_set_kg < LOW_ICE_KG
        self.chips["ice"].say("dry ice at the set", "none" if none else f"{mass(climate.ice_set_kg)}{left}")

    def _show_co2(self, climate: ClimateNow, state: State) -> None:
        read = state.reading("co2_ppm")
        chip, caution = self.chips["co2_ppm"], self.chips["caution"]
        ice = climate.ice_set_kg >= LOW_ICE_KG or climate.ice_box_kg >= LOW_ICE_KG
        estimate = climate.co2_ppm if ice else None
        value = read if read is not None else estimate
        words = "CO₂ monitor" if read is not None else "CO₂ estimate"
        high = value is not None and value >= 5000.0
        self._tell("co2_ppm", value is not None)
        if value is not None:
            chip.say(words, f"{value:,.0f} ppm", mark="▲" if high else "", colour=DARK.danger if high else DARK.quiet)
        caution.setVisible(ice or read is not None)
        said = HIGH if high else USUAL
        caution.say(
            said,
            mark="▲",
            colour=DARK.danger if high else DARK.warning,
            name=f"dry ice cautions: {said} {CAUTIONS_SHORT}",
        )

    def _reading(self, what: str) -> None:
        self.choices_wanted.emit("reading", {"what": what})


def _said(name: str, whence: str) -> str:
    return f"{name}, {whence}" if whence else name


def _long(seconds: float) -> str:
    """Return a long span as a crew says it."""
    return f"{seconds / 60:.0f} min" if seconds < 7200 else f"{seconds / 3600:.0f} h"


def _about(state: State) -> str:
    shot = state.shot
    assert shot is not None
    take = state.takes.get(shot.name, 0)
    parts = [
        f"{shot.look} look",
        f"take {take} of {shot.takes}" if take else f"{shot.takes} {'take' if shot.takes == 1 else 'takes'} wanted",
    ]
    if shot.name in state.got:
        parts.append("got it" if state.shot_got else "got, for another take")
    if state.hold is not None:
        parts.append("on hold")
    return ", ".join(parts)
