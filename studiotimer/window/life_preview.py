"""What a scoop of a new shoot would go through, as a ribbon that follows the answers."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QHBoxLayout, QSpacerItem, QVBoxLayout, QWidget

from studiotimer.errors import FaultError, WorkError
from studiotimer.prep.looks import PACK_STAGES, STAGES
from studiotimer.units import duration
from studiotimer.window import theme
from studiotimer.window.aside import Aside
from studiotimer.window.ribbon import Ribbon, RibbonView
from studiotimer.window.spoken import SpokenLabel
from studiotimer.window.style import restyle

if TYPE_CHECKING:
    from studiotimer.prep.plan import Plan

PAUSE_MS = 300
"""How long it waits for the next letter; also what the window has for itself when it opens."""
SAID = "working time in the {look} look"
PLAIN = "{window} after hero in, after {waited} in the dry-ice box. Straight from the freezer: {plain}."
FIGURE, LARGEST_FIGURE, LARGE_FIGURE = 88, 400, 160
"""The size of the working time at least and at most, and from where on its words are a title's, in logical pixels."""
GROWS_FROM, GROWS, OF_WIDTH = 720, 0.45, 0.17
"""From which height of the page on the figure grows, by how much of what is more, up to what part of its width."""
UNDER_FIGURE = 0.2
"""How far the words beside the figure stand from the end of its line, of its size: on its feet."""
NEVER = "The {look} look does not come within three hours"
OVER = "The {look} look is over before the scoop is on set"
LEARNED = ", as learned on set"
FAILED = "this could not be worked out"


class LifePreview(QWidget):
    """The ribbon of one hero, and its window in words; worked out aside, by the physics that counts down on set."""

    def __init__(self) -> None:
        super().__init__()
        self.ribbon = RibbonView()
        self.figure = SpokenLabel("working time")
        self.figure.setProperty("role", "display")
        self.words = SpokenLabel("working time of the new shoot")
        self.words.setProperty("role", "large")
        self.plain = SpokenLabel("working time without the dry-ice box")
        self.plain.setProperty("role", "quiet")
        for each in (self.words, self.plain):
            each.setWordWrap(True)
        said = QVBoxLayout()
        said.setSpacing(2)
        said.addStretch(1)
        said.addWidget(self.words)
        said.addWidget(self.plain)
        self._under_words = QSpacerItem(0, 0)
        said.addItem(self._under_words)
        row = QHBoxLayout()
        row.setSpacing(24)
        row.addWidget(self.figure)
        row.addLayout(said, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.GAP)
        column.addLayout(row)
        column.addWidget(self.ribbon)
        self._said, self._size = said, 0
        self.fit(0, 0)
        self._wanted: Callable[[], Plan] | None = None
        self._aside: Aside | None = None
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(PAUSE_MS)
        self._pause.timeout.connect(self._ask)
        self._say_why("the stages of a scoop, worked out…")

    def fit(self, width: int, height: int) -> None:
        """Be as large as a page `height` high allows, in a column so wide; both in logical pixels."""
        grown = min(FIGURE + max(height - GROWS_FROM, 0) * GROWS, width * OF_WIDTH, LARGEST_FIGURE)
        size = max(round(grown), FIGURE)
        if size == self._size:
            return
        self._size = size
        self.figure.setFont(theme.font(size, "strong"))
        self.figure.setStyleSheet(f"font-size: {size}px; font-weight: 600;")
        self._under_words.changeSize(0, round(UNDER_FIGURE * size))
        self._said.invalidate()
        restyle(self.words, "role", "title" if size >= LARGE_FIGURE else "large")
        self.ribbon.set_scale(max(size / LARGE_FIGURE, 1.0))

    def show_plan(self, plan: Callable[[], Plan]) -> None:
        """Show the life of a plan's first hero, soon, or the sentence why there is no plan; `plan` is called aside."""
        self._wanted = plan
        self._pause.start()

    def set_colours(self, colours: theme.Theme) -> None:
        """Draw in another theme."""
        self.ribbon.set_colours(colours)

    def end(self) -> None:
        """Stop what is worked out aside."""
        self._pause.stop()
        if self._aside is not None:
            self._aside.end()

    def _ask(self) -> None:
        plan = self._wanted
        if plan is None or not self.isVisible():
            return
        if self._aside is None:
            self._aside = Aside("life", self)
        self._aside.ask("life", lambda: foretold(plan), partial(self._show, plan), partial(self._failed, plan))

    def _show(self, plan: Callable[[], Plan], foretold: Foretold) -> None:
        if plan is self._wanted:
            self.ribbon.show_ribbon(foretold.ribbon)
            self.figure.setText(foretold.figure)
            self.words.setText(foretold.words)
            self.plain.setText(foretold.plain)

    def _failed(self, plan: Callable[[], Plan], error: WorkError) -> None:
        if plan is self._wanted:
            self._say_why(FAILED if isinstance(error, FaultError) else str(error))

    def _say_why(self, why: str) -> None:
        """Say why there is nothing to show; the lines keep their room, so that nothing below them moves."""
        self.ribbon.show_ribbon(None, why)
        self.figure.setText("–:––")
        self.words.setText(" ")
        self.plain.setText(" ")


@dataclass(frozen=True)
class Foretold:
    """The ribbon of a hero, its working time, its window in words, and the one without the dry-ice box."""

    ribbon: Ribbon
    figure: str
    words: str
    plain: str


def foretold(made: Callable[[], Plan]) -> Foretold:
    """Return what becomes of a plan's first hero; raises WorkError with why there is no plan."""
    from studiotimer.prep.plan_numbers import written
    from studiotimer.prep.scene import usual_light
    from studiotimer.prep.windows import begun, life_of, window_of  # brings the physics, which the window opens without
    from studiotimer.session.countdowns import Band

    try:
        plan = made()
        life, plain = life_of(plan), window_of(plan, plan.shots[0], iced=False)
    except ValueError as error:
        raise WorkError(str(error)) from None
    starts, window = begun(life.changes), life.window
    stages = STAGES if len(starts) == len(STAGES) else PACK_STAGES
    end = Band(life.end_early_s, window.end_s, life.end_late_s)
    said = NEVER if math.isinf(window.start_s) else OVER if window.end_s <= window.start_s else SAID
    ribbon = Ribbon.foretold(plan.flavours[0].name, starts, window.start_s, end, stages)
    learned = LEARNED if plan.flavours[0].mix_name in plan.learned else ""
    words = said.format(look=plan.shots[0].look) + learned
    below = PLAIN.format(window=window.text, waited=written(plan.dry_ice.box_wait_s), plain=plain.text)
    usual = usual_light(plan.shots[0])
    working_s = max(window.end_s - window.start_s, 0.0) if math.isfinite(window.start_s) else 0.0
    figure = duration(working_s) if math.isfinite(working_s) else "3 h +"
    return Foretold(ribbon, figure, words, f"{below} Light: {usual}." if usual else below)
