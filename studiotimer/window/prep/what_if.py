"""What if: sliders for room, light, cold and scoop, and the window of the chosen shot as they move."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QGridLayout, QSlider, QVBoxLayout, QWidget

from studiotimer import units
from studiotimer.prep.found import percent
from studiotimer.prep.plan import Plan, Shot
from studiotimer.prep.scene import freezer_c, light_of
from studiotimer.prep.whatif import Curve, Instead, what_if
from studiotimer.window.prep.curve import CurveView
from studiotimer.window.style import button, label
from studiotimer.window.theme import Theme

CELL = 190
LUX = (0, 250, 500, 1000, 1500, 2000, 2500, 3000, 4000, 5000, 6000, 8000, 10000, 15000, 20000, 30000)


@dataclass(frozen=True)
class Slide:
    """What one slider moves: its words, its ends in steps, the size of a step, and how a value is read."""

    key: str
    words: str
    low: int
    high: int
    step: float
    read: Callable[[float, units.Style], str]


def _lux(place: float) -> float:
    return float(LUX[round(place)])


SLIDES = (
    Slide("room_c", "room", 10, 40, 1.0, lambda v, style: units.temperature(v, style)),
    Slide("humidity", "humidity", 2, 18, 0.05, lambda v, _: percent(v)),
    Slide("light", "light", 0, len(LUX) - 1, 1.0, lambda v, _: f"{_lux(v):,.0f} lx"),
    Slide("dry_ice_air_c", "air at the set", -40, 40, 1.0, lambda v, style: units.temperature(v, style)),
    Slide("freezer_c", "freezer", -60, -10, 0.5, lambda v, style: units.temperature(v, style, 1)),
    Slide("width_m", "scoop width", 15, 50, 0.002, lambda v, style: units.length(v, style)),
)


class Slider(QSlider):
    """A slider that the wheel moves only when it has the keys."""

    def wheelEvent(self, event: QWheelEvent) -> None:
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()


class WhatIf(QWidget):
    """The sliders and the curve of the chosen shot; the plan itself stays as it is."""

    wanted = Signal(str, object)

    def __init__(self, colours: Theme) -> None:
        super().__init__()
        self._colours = colours
        self._plan: Plan | None = None
        self._shot: Shot | None = None
        self._style: units.Style = "metric"
        self._moved: dict[str, float] = {}
        self._turn = 0
        self._planned: Curve | None = None
        self._curve: Curve | None = None
        self.view: CurveView | None = None
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(6)
        self.said = label("", "large", "the window of the shot")
        self.about = label("", "quiet", "what is different from the plan")
        self._column.addWidget(self.said)
        self._column.addWidget(self.about)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(20)
        self._grid.setVerticalSpacing(2)
        self._column.addLayout(self._grid)
        self.sliders: dict[str, QSlider] = {}
        self._words = {slide.key: label("", "quiet") for slide in SLIDES}
        for slide in SLIDES:
            slider = Slider(Qt.Orientation.Horizontal)
            slider.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
            slider.setRange(slide.low, slide.high)
            slider.valueChanged.connect(partial(self._move, slide))
            self.sliders[slide.key] = slider
        self._place()
        self.again = button("As planned", self.reset, "link")
        self._column.addWidget(self.again, 0, Qt.AlignmentFlag.AlignLeft)

    def show_plan(self, plan: Plan, shot: int, style: units.Style) -> None:
        """Follow the plan and the chosen shot; sliders that were moved stay where they are."""
        chosen = plan.shots[min(shot, len(plan.shots) - 1)]
        if self._shot is not None and chosen.name != self._shot.name:
            self._moved.clear()
        self._plan, self._shot, self._style = plan, chosen, style
        self._planned = self._curve = None
        self._turn += 1
        self._show_sliders()
        self._ask(planned=True)

    def wake(self, awake: bool) -> None:
        """Make the curve when the strip is first unfolded."""
        if awake and self.view is None:
            self.view = CurveView(self._colours)
            self._column.insertWidget(2, self.view)
            self._ask(planned=True)

    def set_theme(self, colours: Theme) -> None:
        """Draw in another theme's colours."""
        self._colours = colours
        if self.view is not None:
            self.view.set_colours(colours)

    def show_curve(self, kind: str, worked: tuple[int, Curve]) -> None:
        """Show what was worked out: the curve as planned, or with what is different; not one of a plan before."""
        turn, curve = worked
        if turn != self._turn:
            return
        if kind == "planned":
            self._planned = curve
        else:
            self._curve = curve
        self._draw()

    def reset(self) -> None:
        """Put every slider back to the plan."""
        self._moved.clear()
        self._show_sliders()
        self._ask()

    def instead(self) -> Instead:
        """Return what is different from the plan."""
        given: dict[str, float | str] = dict(self._moved)
        if "light" in given and self._shot is not None:
            light = light_of(self._shot)
            given["light"] = f"{light.lamp.kind if light else 'LED'} {_lux(self._moved['light']):g} lx"
        return Instead(**given)  # type: ignore[arg-type]

    def _move(self, slide: Slide, place: int) -> None:
        self._moved[slide.key] = place * slide.step
        self._show_sliders()
        self._ask()

    def _ask(self, planned: bool = False) -> None:
        if self.view is None or self._plan is None or self._shot is None:
            return
        if planned:
            self.wanted.emit("planned", partial(_worked, self._turn, self._plan, self._shot, None))
        self.wanted.emit("what if", partial(_worked, self._turn, self._plan, self._shot, self.instead()))

    def _draw(self) -> None:
        if self._curve is None or self._planned is None or self._shot is None or self.view is None:
            return
        different = bool(self._moved)
        self.view.show_curve(self._curve, self._planned if different else None, self._style)
        self.said.setText(f"{self._shot.name}, {self._shot.look}: {self._curve.window.text}")
        said = [f"{slide.words} {self._read(slide)}" for slide in SLIDES if slide.key in self._moved]
        self.about.setText(
            f"with {', '.join(said)}; as planned {self._planned.window.text}" if different else "as planned"
        )
        self.again.setEnabled(different)

    def _show_sliders(self) -> None:
        for slide in SLIDES:
            slider = self.sliders[slide.key]
            slider.blockSignals(True)
            slider.setValue(round(self._value(slide) / slide.step))
            slider.blockSignals(False)
            self._say(slide)

    def _say(self, slide: Slide) -> None:
        words = f"{slide.words} {self._read(slide)}"
        self._words[slide.key].setText(words)
        self.sliders[slide.key].setAccessibleName(f"what if: {words}")

    def _read(self, slide: Slide) -> str:
        if slide.key == "dry_ice_air_c" and self._plan is not None and self._value(slide) >= self._room_c():
            return "as the room"
        if slide.key == "light" and slide.key not in self._moved and self._shot is not None:
            return self._shot.light
        return slide.read(self._value(slide), self._style)

    def _room_c(self) -> float:
        return self._moved.get("room_c", float(self._plan.room.air_c) if self._plan else 22.0)

    def _value(self, slide: Slide) -> float:
        """Return where a slider stands: where it was moved to, else what the plan has."""
        if slide.key in self._moved or self._plan is None or self._shot is None:
            return self._moved.get(slide.key, slide.low * slide.step)
        plan, light = self._plan, light_of(self._shot)
        target = plan.dry_ice.target_air_c
        lux = light.lux if light else 0.0
        return {
            "room_c": float(plan.room.air_c),
            "humidity": float(plan.room.humidity),
            "light": float(min(range(len(LUX)), key=lambda place: abs(LUX[place] - lux))),
            "dry_ice_air_c": self._room_c() if target is None else float(target),
            "freezer_c": freezer_c(plan, plan.flavour(self._shot.heroes[0].flavour)),
            "width_m": float(plan.width_m),
        }[slide.key]

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._place()
        super().resizeEvent(event)

    def _place(self) -> None:
        columns = max(2, min(len(SLIDES), self.width() // CELL))
        columns = 3 if columns in (4, 5) else columns
        for number, slide in enumerate(SLIDES):
            row, place = number // columns * 2, number % columns
            self._grid.addWidget(self._words[slide.key], row, place)
            self._grid.addWidget(self.sliders[slide.key], row + 1, place)
        for column in range(self._grid.columnCount()):
            self._grid.setColumnStretch(column, 1 if column < columns else 0)


def _worked(turn: int, plan: Plan, shot: Shot, instead: Instead | None) -> tuple[int, Curve]:
    return turn, what_if(plan, shot, instead)
