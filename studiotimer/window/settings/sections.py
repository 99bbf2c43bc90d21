"""The settings of sound, of how the pages are shown, of folders, and the learned mixes."""

from __future__ import annotations

from datetime import date
from functools import partial
from pathlib import Path
from typing import get_args

from PySide6.QtWidgets import QLabel, QLineEdit, QPushButton

from studiotimer.files import make_folder
from studiotimer.places import path_of, sessions_folder, usual_sessions_folder, where_kept
from studiotimer.plain import reason, shown
from studiotimer.session.memory import QUICKEST, SLOWEST
from studiotimer.units import Style, date_words
from studiotimer.window.flow import flowing
from studiotimer.window.settings.bar import LearnedBar
from studiotimer.window.settings.remembered import Remembered
from studiotimer.window.settings.setting_parts import (
    SPACE,
    Section,
    Stepped,
    cleared,
    column,
    going_on,
    grid,
    halves,
    press,
    quiet,
    row,
    ruled,
    say,
)
from studiotimer.window.settings.values import SIZES, SOUNDS, Colours, Sound
from studiotimer.window.sounds import Sounds

VOLUME_STEP = 0.1
FACTOR_STEP = 0.01
SOUND_WORDS: dict[Sound, str] = {
    "accepted": "call taken", "refused": "call refused", "pull": "time to pull", "thirty": "thirty seconds left",
    "swap": "time to swap",
}  # fmt: skip
SOUND_DOES: dict[Sound, str] = {
    "accepted": "when the disk has it", "refused": "the page says why", "pull": "so that it is cold in time",
    "thirty": "of the hero's life", "swap": "when the cue turns to “now”",
}  # fmt: skip
UNIT_WORDS: dict[Style, str] = {"metric": "°C, kg, mm", "US": "°F, lb, in"}
COLOUR_WORDS: dict[Colours, str] = {"dark": "dark", "light": "light, for daylight"}
SIZE_WORDS = {size: f"{size * 100:.0f} %" for size in SIZES}
ABOUT_PAGES = (
    "Values typed with a unit are understood in both systems. While a session is open every page is dark. "
    "The new size is used from the next start; the Set page and the crew screen fill their windows at any size."
)
PAGES_DO = {
    "Units": "values typed with a unit are understood in both",
    "Pages": "every page is dark while a session is open",
    "Size": "from the next start; Set fills its window",
}
"""What each does, beside it."""
ABOUT_FOLDERS = "Write the whole path of a folder and press Enter. Sessions that are there already stay where they are."
NOTHING_LEARNED = "Nothing is learned yet. Call what you see on set, and each mix is known better the next time."
IN_SESSION = "A session already open keeps what it began with; the next one starts from these."


class SoundSection(Section):
    """How loud, and which sounds."""

    def __init__(self, kept: Remembered, sounds: Sounds, whole: bool = False) -> None:
        super().__init__(kept, whole)
        self._sounds = sounds
        self.volume = Stepped("volume", self._step, "quieter", "louder")
        self.mute = press("Mute", self._mute, on=False)
        self.trouble = say(sounds.trouble or "", "quiet", "about sound")
        sounds.engine.said.connect(self.trouble.setText)
        self.trouble.setWordWrap(True)
        self.wanted: dict[Sound, QPushButton] = {}
        self.hear: dict[Sound, QPushButton] = {}
        for name in SOUNDS:
            words = SOUND_WORDS[name]
            self.wanted[name] = press("", partial(self._want, name), on=True)
            self.hear[name] = press("Hear it", partial(sounds.hear, name), f"hear the sound of {words}")
        self._lay_out()
        self.column.addStretch(1)
        self.show_kept()

    def _lay_out(self) -> None:
        volume = (self.volume, self.mute)
        if not self.whole:
            self.column.addLayout(row(say("Volume"), *volume, self.trouble, wide=self.trouble))
            pairs = [column(self.wanted[name], self.hear[name]) for name in SOUNDS]
            self.column.addWidget(flowing(SPACE * 2, *pairs))
            return
        for button in (self.volume.less, self.volume.more):
            button.setProperty("role", "step")
        self.column.addLayout(row(say("Volume"), *volume, self.trouble, wide=self.trouble))
        table = grid()
        for name in SOUNDS:
            self.hear[name].setProperty("role", "link")
            self.wanted[name].setProperty("role", "toggle")
            ruled(table, self.wanted[name], quiet(SOUND_DOES[name]), self.hear[name])
        table.setColumnStretch(1, 1)
        self.column.addLayout(table)

    def show_kept(self) -> None:
        settings = self.kept.settings
        self.volume.show_value(f"{settings.volume * 100:.0f} %")
        self.volume.less.setEnabled(settings.volume > 0)
        self.volume.more.setEnabled(settings.volume < 1)
        self.mute.setChecked(settings.mute)
        self.mute.setText("Muted" if settings.mute else "Mute")
        self.mute.setAccessibleName("all sounds muted" if settings.mute else "mute all sounds")
        for name, button in self.wanted.items():
            on = name not in settings.silenced
            button.setChecked(on)
            button.setText(f"{'✓' if on else '○'} {SOUND_WORDS[name]}")
            button.setAccessibleName(f"sound of {SOUND_WORDS[name]}, {'on' if on else 'off'}")

    def _step(self, by: int) -> None:
        wanted = round(min(max(self.kept.settings.volume + by * VOLUME_STEP, 0.0), 1.0), 2)
        self.kept.change("volume", volume=wanted)

    def _mute(self) -> None:
        mute = not self.kept.settings.mute
        self.kept.change("mute" if mute else "sound on", mute=mute)

    def _want(self, sound: Sound) -> None:
        silenced = set(self.kept.settings.silenced) ^ {sound}
        words = f"{SOUND_WORDS[sound]} {'off' if sound in silenced else 'on'}"
        self.kept.change(words, silenced=tuple(name for name in SOUNDS if name in silenced))


class PageSection(Section):
    """How numbers are shown, the colours of the pages outside a session, and how large everything is drawn."""

    def __init__(self, kept: Remembered, whole: bool = False) -> None:
        super().__init__(kept, whole)
        self.units = {
            style: press(UNIT_WORDS[style], partial(kept.change, f"units {style}", units=style), on=False)
            for style in get_args(Style)
        }
        self.colours = {
            one: press(COLOUR_WORDS[one], partial(kept.change, f"{one} pages", colours=one), on=False)
            for one in get_args(Colours)
        }
        self.sizes = {
            size: press(words, partial(kept.change, f"size {words}", size=size), on=False)
            for size, words in SIZE_WORDS.items()
        }
        table = grid()
        rows = (("Units", self.units), ("Pages", self.colours), ("Size", self.sizes))
        for place, (words, buttons) in enumerate(rows):
            for button in buttons.values():
                button.setAccessibleName(f"{words.lower()}: {button.text()}")
            if self.whole:
                ruled(table, say(words), halves(*buttons.values()), quiet(PAGES_DO[words]))
            else:
                table.addWidget(say(words), place, 0)
                table.addWidget(flowing(SPACE * 2, *buttons.values()), place, 1)
        table.setColumnStretch(2 if self.whole else 1, 1)
        self.column.addLayout(table)
        if not self.whole:
            self.column.addWidget(quiet(ABOUT_PAGES))
        self.column.addStretch(1)
        self.show_kept()

    def show_kept(self) -> None:
        for style, button in self.units.items():
            button.setChecked(style == self.kept.settings.units)
        for colours, button in self.colours.items():
            button.setChecked(colours == self.kept.settings.colours)
        for size, button in self.sizes.items():
            button.setChecked(size == self.kept.settings.size)


class FolderSection(Section):
    """Where new sessions are kept, and where the program keeps what is its own."""

    def __init__(self, kept: Remembered, whole: bool = False) -> None:
        super().__init__(kept, whole)
        self.line = QLineEdit()
        self.line.setAccessibleName("folder of new sessions")
        self.line.returnPressed.connect(self._take)
        self.usual = press("The usual folder", lambda: self._change(""))
        self.trouble = say("", "warning", "about the folder", news=True)
        self.trouble.setWordWrap(True)
        self.column.addWidget(say("New sessions are kept in"))
        self.column.addLayout(row(self.line, self.usual, wide=self.line))
        self.column.addWidget(self.trouble)
        config, data, _ = where_kept()
        own = f"Settings and keys are kept in {config}, what is learned in {data}."
        for words in (ABOUT_FOLDERS, own):
            about = say(words, "quiet")
            about.setWordWrap(True)
            self.column.addWidget(about)
        self.column.addStretch(1)
        self.show_kept()

    def show_kept(self) -> None:
        self.line.setText(str(sessions_folder()))
        self.line.setCursorPosition(0)
        self.usual.setEnabled(bool(self.kept.settings.sessions))
        self.trouble.hide()

    def _take(self) -> None:
        """Take the folder that is written, made if it is not there."""
        folder = path_of(self.line.text())
        if not folder.is_absolute():
            self._say(f"{shown(str(folder))} is not a whole path; write it like {sessions_folder()}.")
            return
        try:
            make_folder(folder)
        except (OSError, ValueError) as error:
            self._say(f"{shown(str(folder))} cannot be a folder for sessions: {reason(error)}.")
            return
        usual = folder == usual_sessions_folder()
        self._change("" if usual else str(folder))
        self.show_kept()

    def _change(self, folder: str) -> None:
        self.kept.change(f"sessions in {Path(folder).name}" if folder else "the usual folder", sessions=folder)

    def _say(self, words: str) -> None:
        self.trouble.setText(words)
        self.trouble.show()


class LearnedSection(Section):
    """What was learned of each mix: to be read, corrected, forgotten."""

    def __init__(self, kept: Remembered, whole: bool = False) -> None:
        super().__init__(kept, whole)
        self._table = grid()
        self.said: dict[str, QLabel] = {}
        self.bars: dict[str, LearnedBar] = {}
        self.quicker: dict[str, QPushButton] = {}
        self.slower: dict[str, QPushButton] = {}
        self.forget: dict[str, QPushButton] = {}
        self.forget_all = press("Forget all", kept.forget_all, "forget everything learned")
        self.about = say("", "quiet")
        self.about.setWordWrap(True)
        self.column.addLayout(self._table)
        self.column.addLayout(row(self.forget_all, self.about, wide=self.about))
        self.column.addStretch(1)
        self.show_kept()

    def show_kept(self) -> None:
        held = self.kept.memory.held()
        if list(held) != list(self.said):
            self._lay_out(list(held))
        for mix, known in held.items():
            self.said[mix].setText(f"{known.said()}, {_day(known.when)}" if known.when else known.said())
            self.said[mix].setAccessibleName(f"{mix} {known.said()}")
            self.bars[mix].show_factor(known.factor)
            self.quicker[mix].setEnabled(known.factor > QUICKEST + FACTOR_STEP / 2)
            self.slower[mix].setEnabled(known.factor < SLOWEST - FACTOR_STEP / 2)
        self.forget_all.setVisible(bool(held))
        self.about.setText(IN_SESSION if held else NOTHING_LEARNED)

    def _lay_out(self, mixes: list[str]) -> None:
        cleared(self._table)
        self.said.clear()
        for buttons in (self.quicker, self.slower, self.forget):
            buttons.clear()
        for place, mix in enumerate(mixes):
            name = say(mix)
            name.setWordWrap(True)
            self.said[mix] = say("", "quiet")
            self.said[mix].setWordWrap(True)
            self.quicker[mix] = press("shorter", partial(self._step, mix, -FACTOR_STEP), f"{mix} lasts 1 % shorter")
            self.slower[mix] = press("longer", partial(self._step, mix, FACTOR_STEP), f"{mix} lasts 1 % longer")
            self.forget[mix] = press("Forget", partial(self.kept.forget, mix), f"forget {mix}")
            for button in (self.quicker[mix], self.slower[mix]):
                going_on(button)
            self.bars[mix] = LearnedBar(mix)
            about = column(name, self.said[mix])
            if self.whole:
                self.forget[mix].setProperty("role", "link")
                for button, words in ((self.quicker[mix], "−"), (self.slower[mix], "+")):
                    button.setText(words)
                    button.setProperty("role", "step")
            parts = (about, self.bars[mix], self.quicker[mix], self.slower[mix], self.forget[mix])
            for number, part in enumerate(parts):
                self._table.addWidget(part, place, number)
        self._table.setColumnStretch(0, 1)

    def _step(self, mix: str, by: float) -> None:
        self.kept.correct(mix, round(self.kept.memory.mixes[mix].factor + by, 2))


def _day(written: str) -> str:
    day = date.fromisoformat(written)
    return date_words(day, False)
