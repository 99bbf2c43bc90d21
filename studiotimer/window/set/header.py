"""The top of the Set page: the shot, its locks, and the climate of the set."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from studiotimer.lamps import told
from studiotimer.session.countdowns import ClimateNow
from studiotimer.session.entries import LOCKS, Lock
from studiotimer.session.pictures import frames_words, no_frame_words
from studiotimer.session.state import State
from studiotimer.thermal.charge import CAUTIONS_SHORT
from studiotimer.units import mass, temperature
from studiotimer.window import theme
from studiotimer.window.flow import ROW_GAP, FlowLayout
from studiotimer.window.set.buttons import WordButton
from studiotimer.window.theme import DARK

LOW_ICE_KG = 0.05
ROWS = 2
"""The climate has this many rows of room from the start: the clock below must not move when there is more to say."""


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
        top = QHBoxLayout()
        top.setSpacing(14)
        self.shot = WordButton(size=theme.TITLE)
        self.shot.clicked.connect(lambda: self.choices_wanted.emit("shot", {}))
        self.about = WordButton(size=theme.BODY + 1)
        self.about.clicked.connect(lambda: self.choices_wanted.emit("shot", {}))
        top.addWidget(self.shot, 0)
        top.addWidget(self.about, 0)
        top.addStretch(1)
        self.locks: dict[Lock, WordButton] = {}
        for lock in LOCKS:
            button = WordButton(size=theme.BODY + 1)
            button.clicked.connect(lambda _=False, one=lock: self.called.emit(f"lock:{one}"))
            self.locks[lock] = button
            top.addWidget(button)
        column.addLayout(top)
        strip = self._strip = QWidget()
        strip.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        flow = FlowLayout(18)
        strip.setLayout(flow)
        self.chips: dict[str, WordButton] = {}
        for name in ("air_c", "room_c", "ice", "box_c", "co2_ppm", "lamp", "frames", "pace", "caution"):
            chip = WordButton(size=theme.BODY)
            self.chips[name] = chip
            flow.addWidget(chip)
        for what in ("air_c", "room_c", "box_c", "co2_ppm"):
            self.chips[what].clicked.connect(lambda _=False, one=what: self._reading(one))
        self.chips["ice"].clicked.connect(lambda: self.choices_wanted.emit("top_up", {}))
        self.chips["lamp"].clicked.connect(lambda: self.called.emit("lamp"))
        self.chips["caution"].clicked.connect(self.cautions_wanted.emit)
        column.addWidget(strip)

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        for button in (self.shot, self.about, *self.locks.values(), *self.chips.values()):
            button.set_scale(scale)
        self._strip.setMinimumHeight(ROWS * (self.chips["air_c"].sizeHint().height() + ROW_GAP))

    def show_shot(self, state: State, keys: dict[str, str]) -> None:
        """Show the shot, how far it is, and the locks."""
        shot = state.shot
        self.shot.setVisible(True)
        if shot is None:
            self.shot.say("", "No shot yet", name="shot: none yet")
            self.about.say(f"press {keys['shot']} to begin the first")
        else:
            self.shot.say("", shot.name, name=f"shot {shot.name}")
            self.about.say(_about(state))
        for lock, button in self.locks.items():
            on = state.locks[lock]
            button.say(
                "" if on else f"{lock} free",
                lock if on else "",
                mark="✓" if on else "○",
                colour=DARK.quiet if on else DARK.warning,
                name=f"{lock} {'locked' if on else 'free'}, key {keys[f'lock:{lock}']}",
            )

    def show_frames(self, state: State, at: float, watched: bool) -> None:
        """Show the frames of this take; while a folder is `watched`, also that none comes."""
        missed = no_frame_words(state, at) if watched else ""
        words = frames_words(state)
        self.chips["frames"].setVisible(bool(words or missed))
        self.chips["frames"].say(words, missed, colour=DARK.warning if missed else DARK.quiet)

    def show_climate(self, climate: ClimateNow, state: State, at: float, pace: str) -> None:
        """Show what is around the set."""
        self.chips["air_c"].say("set air", temperature(climate.local_air_c, digits=1))
        self.chips["room_c"].say("room", f"{temperature(climate.room_c)}, {climate.humidity * 100:.0f} %")
        self._show_ice(climate, at)
        self.chips["box_c"].say("box", temperature(climate.box_c))
        self._show_co2(climate, state)
        self.chips["pace"].setVisible(bool(pace))
        self.chips["pace"].say(pace)
        lamp = state.shot.lamp if state.shot else None
        self.chips["lamp"].setVisible(lamp is not None)
        if lamp is not None:
            on = state.lamp_on
            lux = state.lights[-1].lux if state.lights else 0.0
            self.chips["lamp"].say(told(lamp, lux), "on" if on else "off")

    def _show_ice(self, climate: ClimateNow, at: float) -> None:
        left = f", {_long(climate.ice_gone_at - at)} left" if climate.ice_gone_at else ""
        chip = self.chips["ice"]
        if climate.ice_set_kg < LOW_ICE_KG:
            chip.say("dry ice on set", "none")
        else:
            chip.say("dry ice on set", f"{mass(climate.ice_set_kg)}{left}")

    def _show_co2(self, climate: ClimateNow, state: State) -> None:
        read = state.reading("co2_ppm")
        chip, caution = self.chips["co2_ppm"], self.chips["caution"]
        ice = climate.ice_set_kg >= LOW_ICE_KG or climate.ice_box_kg >= LOW_ICE_KG
        estimate = climate.co2_ppm if ice else None
        value = read if read is not None else estimate
        words = "CO₂ monitor" if read is not None else "CO₂ estimate"
        chip.setVisible(value is not None)
        if value is not None:
            high = value >= 5000.0
            chip.say(words, f"{value:.0f} ppm", colour=DARK.danger if high else DARK.quiet)
        caution.setVisible(ice or read is not None)
        high = value is not None and value >= 5000.0
        said = f"air the room now; {CAUTIONS_SHORT}" if high else CAUTIONS_SHORT
        caution.say(said, mark="▲", colour=DARK.danger if high else DARK.warning, name=f"dry ice cautions: {said}")

    def _reading(self, what: str) -> None:
        self.choices_wanted.emit("reading", {"what": what})


def _long(seconds: float) -> str:
    """Return a long span as a crew says it."""
    return f"{seconds / 60:.0f} min" if seconds < 7200 else f"{seconds / 3600:.0f} h"


def _about(state: State) -> str:
    shot = state.shot
    assert shot is not None
    take = state.takes.get(shot.name, 0)
    wanted = max(shot.takes * len(shot.flavours) - state.heroes_used.get(shot.name, 0), 0)
    parts = [
        f"{shot.look} look",
        f"take {take} of {shot.takes}" if take else f"{shot.takes} {'take' if shot.takes == 1 else 'takes'} wanted",
    ]
    if state.shot_got:
        parts.append("got it")
    elif wanted:
        parts.append(f"{wanted} more {'hero' if wanted == 1 else 'heroes'} wanted")
    if state.hold is not None:
        parts.append("on hold")
    return "   ".join(parts)
