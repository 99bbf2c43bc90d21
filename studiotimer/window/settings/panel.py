"""The settings: sound, keys, learned mixes, pages, folders; one page, or low and wide where a clock stands above."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QApplication,
    QBoxLayout,
    QButtonGroup,
    QGridLayout,
    QPushButton,
    QSizePolicy,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from studiotimer.plain import short
from studiotimer.window import theme
from studiotimer.window.flow import Scrolled
from studiotimer.window.settings.key_editor import KeySection
from studiotimer.window.settings.remembered import Remembered
from studiotimer.window.settings.sections import FolderSection, LearnedSection, PageSection, SoundSection
from studiotimer.window.settings.setting_parts import SPACE, Section, press, say
from studiotimer.window.settings.settings_sheet import SettingsSheet
from studiotimer.window.sounds import Sounds
from studiotimer.window.stack import Part
from studiotimer.window.tips import tip

MESSAGE_MS = 8000
UNDO_LETTERS = 40
BAR = 14
"""The width of a scroll bar and a little room beside it."""


class SettingsPanel(Part):
    """Every setting, a section at a time; each change holds at once and is kept."""

    closed = Signal()

    def __init__(self, kept: Remembered, sounds: Sounds, first: str = "Sound", whole: bool = False) -> None:
        """Make it low and wide, a section at a time, or, with `whole`, one page with all of them."""
        super().__init__()
        self.whole = whole
        self.setAccessibleName("Settings")
        self._kept = kept
        self.keys = KeySection(kept, whole)
        self.sections: dict[str, Section] = {
            "Sound": SoundSection(kept, sounds, whole),
            "Keys": self.keys,
            "Learned": LearnedSection(kept, whole),
            "Display": PageSection(kept, whole),
            "Folders": FolderSection(kept, whole),
        }
        self.shown = QStackedWidget()
        self.areas: dict[str, Scrolled] = {}
        self.message = say("", "warning", "about the settings", news=True)
        self.message.setWordWrap(True)
        self._hush = QTimer(self)
        self._hush.setSingleShot(True)
        self._hush.setInterval(MESSAGE_MS)
        self._hush.timeout.connect(self.message.hide)
        self.undo = press("Undo", self._undo)
        self.close_button = press("", self.closed.emit)
        self.names: dict[str, QPushButton] = {}
        self._line = QBoxLayout(QBoxLayout.Direction.TopToBottom if whole else QBoxLayout.Direction.LeftToRight, self)
        self._line.setContentsMargins(0, 0, 0, 0)
        self._sheet: SettingsSheet | None = None
        if whole:
            self._sheet = SettingsSheet(self.sections, self.undo, self.close_button, self.message)
            self._line.addWidget(self._sheet)
            self.areas = dict.fromkeys(self.sections, self._sheet.area)
        else:
            self._arrange()
        self.keys.refused.connect(self.say)
        kept.said.connect(self.say)
        kept.changed.connect(self._changed)
        self.show_section(first)
        self._name_keys()

    def _arrange(self) -> None:
        left = QGridLayout()
        left.setSpacing(SPACE)
        group = QButtonGroup(self)
        for place, name in enumerate(self.sections):
            button = press(name, partial(self.show_section, name), f"settings: {name.lower()}", on=False)
            group.addButton(button)
            self.names[name] = button
            left.addWidget(button, place // 2, place % 2)
        for name, section in self.sections.items():
            self.areas[name] = Scrolled(section, f"the settings of {name.lower()}")
            self.shown.addWidget(self.areas[name])
        last = left.rowCount()
        left.addWidget(self.undo, last, 0)
        left.addWidget(self.close_button, last, 1)
        left.setRowStretch(last + 1, 1)
        for button in (*self.names.values(), self.undo, self.close_button):
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        right = QVBoxLayout()
        right.setSpacing(SPACE)
        right.addWidget(self.message)
        right.addWidget(self.shown, 1)
        holder = self._deeds = QWidget()
        holder.setLayout(left)
        left.setContentsMargins(0, 0, 0, 0)
        self._names = Scrolled(holder, "the sections of the settings")
        self._names.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._line.addWidget(self._names)
        self._line.addLayout(right, 1)
        self.message.hide()

    def set_scale(self, scale: float) -> None:
        if self.whole:
            self.keys.set_scale(1.0)
            return
        size, gap = round(theme.BODY * scale), round(5 * scale)
        self._line.setSpacing(round(24 * scale))
        self.keys.set_scale(scale)
        self.setStyleSheet(
            f"QPushButton {{ font-size: {size}px; padding: {gap}px {gap * 2}px; border-radius: {gap + 2}px; }}"
            f"QLabel {{ font-size: {size}px; }}"
            f'QLabel[role="quiet"], QLabel[role="warning"] {{ font-size: {round(theme.SMALL * scale)}px; }}'
        )
        self._fit_names()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if not self.whole:
            self._fit_names()

    def _fit_names(self) -> None:
        """Give the sections' names their room: more is known of it once the panel stands in its page, with its type."""
        self._names.setMinimumWidth(self._deeds.sizeHint().width() + BAR)

    def take_focus(self) -> None:
        (self.close_button if self.whole else self.current).setFocus()

    @property
    def current(self) -> QPushButton:
        """The button of the section in view."""
        return next(button for button in self.names.values() if button.isChecked())

    def show_section(self, name: str) -> None:
        """Show one section."""
        if self._sheet is not None:
            self._sheet.area.ensureWidgetVisible(self.sections[name])
            return
        self.names[name].setChecked(True)
        self.shown.setCurrentWidget(self.areas[name])
        self.say("")

    def say(self, words: str) -> None:
        """Say something about the settings."""
        self.message.setText(f"{words[:1].upper()}{words[1:]}")
        self.message.setVisible(bool(words))
        self._hush.start()

    def _undo(self) -> None:
        words = self._kept.step
        self._kept.undo()
        self.say(f"undone: {words}")

    def _changed(self) -> None:
        """Show what is kept now; the keys stay in the settings although what had them may be gone."""
        focus = QApplication.focusWidget()
        here = focus is not None and self.isAncestorOf(focus)
        self.say("")
        for section in self.sections.values():
            section.show_kept()
        self._name_keys()
        focus = QApplication.focusWidget()
        if here and (focus is None or not self.isAncestorOf(focus)):
            self.take_focus()

    def _name_keys(self) -> None:
        key = self._kept.keys.shown("settings")
        self.close_button.setText("Back" if self.whole else f"Close {key}".strip())
        self.close_button.setAccessibleName(f"close the settings, key {key}" if key else "close the settings")
        step = self._kept.step
        self.undo.setEnabled(bool(step))
        self.undo.setText(f"Undo: {short(step, UNDO_LETTERS)}" if step and self.whole else "Undo")
        self.undo.setVisible(bool(step) or not self.whole)
        self.undo.setAccessibleName(f"undo: {step}" if step else "nothing to undo")
        self.undo.setToolTip(tip(step))
