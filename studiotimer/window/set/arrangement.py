"""Where everything stands on the Set page: time and cue by shares of the window's height, the rest as there is room."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from studiotimer.window import theme
from studiotimer.window.set.cue_paint import HEIGHT
from studiotimer.window.set.cue_parts import CUE_SHARE

if TYPE_CHECKING:
    from studiotimer.window.set.page import SetPage

DIGITS_SHARE = 0.206
"""How high the figures of the time are, of the window's height."""
BESIDE_PART = (0.11, 0.075)
"""How high figures and the cue's capitals are while settings or help are open: a good part of the page is theirs."""
LEAST_LINE = 84.0
"""How high the line is at least: in less the words of a tile would lie over each other."""
LEAST_CUE = 0.6
"""How small time and cue become at most where bars and warnings leave less room, of what they are else."""


class Arrangement:
    """Lays the parts of a Set page out; `hero` holds what stands there only while a hero is on set."""

    def __init__(self, page: SetPage) -> None:
        self._page = page
        self._gap, self._scale = theme.GAP, 1.0
        self.large = False
        """Whether the cue has the place of the time too."""
        self.hero = QWidget()
        self._middle = QHBoxLayout(self.hero)
        self._middle.setContentsMargins(0, 0, 0, 0)
        self._middle.addWidget(page.clock, 0, Qt.AlignmentFlag.AlignTop)
        beside = QVBoxLayout()
        beside.setSpacing(0)
        beside.addWidget(page.ribbon, 1)
        beside.addWidget(page.under_cue)
        self._middle.addLayout(beside, 1)
        said = QHBoxLayout()
        said.addWidget(page.standing, 1)
        said.addWidget(page.elsewhere)
        day = QWidget()
        below = QHBoxLayout(day)
        below.setContentsMargins(0, 0, 0, 0)
        below.addWidget(page.line, 1)
        below.addWidget(page.cold, 1)
        page.below.addWidget(day)
        told = QHBoxLayout()
        told.addWidget(page.log, 1)
        told.addWidget(page.quiet_line, 1)
        told.addWidget(page.header.chips["caution"])
        told.addWidget(page.header.phones)
        page.quiet_line.hide()
        foot = QHBoxLayout()
        foot.setSpacing(theme.GAP)
        foot.addWidget(page.cue_button)
        foot.addWidget(page.calls, 1)
        self._column = QVBoxLayout(page)
        for part in (page.header, self.hero, page.cue_label):
            self._column.addWidget(part)
        self._column.addLayout(said)
        self._column.addWidget(page.below, 1)
        self._column.addLayout(told)
        self._column.addLayout(foot)

    def fit(self) -> None:
        """Give time and cue their share of the window's height, and everything the size the window allows."""
        page = self._page
        height, width = page.window().height(), page.width()
        one = theme.unzoomed(1.0)
        scale = self._scale = theme.filling(width, height)
        roomy = height > 700 * one
        margin, below = round(theme.MARGIN * one), round((12 * scale) if roomy else 6 * one)
        self._gap = max(round(8 * scale), round(4 * one)) if roomy else round(4 * one)
        self._column.setContentsMargins(margin, round(2 * one), margin, below)
        self._column.setSpacing(self._gap)
        self._middle.setSpacing(round(theme.GUTTER * scale))
        for label in (page.under_cue, page.quiet_line):
            label.setStyleSheet(f"font-size: {round(max(14 * scale, 13 * one))}px;")
        target = round(theme.TARGET * max(scale, one))
        page.cue_button.setFixedSize(max(round(200 * scale), round(170 * one)), target)
        page.calls.set_target(target)
        for part in (
            page.header, page.ribbon, page.line, page.cold, page.log, page.calls, page.below, page.elsewhere,
            page.standing,
        ):  # fmt: skip
            part.set_scale(scale)
        if (strip := page.header.layout()) is not None:
            strip.activate()  # else the page would be laid out by the strip's height of before
        self.stand_cue()
        self._column.activate()  # else this is drawn once with the parts where they were before

    def stand_cue(self) -> None:
        """Give the cue its place under the time, or all of that while no hero is on set and no part wants room.

        A part makes both smaller, and so does what leaves the line no room; neither goes.
        """
        page, one = self._page, theme.unzoomed(1.0)
        height = page.window().height()
        on_set, alone = bool(page.running.state.heroes()), page.below.part is None
        digits, share = (DIGITS_SHARE, CUE_SHARE) if alone else BESIDE_PART
        if self.hero.isVisibleTo(page) != on_set:
            self.hero.setVisible(on_set)
        self.large = not on_set and alone
        figures = max(height * digits, (100.0 if alone else 50.0) * one)
        taken = self._give(figures, share)
        lacks = LEAST_LINE * max(self._scale, one) - self._left_for_line() if alone and page.isVisible() else 0.0
        if lacks > 0.0:
            less = max(1.0 - lacks / taken, LEAST_CUE)
            self._give(figures * less, share * less)

    def _give(self, figures: float, share: float) -> int:
        """Give the figures of the time so many pixels and the cue its share of the window; return what both take."""
        page = self._page
        page.clock.set_figure_height(figures, self._scale)
        page.cue_label.set_share(share)
        time = round(page.clock.sizeHint().height())
        cue = round(HEIGHT * share * page.window().height())
        self.hero.setFixedHeight(time)
        page.cue_label.setFixedHeight(cue + time + self._gap if self.large else cue)
        return cue + time

    def _left_for_line(self) -> int:
        """Return how high the line is when all other parts have what they take."""
        all_parts = max(self._column.minimumSize().height(), self._column.minimumHeightForWidth(self._page.width()))
        return self._page.height() - all_parts + self._page.below.minimumSizeHint().height()
