"""The demos on the start page: what each shoot is like, the life of its first hero, and what can be done with it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path

from PySide6.QtCore import QRectF, Qt, QTimer
from PySide6.QtGui import QHideEvent, QPainter, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from studiotimer.session.titles import title_of
from studiotimer.units import temperature
from studiotimer.window import theme
from studiotimer.window.aside import Aside
from studiotimer.window.chart import Chart, Scale
from studiotimer.window.demos import PLAN, demos
from studiotimer.window.life_preview import foretold
from studiotimer.window.ribbon import Ribbon, paint_band
from studiotimer.window.style import button, label, rule

DEEDS = {"Plan": "its plan, in Prep", "Try": "stops before its first hero: from there, the calls are yours",
         "Watch": "plays the day 20 times as fast"}  # fmt: skip
WIDE, HIGH = 128, 10
AFTER_MS = 1000
"""What the page opens for comes before."""


@dataclass(frozen=True)
class Told:
    """What a shoot is like: the light of its first shot, its room [°C], how many flavours, its first hero's life."""

    light: str
    room_c: float
    flavours: int
    life: Ribbon

    @property
    def words(self) -> str:
        """Return it as a crew would say it: "tungsten 6000 lx, 24 °C, 3 flavours"."""
        many = "1 flavour" if self.flavours == 1 else f"{self.flavours} flavours"
        return f"{self.light}, {temperature(self.room_c)}, {many}"


@cache
def told(demo: Path) -> Told:
    """Return what a demo's shoot is like, worked out by the physics that counts down on set."""
    from studiotimer.prep.loading import load_plan  # brings the physics, which the window opens without

    plan = load_plan(demo.with_name(PLAN))
    return Told(plan.shots[0].light, plan.room.air_c, len(plan.flavours), foretold(lambda: plan).ribbon)


class LifeStrip(Chart):
    """A hero's life as a strip of its stages, without words."""

    def __init__(self) -> None:
        super().__init__(theme.LIGHT)
        self._life: Ribbon | None = None
        self.setFixedSize(WIDE, HIGH)

    def show_life(self, life: Ribbon) -> None:
        """Show a life, from its first moment on set to the end of its ribbon."""
        self._life = life
        band = life.bands[0]
        stages = [name for name, start in zip(band.stages, band.starts, strict=True) if start < life.span]
        self.say(f"life of {band.words}: {', '.join(stages)}")
        self.update()

    def paint(self, painter: QPainter, area: QRectF) -> None:
        """Draw the strip; nothing while it is not known."""
        if self._life is not None:
            along = Scale(0.0, self._life.span, area.left(), area.right())
            paint_band(painter, area, self._life.bands[0], along, 1.0, self._life.now, words=False)


class DemoRow(QWidget):
    """A demo's title, under it what it is like; beside them its first hero's life over a link for each deed."""

    def __init__(self, demo: Path, deeds: dict[str, Callable[[Path], None]]) -> None:
        super().__init__()
        title = title_of(demo)
        self.about, self.life = label(" ", "quiet"), LifeStrip()
        self.links = [
            button(verb, partial(deed, demo), "link", f"{verb.lower()} the demo {title}", DEEDS[verb])
            for verb, deed in deeds.items()
        ]
        words, sides, links = QVBoxLayout(), QVBoxLayout(), QHBoxLayout()
        for column in (words, sides):
            column.setSpacing(2)
        links.setSpacing(4)
        words.addWidget(label(title))
        words.addWidget(self.about)
        for link in self.links:
            links.addWidget(link)
        sides.addWidget(self.life)
        sides.addLayout(links)
        sides.setAlignment(self.life, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 2, 0, 2)
        row.addLayout(words, 1)
        row.addLayout(sides)

    def show_told(self, told: Told) -> None:
        """Show what the demo is like."""
        self.about.setText(told.words)
        self.life.show_life(told.life)


class DemoRows(QWidget):
    """A row for each demo; what each is like is worked out aside while they are in view, one after another."""

    def __init__(self, deeds: dict[str, Callable[[Path], None]]) -> None:
        super().__init__()
        self.rows = {demo: DemoRow(demo, deeds) for demo in demos()}
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        for row in self.rows.values():
            column.addWidget(row)
            column.addWidget(rule())
        self._untold = list(self.rows)
        self._aside = Aside("demos", self)
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(AFTER_MS)
        self._soon.timeout.connect(self._next)

    @property
    def links(self) -> list[QPushButton]:
        """The links of all rows."""
        return [link for row in self.rows.values() for link in row.links]

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._soon.start()

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        self._soon.stop()

    def end(self) -> None:
        """Stop what is worked out aside."""
        self._soon.stop()
        self._aside.end()

    def _next(self) -> None:
        """Work the next one out, unless the page gave way to a session, which wants the processor for itself."""
        if self._untold and self.isVisible():
            demo = self._untold[0]
            self._aside.ask("demo", partial(told, demo), partial(self._tell, demo), lambda _: self._go_on(demo))

    def _tell(self, demo: Path, told: Told) -> None:
        self.rows[demo].show_told(told)
        self._go_on(demo)

    def _go_on(self, demo: Path) -> None:
        self._untold = [one for one in self._untold if one != demo]
        self._next()
